"""Whether long work stays polite: `python web/measure/long.py`. Prints a table.

The envelope, the proof of strength and the falls run in the page's second worker, on heron and longwood: the longest
time between two tellings of how far it is, with the phase that it was in; the time from Stop until it may begin again,
stopped at several moments; and while it runs, how long a slider waits for Python's pose, beside the same slider with
nothing running. Then `posekit power` and `posekit envelope --fix` natively: the same times, and how far past its budget
each goes.
"""

from __future__ import annotations

import argparse
import os
import statistics
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from common import BROWSERS, CHROMIUM, MODELS, served
from dragging import drop_prop, open_prop, scripts, zipped
from playwright.sync_api import Browser, Page, Playwright, sync_playwright
from rich.console import Console
from rich.table import Table

import posekit
from posekit.prop.model import Prop
from posekit.report.envelope import envelope_report
from posekit.report.fix import fix_report
from posekit.report.loss import loss_steps
from posekit.report.power import power_steps
from posekit.stepwise import finished

TOLD_S, STOPPED_S, SLIDER_MS = 0.5, 0.5, 16.0
PROPS = ("heron", "longwood")
STOPS = (0.1, 0.35, 0.6, 0.85)  # of how long the work takes
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

    most: float = 60.0
    events: int = 180
    works: tuple[str, ...] = tuple(WORKS)
    where: str | None = None


@dataclass(frozen=True)
class Row:
    """The longest of what was found, against its goal."""

    what: str
    found: str
    longest: float
    goal: float
    unit: str


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
            browser = playwright.chromium.launch(executable_path=CHROMIUM, args=BROWSERS["as it comes"])
            for name in props:
                yield from in_page(browser, address, name, how)
            browser.close()
    if how.where != "page":
        for name in props:
            yield from natively(name)


def in_page(browser: Browser, address: str, name: str, how: Polite) -> Iterator[Row]:
    page = browser.new_page(viewport={"width": 1280, "height": 800})
    page.set_default_timeout(600_000)
    page.add_init_script(scripts("strength.js", "long.js"))
    folder = zipped(name, MODELS / name)
    open_prop(page, address, name, folder)
    for what in how.works:
        work = asdict(WORKS[what])
        page.get_by_role("tab", name=TABS[what], exact=True).click()
        page.wait_for_timeout(500)
        whole = page.evaluate("([work, most]) => longWork(work, most)", [work, how.most * 1e3])
        yield from told(f"{name}: {what}", whole)
        stops = [] if whole["stopped"] is None else [whole["stopped"]]
        for share in STOPS:
            drop_prop(page, name, folder)  # what is proved of one is kept
            page.wait_for_timeout(500)
            most = share * whole["seconds"] * 1e3
            found = page.evaluate("([work, most]) => longWork(work, most)", [work, most])
            stops += [] if found["stopped"] is None else [found["stopped"]]
        if stops:
            each = ", ".join(f"{ms / 1e3:.2f}" for ms in stops)
            yield Row(f"{name}: {what}, Stop to stopped", each, max(stops) / 1e3, STOPPED_S, "s")
        drop_prop(page, name, folder)
        yield from slid(page, f"{name}: {what}", work, how.events)
    page.close()


def told(what: str, whole: dict[str, Any]) -> Iterator[Row]:
    """The longest time without a telling, a row a phase."""
    phases: dict[str, list[float]] = {}
    for each in whole["between"]:
        phases.setdefault(each["phase"], []).append(each["ms"])
    for phase, times in phases.items():
        end = "" if whole["done"] else " of a longer one"
        found = f"{len(times)} in {sum(times) / 1e3:.1f} s{end}"
        yield Row(f"{what}, {phase}: no word for", found, max(times) / 1e3, TOLD_S, "s")


def slid(page: Page, what: str, work: dict[str, str], events: int) -> Iterator[Row]:
    """A slider by itself, and while the work runs."""
    alone = page.evaluate("([slider, count]) => slid(slider, count)", [SLIDER, events])
    during = page.evaluate("([work, ...rest]) => meanwhile(work, ...rest)", [work, SLIDER, events])
    for when, found in (("alone", alone), ("meanwhile" if during["ran"] else "at first", during)):
        times = found["times"]
        p95 = statistics.quantiles(times, n=20)[-1]
        yield Row(
            f"{what}, slider {when}, p95", f"median {statistics.median(times):.1f}", p95, SLIDER_MS, "ms"
        )


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

    report = finished(power_steps(prop, None, stop=stop), lambda _: tell())
    worst = [each.holding.values if each.may_sleep is False else None for each in report.drives]
    rest = [drive.rest_value for drive in prop.drives]
    finished(loss_steps(prop, rest, stop, worst), lambda _: tell())


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
        verdict = "met" if row.longest < row.goal else "missed"
        table.add_row(
            row.what, row.found, f"{row.longest:.2f} {row.unit}", f"< {row.goal:g} {row.unit}", verdict
        )
    Console(width=140).print(table)


if __name__ == "__main__":
    main()
