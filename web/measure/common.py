"""What all measures have in common: the page that is built here, the browser, a row against its goal."""

from __future__ import annotations

import os
import shutil
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from playwright.sync_api import Browser, BrowserContext, Page, ViewportSize

from posekit import serve

HERE = Path(__file__).resolve().parent
WEB = HERE.parent
PAGE = WEB.parent / "posekit" / "page"
MODELS = WEB.parent / "models"
# The one without windows where it is there: the other takes processor time for a popup of its own in the very seconds
# in which a page starts.
CHROMIUM = os.environ.get("POSEKIT_CHROMIUM") or next(
    filter(None, map(shutil.which, ("chromium-headless-shell", "chromium"))), "/usr/bin/chromium"
)
FLAGS = (  # noqa: SIM905  (one line of flags reads better than a list of nine)
    "--no-sandbox --use-gl=angle --use-angle=swiftshader --enable-unsafe-swiftshader --disable-quic "
    "--no-first-run --disable-background-networking --disable-component-update --disable-sync"
).split()
# Where there is no graphics card a browser puts the page together by its own program and has only the figure drawn by a
# WebGL in software. With the flags above, which the tests take, the whole page goes through that.
BROWSERS = {"as it comes": ["--no-sandbox"], "all by WebGL": list(FLAGS)}
# The nearest to a machine with a graphics card where there is none: the page gives all its commands for a picture, and
# none is drawn, so that no program of the picture takes the cores that page and Python run on. `card.js` belongs to it.
CARD = [*FLAGS, "--disable-gl-drawing-for-tests"]
DESK: ViewportSize = {"width": 1280, "height": 800}
STARTED_S = 2

# Notes when each state of the page is first seen, in ms from the start of the navigation, and when the still and the
# figure stood on the screen.
WATCH = """
    window.seen = {};
    const note = (what, at = performance.now()) => void (window.seen[what] ??= at);
    new MutationObserver(() => {
        for (const [state, value] of Object.entries(document.documentElement.dataset)) note(`${state}=${value}`);
        document.querySelector(".still img")?.setAttribute("elementtiming", "still");
        // The figure is there and the still is not; the frame after the next has it on the screen.
        if (window.seen["picture=first"] && !document.querySelector(".still") && !window.awaited) {
            window.awaited = true;
            requestAnimationFrame(() => requestAnimationFrame(() => note("drawn")));
        }
    }).observe(document, {
        subtree: true, childList: true, attributes: true, attributeFilter: ["data-picture", "data-engine"],
    });
    new PerformanceObserver((list) => {
        for (const {renderTime} of list.getEntries()) note("still", renderTime);
    }).observe({type: "element", buffered: true});
"""


@dataclass(frozen=True)
class Row:
    """One line of the table; `found` and `goal` in the same unit."""

    what: str
    found: float
    goal: float | None
    unit: str

    @property
    def verdict(self) -> str:
        if self.goal is None:
            return ""
        return "met" if self.found < self.goal else "missed"


def calm_page(browser: Browser | BrowserContext) -> Page:
    """An empty page that notes what `WATCH` sees, of a browser that has done what it does for itself when it starts."""
    page = browser.new_page(**({"viewport": DESK} if isinstance(browser, Browser) else {}))
    page.add_init_script(WATCH)
    time.sleep(STARTED_S)
    return page


@contextmanager
def served() -> Iterator[str]:
    with serve.running(serve.Site((PAGE,))) as server:
        yield server.address
