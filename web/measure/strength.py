"""What the panel Strength adds to a pose: `python web/measure/strength.py`. Prints a table.

A channel is moved 60 times a second, turn by turn with the panel Strength open and with one that asks for nothing: A B,
B A, A B and so on. The time is from each event until Python's pose of it, or of a later one, is there. Absolute times
are of this machine with all that it does besides: what counts is one beside the other, pair by pair, and how far the
pairs lie apart: a difference that is smaller than that tells nothing.
"""

from __future__ import annotations

import argparse
import os
import statistics
import sys
from pathlib import Path
from typing import Any

from playwright.sync_api import Page, sync_playwright
from rich.console import Console
from rich.table import Table

sys.path.insert(0, str(Path(__file__).resolve().parent))
from common import BROWSERS, CHROMIUM, HERE, served

GOAL_MS = 3.0
PANELS = ("Looks", "Strength")


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--events", type=int, default=120, help="events of a turn")
    options.add_argument("--turns", type=int, default=16, help="turns with each panel, even")
    options.add_argument("--drive", default="neck_base", help="the drive that is moved, of the first prop")
    asked = options.parse_args()
    turns: dict[str, list[dict[str, Any]]] = {panel: [] for panel in PANELS}
    with served() as address, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=next(iter(BROWSERS.values())))
        page = browser.new_page(viewport={"width": 1280, "height": 800})
        page.set_default_timeout(300_000)
        page.add_init_script((HERE / "strength.js").read_text())
        page.goto(address)
        page.wait_for_selector("html[data-picture=posed]", state="attached")
        for turn in range(asked.turns + 1):
            for panel in PANELS[:: 1 if turn % 2 else -1]:  # what drifts meets both alike
                found = measured(page, panel, asked.drive, asked.events)
                turns[panel] += [found] if turn else []  # the first turn loads what it needs
        browser.close()
    show(turns)


def measured(page: Page, panel: str, drive: str, events: int) -> dict[str, Any]:
    """With a panel open: the `times` of all events [ms], in `seconds`, and how often `bars` were asked for."""
    page.get_by_role("tab", name=panel).click()
    page.wait_for_timeout(500)
    found: dict[str, Any] = page.evaluate(
        "([slider, count]) => slid(slider, count)", [f"#channel-{drive}", events]
    )
    return found


def show(turns: dict[str, list[dict[str, Any]]]) -> None:
    load = f"load of the machine {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores"
    table = Table(title=f"Event to pose; {load}")
    for column in ("panel", "median", "p95", "events a second", "bars a second"):
        table.add_column(column, justify="left" if column == "panel" else "right")
    for panel, found in turns.items():
        times = [time for turn in found for time in turn["times"]]
        seconds = sum(turn["seconds"] for turn in found)
        rates = (len(times) / seconds, sum(turn["bars"] for turn in found) / seconds)
        table.add_row(
            panel,
            f"{statistics.median(times):.1f} ms",
            f"{p95(times):.1f} ms",
            *(f"{rate:.1f}" for rate in rates),
        )
    Console().print(table)
    for what, of in (("at the median", statistics.median), ("at p95", p95)):
        more = [
            of(b["times"]) - of(a["times"]) for a, b in zip(*(turns[panel] for panel in PANELS), strict=True)
        ]
        low, middle, high = statistics.quantiles(more, n=4)
        Console().print(
            f"The panel adds {middle:.1f} ms {what}, by the median of {len(more)} pairs; half of them lie between "
            f"{low:.1f} and {high:.1f} ms (goal at p95: {GOAL_MS:g} ms)."
        )


def p95(times: list[float]) -> float:
    """What 95 in a hundred stay below."""
    return statistics.quantiles(times, n=20)[-1]


if __name__ == "__main__":
    main()
