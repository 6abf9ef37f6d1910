"""First and second visits beside bare Pyodide with NumPy: `python web/measure/visits.py`. Prints a table.

In turns, each kind in a profile of its own and each visit in a browser just started: bare Pyodide with NumPy, as they
come from their packages; Pyodide alone, and both from the page's own files, which tell how far the page can come down;
the page, with the browser's own cache alone, and with the service worker. Every time is from the navigation until
Python is ready, beside its share of the bare one in the same turn. A browser that has just started is left alone until
it has done what it does for itself.
"""

from __future__ import annotations

import argparse
import os
import statistics
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from tempfile import TemporaryDirectory
from typing import Literal

from bare import ALONE, BARE, OURS, bare, served
from common import BROWSERS, CHROMIUM, DESK, PAGE, calm_page
from playwright.sync_api import Playwright, sync_playwright
from rich.console import Console
from rich.table import Table

LONGEST_MS = 180_000
Kind = tuple[
    str, str, Literal["allow", "block"]
]  # its site, its path there, and whether a service worker may help
KINDS: dict[str, Kind] = {
    "bare": ("bare", BARE, "block"),
    "Pyodide alone": ("bare", ALONE, "block"),
    "both, from the page's files": ("bare", OURS, "block"),
    "page, browser's own cache": ("page", "", "block"),
    "page, service worker": ("page", "", "allow"),
}
SETTLED_S = 3  # in which a browser writes down what it has compiled


def main() -> None:
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--turns", type=int, default=5)
    options.add_argument("--visits", type=int, choices=(1, 2, 3), default=3, help="of each kind in a turn")
    options.add_argument("--browser", choices=BROWSERS, default="as it comes")
    asked = options.parse_args()
    flags = BROWSERS[asked.browser]
    with sync_playwright() as playwright, sites() as addresses:
        show([turn(playwright, addresses, KINDS, asked.visits, flags) for _ in range(asked.turns)])


@contextmanager
def sites() -> Iterator[dict[str, str]]:
    """The address of the page, and of what it is measured against."""
    with bare() as floor, served(PAGE) as address:
        yield {"bare": floor, "page": address}


def turn(
    playwright: Playwright,
    sites: Mapping[str, str],
    kinds: Mapping[str, Kind],
    visits: int,
    flags: Sequence[str] = BROWSERS["as it comes"],
) -> dict[str, float]:
    """Until ready for each kind of visit [ms]."""
    times = {}
    for name, (site, path, workers) in kinds.items():
        with TemporaryDirectory() as profile:
            for count in ("first", "second", "third")[:visits]:
                times[f"{name}: {count}"] = visit(playwright, profile, sites[site] + path, workers, flags)
    return times


def visit(
    playwright: Playwright,
    profile: str,
    address: str,
    workers: Literal["allow", "block"],
    flags: Sequence[str],
) -> float:
    """Until ready in a new browser with this profile [ms]."""
    context = playwright.chromium.launch_persistent_context(
        profile,
        executable_path=CHROMIUM,
        args=list(flags),
        service_workers=workers,
        viewport=DESK,
    )
    page = calm_page(context)
    page.set_default_timeout(LONGEST_MS)
    page.goto(address)
    page.wait_for_selector("html[data-engine=ready]", state="attached")
    if workers == "allow":
        page.wait_for_selector("html[data-offline=kept]", state="attached")
    time.sleep(SETTLED_S)
    ready = float(page.evaluate("window.seen['engine=ready']"))
    context.close()
    return ready


def show(found: list[dict[str, float]]) -> None:
    table = Table(
        title=f"Until ready; load of the machine {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores"
    )
    for column in ("visit", "median", "of bare"):
        table.add_column(column, justify="left" if column == "visit" else "right")
    for kind in found[0]:
        times = [each[kind] for each in found]
        shares = [each[kind] / each["bare: first"] for each in found]
        table.add_row(kind, f"{statistics.median(times) / 1e3:.2f} s", f"{statistics.median(shares):.2f}")
    Console(width=100).print(table)


if __name__ == "__main__":
    main()
