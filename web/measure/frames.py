"""Pictures while a slider is dragged and while a show plays: `python web/measure/frames.py`. Prints a table.

The time is that between pictures of the figure, each taken when it was drawn to its last pixel. At rest none is drawn.
"""

from __future__ import annotations

import argparse
import os
import statistics
from collections.abc import Iterator
from typing import Any

from common import BROWSERS, CHROMIUM, DESK, MODELS, served
from dragging import open_prop, scripts, zipped
from playwright.sync_api import Page, Playwright, sync_playwright
from rich.console import Console
from rich.table import Table

GOAL_MS = 100.0
EVENTS, SECONDS = 180, 4.0
SHOWS = {"heron": "shows/fishing.toml", "longwood": "shows/telling.toml"}


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--events", type=int, default=EVENTS, help="moves of a slider")
    options.add_argument("--seconds", type=float, default=SECONDS, help="of a show")
    asked = options.parse_args()
    with sync_playwright() as playwright:
        table(list(frames(playwright, asked.events, asked.seconds)))


def frames(
    playwright: Playwright, events: int = EVENTS, seconds: float = SECONDS
) -> Iterator[tuple[str, str, dict[str, Any]]]:
    """In which browser, what moves in it, and the pictures meanwhile."""
    with served() as address:
        for kind, flags in BROWSERS.items():
            for name, show in SHOWS.items():
                browser = playwright.chromium.launch(executable_path=CHROMIUM, args=flags)
                page = browser.new_page(viewport=DESK)
                page.set_default_timeout(300_000)
                page.add_init_script(scripts("pictures.js", "frames.js"))
                open_prop(page, address, name, zipped(name, MODELS / name))
                for what, found in measured(page, show, events, seconds):
                    yield kind, f"{name}: {what}", found
                browser.close()


def measured(page: Page, show: str, events: int, seconds: float) -> list[tuple[str, dict[str, Any]]]:
    page.get_by_role("tab", name="Channels").click()
    page.wait_for_timeout(1500)
    slid = page.evaluate("count => slid(count)", events)
    page.wait_for_timeout(2000)
    rest = page.evaluate("watched(1000)")
    page.get_by_role("tab", name="Motion").click()
    page.get_by_role("tabpanel", name="Motion").get_by_label("Show", exact=True).select_option(show)
    page.get_by_role("button", name="Play", exact=True).click()
    page.wait_for_timeout(1000)
    played = page.evaluate("ms => watched(ms)", seconds * 1e3)
    return [("a slider dragged", slid), ("at rest", rest), ("a show played", played)]


def table(rows: list[tuple[str, str, dict[str, Any]]]) -> None:
    load = f"load of the machine {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores"
    drawn = Table(title=f"Pictures while something moves; {load}")
    for column in ("browser", "what", "pictures", "median", "p95", f"p95 < {GOAL_MS:g} ms"):
        drawn.add_column(column, justify="left" if column in ("browser", "what") else "right")
    for kind, what, found in rows:
        times = found["between"]
        if len(times) < 2:
            drawn.add_row(kind, what, f"{found['drawn']}", "", "", "")
            continue
        p95 = statistics.quantiles(times, n=20)[-1]
        verdict = "met" if p95 < GOAL_MS else "missed"
        drawn.add_row(
            kind, what, f"{found['drawn']}", f"{statistics.median(times):.0f} ms", f"{p95:.0f} ms", verdict
        )
    Console(width=120).print(drawn)


if __name__ == "__main__":
    main()
