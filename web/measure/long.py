"""Whether long work stays polite: `python web/measure/long.py`. Prints a table, in some minutes.

The envelope, the proof of strength and the falls run in the page's second worker, on heron and longwood: the longest
time without a word of how far it is, with the phase that it was in; and the time from Stop until it may begin again,
stopped at several moments. Then, once all is at rest, how long a slider waits for Python's pose with nothing running,
and while each of them runs. A machine without a graphics card draws the picture on the processor, which takes both of
two cores from Python: so the slider is measured with a picture that costs no time as well (`card.js`), which is what
the goal speaks of. Last `posekit power` and `posekit envelope --fix` natively: the same times, and how far past its
budget each goes.
"""

from __future__ import annotations

import argparse
import os
import statistics
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from common import BROWSERS, CARD, CHROMIUM, DESK, MODELS, served
from dragging import drop_prop, open_prop, scripts, zipped
from playwright.sync_api import Page, Playwright, sync_playwright
from rich.console import Console
from rich.table import Table

import posekit
from posekit.clearance.watch import watch_steps
from posekit.prop.model import Prop
from posekit.report.envelope import envelope_report
from posekit.report.fix import fix_report
from posekit.report.loss import loss_steps
from posekit.report.power import power_steps
from posekit.statics.burden import burden_steps
from posekit.stepwise import finished

TOLD_S, STOPPED_S, SLIDER_MS = 0.5, 0.5, 16.0
PROPS = ("heron", "longwood")
STOPS = (0.1, 0.4, 0.8)  # of how long the work takes
REST_MS = 60_000  # until what another prop set going has ended
RESOLUTION = "4"  # the coarsest, so that an envelope comes to what would clear it within the time
PICTURES = {"drawn by the processor": (BROWSERS["as it comes"], ()), "at no cost": (CARD, ("card.js",))}
COUNTS = "at no cost"  # the picture whose slider has a goal
BUDGETS_S = (1.0, 3.0)
SLIDER = ".channel input[type=range]"


@dataclass(frozen=True)
class Work:
    """A button that begins it, one that stops it, and the request that its own begin with."""

    begin: str
    stop: str
    own: str


WORKS = {
    "envelope": Work("Check every pair", "Stop and keep the results", "survey"),
    "strength": Work("Prove the worst", "Stop and keep what is proved", "prove"),
    "falls": Work("Look at what falls", "Stop looking", "lose"),
}
TABS = {"envelope": "Clearance", "strength": "Strength", "falls": "Strength"}


@dataclass(frozen=True)
class Polite:
    """Seconds that each work gets, moves of the slider meanwhile, which works, and whether only "page" or "native"."""

    most: float = 12.0
    events: int = 180
    works: tuple[str, ...] = tuple(WORKS)
    where: str | None = None


@dataclass(frozen=True)
class Row:
    """The longest of what was found, against its goal where it has one."""

    what: str
    found: str
    longest: float
    goal: float | None
    unit: str

    @property
    def verdict(self) -> str:
        if self.goal is None:
            return ""
        return "met" if self.longest < self.goal else "missed"


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--most", type=float, default=Polite.most, help="seconds of each work")
    options.add_argument("--events", type=int, default=Polite.events, help="moves of the slider")
    options.add_argument("--work", choices=WORKS, action="append", help="this one alone")
    options.add_argument("--prop", choices=PROPS, action="append", help="this one alone")
    options.add_argument("--where", choices=("page", "native"), help="there alone")
    asked = options.parse_args()
    how = Polite(asked.most, asked.events, tuple(asked.work or WORKS), asked.where)
    with sync_playwright() as playwright:
        show(list(polite(playwright, asked.prop or PROPS, how)))


def polite(playwright: Playwright, props: Sequence[str], how: Polite) -> Iterator[Row]:
    """All rows, of the page first."""
    if how.where != "native":
        with served() as address:
            for name in props:
                yield from in_page(playwright, address, name, how)
    if how.where != "page":
        for name in props:
            yield from natively(name)


def in_page(playwright: Playwright, address: str, name: str, how: Polite) -> Iterator[Row]:
    folder = zipped(name, MODELS / name)
    for number, (picture, (flags, more)) in enumerate(PICTURES.items()):
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=flags)
        page = browser.new_page(viewport=DESK)
        page.set_default_timeout(600_000)
        page.add_init_script(scripts(*more, "strength.js", "long.js"))
        open_prop(page, address, name, folder)
        for what in () if number else how.works:
            yield from worked(page, name, folder, what, how.most)
        yield from sliders(page, name, folder, how, picture)
        browser.close()


def worked(page: Page, name: str, folder: bytes, what: str, most_s: float) -> Iterator[Row]:
    """One work once to its end or for so long, then stopped at several moments."""
    stops = []
    whole = begun(page, name, folder, what, most_s)
    yield from told(f"{name}: {what}", whole)
    for found in (whole, *(begun(page, name, folder, what, share * whole["seconds"]) for share in STOPS)):
        stops += [] if found["stopped"] is None else [found["stopped"]]
    if stops:
        each = ", ".join(f"{ms / 1e3:.2f}" for ms in stops)
        yield Row(f"{name}: {what}, Stop to stopped", each, max(stops) / 1e3, STOPPED_S, "s")


def begun(page: Page, name: str, folder: bytes, what: str, most_s: float) -> dict[str, Any]:
    """What `longWork` tells of one work, begun on the prop as it was just brought: what is proved of one is kept."""
    drop_prop(page, name, folder)
    ready(page, TABS[what])
    found: dict[str, Any] = page.evaluate(
        "([work, most]) => longWork(work, most)", [asdict(WORKS[what]), most_s * 1e3]
    )
    return found


def ready(page: Page, tab: str) -> bool:
    """Bring a panel to the front; whether all came to rest then, as nothing does that something else keeps busy."""
    page.get_by_role("tab", name=tab, exact=True).click()
    page.wait_for_timeout(500)
    if tab == TABS["envelope"]:
        page.get_by_label("Resolution").select_option(RESOLUTION)
    rest: bool = page.evaluate("most => atRest(most)", REST_MS)
    return rest


def sliders(page: Page, name: str, folder: bytes, how: Polite, picture: str) -> Iterator[Row]:
    """A slider by itself, and while each work runs."""
    for what in ("alone", *how.works):
        drop_prop(page, name, folder)
        ready(page, TABS.get(what, TABS["envelope"]))
        # Once before: a picture learns that it is slow while something moves, and what runs often is compiled.
        page.evaluate("([slider, count]) => slid(slider, count)", [SLIDER, how.events])
        rest = "" if ready(page, TABS.get(what, TABS["envelope"])) else "; no rest before"
        if what == "alone":
            yield from slid(page, f"alone{rest}", name, picture, how.events, None)
        else:
            yield from slid(page, f"during {what}{rest}", name, picture, how.events, asdict(WORKS[what]))


def told(what: str, whole: dict[str, Any]) -> Iterator[Row]:
    """The longest time without a telling, a row a phase; from when the second worker holds the prop."""
    yield Row(f"{what}, no first word for", "", whole["first"] / 1e3, TOLD_S, "s")
    phases: dict[str, list[float]] = {}
    for each in whole["between"]:
        phases.setdefault(each["phase"], []).append(each["ms"])
    for phase, times in phases.items():
        end = "" if whole["done"] else " of a longer one"
        found = f"{len(times)} in {sum(times) / 1e3:.1f} s{end}"
        yield Row(f"{what}, {phase}: no word for", found, max(times) / 1e3, TOLD_S, "s")


def slid(
    page: Page, when: str, name: str, picture: str, events: int, work: dict[str, str] | None
) -> Iterator[Row]:
    """How long a slider waits, and how long Python itself takes for its poses."""
    if work is None:
        found = page.evaluate("([slider, count]) => slid(slider, count)", [SLIDER, events])
    else:
        found = page.evaluate("([work, ...rest]) => meanwhile(work, ...rest)", [work, SLIDER, events])
    short = "" if found.get("ran", True) else "; it ended before"
    goal = SLIDER_MS if picture == COUNTS else None
    for what, times, most in (("slider", found["times"], goal), ("  its poses alone", found["poses"], None)):
        p95 = statistics.quantiles(times, n=20)[-1]
        title = f"{name}: {what} {when}{short}, picture {picture}, p95"
        yield Row(title, f"median {statistics.median(times):.1f} of {len(times)}", p95, most, "ms")


def natively(name: str) -> Iterator[Row]:
    prop = posekit.load(MODELS / name)
    works: dict[str, Callable[[Prop, float, Callable[[], None]], None]] = {
        "power": power,
        "envelope --fix": envelope,
    }
    for what, work in works.items():
        for budget in BUDGETS_S:
            words: list[float] = [time.monotonic()]
            work(prop, budget, lambda words=words: words.append(time.monotonic()))
            end = time.monotonic()
            over = end - words[0] - budget
            longest = max(b - a for a, b in zip(words, [*words[1:], end], strict=True))
            title = f"{name}: posekit {what} --budget {budget:g}"
            yield Row(f"{title}, no word for", f"{len(words)} words", longest, TOLD_S, "s")
            yield Row(f"{title}, too long by", "", over, STOPPED_S, "s")


def power(prop: Prop, budget: float, tell: Callable[[], None]) -> None:
    until = time.monotonic() + budget

    def stop() -> bool:
        return time.monotonic() >= until

    burden = finished(burden_steps(prop), lambda _: tell())
    watched = finished(watch_steps(prop), lambda _: tell())
    report = finished(power_steps(prop, None, stop=stop, burden=burden), lambda _: tell())
    worst = [each.holding.values if each.may_sleep is False else None for each in report.drives]
    rest = [drive.rest_value for drive in prop.drives]
    finished(loss_steps(prop, rest, stop, worst, watched, burden), lambda _: tell())


def envelope(prop: Prop, budget: float, tell: Callable[[], None]) -> None:
    until = time.monotonic() + budget
    report = envelope_report(prop, budget_s=budget, progress=lambda _: tell())
    fix_report(prop, report, budget_s=max(until - time.monotonic(), 0.0), progress=lambda _: tell())


def show(rows: list[Row]) -> None:
    load = f"load of the machine {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores"
    table = Table(title=f"Long work; {load}")
    for column in ("what", "", "found", "goal", ""):
        table.add_column(column, justify="right" if column in ("found", "goal") else "left")
    for row in rows:
        goal = "" if row.goal is None else f"< {row.goal:g} {row.unit}"
        table.add_row(row.what, row.found, f"{row.longest:.2f} {row.unit}", goal, row.verdict)
    Console(width=150).print(table)


if __name__ == "__main__":
    main()
