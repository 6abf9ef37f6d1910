"""The page against its budget: `python web/measure/measure.py`. Prints a table; ends with 1 if a goal is missed.

Cold means a browser that was just started with an empty profile, and the page from `posekit show` on this machine. All
of it takes half an hour on two cores that do nothing else.
"""

from __future__ import annotations

import argparse
import json
import os
import statistics
import subprocess
import sys
import time
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from bare import ALONE, bare, still_alone
from common import BROWSERS, CHROMIUM, HERE, MODELS, PAGE, Row, calm_page, served
from frames import GOAL_MS, frames
from long import PROPS, Polite, polite
from playwright.sync_api import Browser, Playwright, sync_playwright
from rich.console import Console
from rich.table import Table
from visits import KINDS, sites, turn

# Asks a worker as a slider does; the time is from the question to the transforms, distances and points.
DOOR, ASK = ((HERE / name).read_text() for name in ("door.js", "ask.js"))
POSE_GOALS_MS = {"heron": 8.0, "longwood": 16.0}
BOTH_GOAL_MS = 16.0  # transforms and clearances of the heron
ENVELOPE_GOAL_S = 60.0  # the heron at 1 degree
# Of what Python and NumPy alone take, in the same browser and run: machines differ threefold, and so do times.
PICTURE_GOAL, READY_GOAL = 0.1, 0.45
BARE_VISIT, LATER_VISIT = "bare", "page, service worker"


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--runs", type=int, default=5, help="cold starts; the median counts")
    options.add_argument("--start", action="store_true", help="measure cold starts alone")
    given = options.parse_args()
    with served() as address, bare() as alone, still_alone() as still, sync_playwright() as playwright:

        def launch(flags: list[str] = BROWSERS["as it comes"]) -> Browser:
            return playwright.chromium.launch(executable_path=CHROMIUM, args=flags)

        visits, bares, pyodides = [], [], []
        stills: dict[str, list[tuple[float, float]]] = {kind: [] for kind in BROWSERS}
        for _ in range(given.runs):  # in turns, because the load of a machine changes
            bares.append(bare_start(launch, alone))
            pyodides.append(bare_start(launch, alone + ALONE))
            visits.append(first_visit(launch, address))
            for kind, flags in BROWSERS.items():
                stills[kind].append((first_still(launch(flags), address), first_still(launch(flags), still)))
        rows = [*bytes_rows(visits[0]["asked"]), *start_rows(visits, bares, pyodides), *still_rows(stills)]
        if given.start:
            show(rows)
            sys.exit(any(row.verdict == "missed" for row in rows))
        slider = {name: asked(launch, address, name, surveyed=False) for name in POSE_GOALS_MS}
        survey = asked(launch, address, "heron", surveyed=True)
        rows += [*slider_rows(slider), *survey_rows(survey), *later_rows(playwright, given.runs)]
        rows += [*frame_rows(playwright), *long_rows(playwright)]
    show(rows)
    sys.exit(any(row.verdict == "missed" for row in rows))


def first_visit(launch: Any, address: str) -> dict[str, Any]:
    """When picture and core were there [ms], and the files that were asked for until then."""
    browser = launch()
    page = calm_page(browser)
    asked: dict[str, float] = {}
    page.context.on("request", lambda request: asked.setdefault(urlsplit(request.url).path, time.monotonic()))
    page.goto(address)
    page.wait_for_selector("html[data-engine=ready]", state="attached", timeout=60_000)
    page.wait_for_selector("html[data-picture=posed]", state="attached", timeout=60_000)
    page.wait_for_function("() => window.seen.drawn")
    page.wait_for_timeout(500)
    seen = page.evaluate("window.seen")
    browser.close()
    seen["picture"] = min(seen.get("still", seen["drawn"]), seen["drawn"])
    # What is kept for a visit without a network is asked for after that, and no part of the first picture.
    ready = min(asked.values()) + seen["engine=ready"] / 1e3
    return {"seen": seen, "asked": [path for path, at in asked.items() if at <= ready]}


def first_still(browser: Browser, address: str) -> float:
    """When the still was on the screen [ms]."""
    page = calm_page(browser)
    page.goto(address, wait_until="commit")
    page.wait_for_function("() => window.seen.still")
    taken: float = page.evaluate("window.seen.still")
    browser.close()
    return taken


def bare_start(launch: Any, address: str) -> float:
    """When Python was there, with NumPy or alone [ms]."""
    browser = launch()
    page = calm_page(browser)
    page.goto(address)
    page.wait_for_selector("html[data-engine=ready]", state="attached", timeout=120_000)
    taken: float = page.evaluate("window.seen['engine=ready']")
    browser.close()
    return taken


def asked(launch: Any, address: str, name: str, *, surveyed: bool) -> dict[str, Any]:
    """What ask.js measures of one prop in the page's own workers."""
    folder = MODELS / name
    files = {
        path.relative_to(folder).as_posix(): list(path.read_bytes())
        for path in folder.rglob("*")
        if path.is_file()
    }
    (worker,) = (PAGE / "assets").glob("engine.worker-*.js")
    browser = launch()
    page = browser.new_page()
    page.set_default_timeout(600_000)
    page.goto(f"{address}icon.svg")
    page.evaluate(DOOR, f"/assets/{worker.name}")
    found: dict[str, Any] = page.evaluate(ASK, {"files": files, "surveyed": surveyed})
    browser.close()
    return found


def bytes_rows(asked: list[str]) -> list[Row]:
    places = [PAGE / (path.lstrip("/") or "index.html") for path in asked]
    files = [str(place) for place in places if place.is_file()]
    done = subprocess.run(
        ["node", str(HERE / "sizes.mjs"), *files], capture_output=True, text=True, check=True
    )
    sizes = json.loads(done.stdout)
    total = {kind: sum(size[kind] for size in sizes.values()) / 1e6 for kind in ("plain", "gzip", "brotli")}
    largest = sorted(sizes, key=lambda file: -sizes[file]["brotli"])
    rows = [
        Row(f"first visit, {kind}", total[kind], 7.0 if kind == "brotli" else None, "MB") for kind in total
    ]
    return rows + [
        Row(f"  {Path(file).name}", sizes[file]["brotli"] / 1e6, None, "MB") for file in largest[:7]
    ]


def start_rows(visits: list[dict[str, Any]], bares: list[float], pyodides: list[float]) -> list[Row]:
    """Cold starts: seconds, and beside them how many times what Python and NumPy alone took just before.

    What Python takes without NumPy no page can come below, whatever the goal, but one that keeps its memory.
    """
    stages = (
        ("first picture, still or figure", "picture", 0.8, PICTURE_GOAL),
        ("figure drawn", "drawn", None, None),
        ("core ready to pose", "engine=ready", 1.2, READY_GOAL),
        ("prop posed by Python", "picture=posed", None, None),
    )
    floor = statistics.median(a / b for a, b in zip(pyodides, bares, strict=True))
    rows = [
        Row("Python and NumPy alone, cold", statistics.median(bares) / 1e3, None, "s"),
        Row("  Python without NumPy, to both", floor, None, "x"),
    ]
    for what, state, goal_s, goal in stages:
        times = [(visit["seen"][state], alone) for visit, alone in zip(visits, bares, strict=True)]
        rows.append(Row(f"{what}, cold", statistics.median(time for time, _ in times) / 1e3, goal_s, "s"))
        rows.append(Row("  to Python and NumPy alone", statistics.median(a / b for a, b in times), goal, "x"))
    return rows


def still_rows(stills: dict[str, list[tuple[float, float]]]) -> list[Row]:
    """When the page's still was there, and beside it the least that any page takes: the still alone, just after."""
    rows = []
    for kind, times in stills.items():
        page, least = (statistics.median(each) / 1e3 for each in zip(*times, strict=True))
        rows.append(Row(f"still of the page, cold; browser {kind}", page, None, "s"))
        rows.append(Row("  the still and nothing else", least, None, "s"))
        rows.append(Row("  one to the other", statistics.median(a / b for a, b in times), None, "x"))
    return rows


def later_rows(playwright: Playwright, turns: int) -> Iterator[Row]:
    """The second visit, with what the service worker keeps, beside the first and beside bare Python and NumPy."""
    with sites() as addresses:
        kinds = {kind: KINDS[kind] for kind in (BARE_VISIT, LATER_VISIT)}
        found = [turn(playwright, addresses, kinds, visits=2) for _ in range(turns)]
    first, second = (f"{LATER_VISIT}: {count}" for count in ("first", "second"))
    yield Row("ready on a second visit", statistics.median(each[second] for each in found) / 1e3, None, "s")
    for what, beside, goal in (
        ("to Python and NumPy alone, cold", f"{BARE_VISIT}: first", READY_GOAL),
        ("to the first visit", first, 1.0),
    ):
        yield Row(f"  {what}", statistics.median(each[second] / each[beside] for each in found), goal, "x")


def frame_rows(playwright: Playwright) -> Iterator[Row]:
    """Pictures while something moves, and how many there are while nothing does."""
    for kind, what, found in frames(playwright):
        times = found["between"]
        if what.endswith("at rest"):
            yield Row(f"{what}; browser {kind}", found["drawn"], 1, "pictures")
        elif len(times) > 1:
            p95 = statistics.quantiles(times, n=20)[-1]
            yield Row(f"{what}, between pictures, p95; browser {kind}", p95, GOAL_MS, "ms")


def long_rows(playwright: Playwright) -> Iterator[Row]:
    """Whether long work stays polite, in the page and natively."""
    for each in polite(playwright, PROPS, Polite()):
        yield Row(each.what, each.longest, each.goal, each.unit)


def slider_rows(slider: dict[str, dict[str, list[float]]]) -> list[Row]:
    rows = []
    for name, times in slider.items():
        goals = {"pose": POSE_GOALS_MS[name]}
        if name == "heron":
            goals["pose + near"] = BOTH_GOAL_MS
        for what, taken in times.items():
            rows += time_rows(f"{name}: {what}", taken, goals.get(what))
    return rows


def survey_rows(survey: dict[str, Any]) -> list[Row]:
    """The envelope of the heron, and its slider meanwhile."""
    looks = [0.0, *survey["looks"]]
    longest = max(after - before for before, after in pairwise(looks))
    return [
        Row("heron: envelope at 1 deg", survey["seconds"], ENVELOPE_GOAL_S, "s"),
        Row("  with what would clear it", survey["suggested"], None, "s"),
        Row("  longest wait for its progress", longest, None, "s"),
        Row("  pairs left open", survey["open"], None, ""),
        *time_rows("  meanwhile: pose + near", survey["times"], BOTH_GOAL_MS),
    ]


def time_rows(what: str, taken: list[float], goal_ms: float | None) -> list[Row]:
    return [
        Row(f"{what}, median", statistics.median(taken), None, "ms"),
        Row(f"{what}, p95", statistics.quantiles(taken, n=20)[-1], goal_ms, "ms"),
    ]


def show(rows: list[Row]) -> None:
    table = Table(
        title=f"Budget of the page; load of the machine {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores"
    )
    for column in ("what", "found", "goal", ""):
        table.add_column(column, justify="right" if column in ("found", "goal") else "left")
    for row in rows:
        goal = "" if row.goal is None else f"< {row.goal:g} {row.unit}"
        table.add_row(row.what, f"{row.found:.2f} {row.unit}", goal, row.verdict)
    Console().print(table)


if __name__ == "__main__":
    main()
