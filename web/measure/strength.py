"""What the panel Strength adds to a pose: `python web/measure/strength.py`. Prints a table.

A channel is moved once a frame, turn by turn with the panel Strength open and with two that ask for nothing, in
another order each round. The time is from the beginning of each frame until Python's pose of its move or of a later
one is there. Absolute times are of this machine with all that it does besides: what counts is one beside the other,
and how far they differ between the two that ask for nothing, which is chance.

The goal is of a machine with a graphics card. What comes nearest to one here is a browser that is given all commands of
the picture and draws none; where it is drawn by a program, that takes the cores that page and Python run on.
"""

from __future__ import annotations

import argparse
import os
import statistics
import sys
import time
from collections.abc import Sequence
from itertools import permutations
from pathlib import Path
from random import Random
from typing import Any

from playwright.sync_api import Page, Playwright, sync_playwright
from rich.console import Console
from rich.table import Table

sys.path.insert(0, str(Path(__file__).resolve().parent))
from common import BROWSERS, CARD, CHROMIUM, DESK, HERE, served

GOAL_MS = 3.0
WITHOUT, CONTROL, WITH = PANELS = ("Looks", "Notes", "Strength")
# How the picture is drawn: the flags of the browser, what the page is given first, and whether the goal is of it.
PICTURES = {
    "that costs nothing": (CARD, ("card.js", "strength.js"), True),
    "by a program": (BROWSERS["as it comes"], ("strength.js",), False),
}
SETTLES_MS = 300  # a panel that was opened is drawn, and asks for what it shows
DRAWN_AGAIN = 400  # times that rounds are drawn from those there are, for the spread

Turn = dict[str, Any]
Rounds = list[dict[str, Turn]]


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--events", type=int, default=120, help="moves of a turn")
    options.add_argument("--turns", type=int, default=6, help="rounds of a turn with each panel")
    options.add_argument("--drive", default="neck_base", help="the drive that is moved, of the first prop")
    options.add_argument("--picture", choices=PICTURES, action="append", help="this one alone")
    asked = options.parse_args()
    with served() as address, sync_playwright() as playwright:
        for picture in asked.picture or PICTURES:
            show(picture, measured(playwright, address, picture, asked))


def measured(playwright: Playwright, address: str, picture: str, asked: argparse.Namespace) -> Rounds:
    """All rounds on one page: of each panel what `slid` tells."""
    flags, scripts, _ = PICTURES[picture]
    browser = playwright.chromium.launch(executable_path=CHROMIUM, args=flags)
    page = browser.new_page(viewport=DESK)
    page.set_default_timeout(300_000)
    page.add_init_script("\n".join((HERE / name).read_text() for name in scripts))
    page.goto(address)
    page.wait_for_selector("html[data-picture=posed]", state="attached")
    for panel in PANELS * 2:  # loads what each needs, and has the browser compile what runs often
        slid(page, panel, asked.drive, asked.events)
    orders = list(permutations(PANELS))  # what drifts meets all alike
    rounds = [
        {panel: slid(page, panel, asked.drive, asked.events) for panel in orders[turn % len(orders)]}
        for turn in range(asked.turns)
    ]
    browser.close()
    return rounds


def slid(page: Page, panel: str, drive: str, events: int) -> Turn:
    """With a panel open: the `times` of all moves [ms], in `seconds`, and what was `asked` how often."""
    page.get_by_role("tab", name=panel, exact=True).click()
    page.wait_for_timeout(SETTLES_MS)
    found: Turn = page.evaluate("([slider, count]) => slid(slider, count)", [f"#channel-{drive}", events])
    return found


def show(picture: str, rounds: Rounds) -> None:
    load = f"load of the machine {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores, {time.strftime('%H:%M')}"
    table = Table(title=f"Move to pose, a picture {picture}; {load}")
    for column in ("panel", "median", "p95", "poses a second", "steps of near", "bars a second"):
        table.add_column(column, justify="left" if column == "panel" else "right")
    for panel in PANELS:
        turns = [each[panel] for each in rounds]
        times, seconds = all_times(rounds, panel), sum(turn["seconds"] for turn in turns)
        rates = (
            sum(turn["asked"].get(what, 0) for turn in turns) / seconds for what in ("pose", "near", "held")
        )
        table.add_row(
            panel,
            f"{statistics.median(times):.1f} ms",
            f"{p95(times):.1f} ms",
            *(f"{rate:.1f}" for rate in rates),
        )
    Console().print(table)
    goal = f" (goal: under {GOAL_MS:g} ms)" if PICTURES[picture][2] else ""
    for what, of in (("the median", statistics.median), ("p95", p95)):
        for panel, words in ((WITH, "The panel adds"), (CONTROL, "By chance alone")):
            low, middle, high = added(rounds, panel, of)
            end = goal if panel == WITH and of is p95 else ""
            Console().print(
                f"{words} {middle:+.1f} ms to {what}; between {low:+.1f} and {high:+.1f} ms, 9 times in 10 of "
                f"{len(rounds)} rounds drawn anew{end}.",
                highlight=False,
            )


def added(rounds: Rounds, panel: str, of: Any) -> tuple[float, float, float]:
    """What a panel adds to a figure of all times [ms]: low, as found, high, by rounds drawn from those there are."""

    def more(some: Sequence[dict[str, Turn]]) -> float:
        found: float = of(all_times(some, panel)) - of(all_times(some, WITHOUT))
        return found

    random = Random(0)
    drawn = sorted(more(random.choices(rounds, k=len(rounds))) for _ in range(DRAWN_AGAIN))
    return drawn[DRAWN_AGAIN // 20], more(rounds), drawn[-DRAWN_AGAIN // 20]


def all_times(rounds: Sequence[dict[str, Turn]], panel: str) -> list[float]:
    return [time for each in rounds for time in each[panel]["times"]]


def p95(times: list[float]) -> float:
    """What 95 in a hundred stay below."""
    return statistics.quantiles(times, n=20)[-1]


if __name__ == "__main__":
    main()
