"""The still that the page begins with: it shows what is drawn in its place, and only where that is so.

`POSEKIT_GUIDE=write` takes the stills anew; otherwise those that are there have to show what the page draws.
"""

from __future__ import annotations

import base64
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Route

from posekit import serve
from posekit.serve.site import PAGE
from tests.web.conftest import DESK, profile_of
from tests.web.test_page_access import PHONE
from tests.web.test_page_building import COARSE, WRITES

pytestmark = [pytest.mark.page, pytest.mark.own_page, pytest.mark.timeout(900)]

STILLS = Path(__file__).parents[2] / "web" / "src" / "view" / "still"
STILL_BYTES = 32_000
# The part of the page that shows the figure is 1200 by 800 px there, and 390 by 679.
TAKEN_AT: dict[str, dict[str, Any]] = {
    "wide": {"viewport": {"width": 1680, "height": 853}},
    "tall": {**PHONE, "viewport": {"width": 390, "height": 844}, "device_scale_factor": 2},
}
SHAPES: list[dict[str, Any]] = [
    {"viewport": DESK},
    {"viewport": {"width": 1600, "height": 700}},
    {"viewport": {"width": 1024, "height": 768}},
    PHONE,
    {**PHONE, "viewport": {"width": 412, "height": 740}},
    {**PHONE, "viewport": {"width": 844, "height": 390}},
]
GRID = 48  # how finely pictures are compared: a shift of a hundredth of the view is told
UNLIKE = 2.0  # of 255, in the mean over the grid

PLACE = """() => {
    const {x, y, width, height} = document.querySelector("#view").getBoundingClientRect();
    return {x, y, width, height};
}"""
BARE = """() => {
    for (const over of document.querySelectorAll(".labels, .stage__tools, .stage__status, #drawer, #toasts")) {
        over.style.visibility = "hidden";
    }
}"""
WEBP = """async png => {
    const bytes = Uint8Array.from(atob(png), letter => letter.charCodeAt(0));
    const drawn = await createImageBitmap(new Blob([bytes]));
    const sheet = new OffscreenCanvas(drawn.width, drawn.height);
    sheet.getContext("2d").drawImage(drawn, 0, 0);
    const data = new Uint8Array(await (await sheet.convertToBlob({type: "image/webp", quality: 0.7})).arrayBuffer());
    return btoa(Array.from(data, each => String.fromCharCode(each)).join(""));
}"""


@pytest.fixture
def demos(address: str) -> Iterator[str]:
    """Where the page is served without a prop of the builder's."""
    with serve.running(serve.Site((PAGE,))) as server:
        yield server.address


@pytest.fixture
def held() -> list[Route]:
    """What was asked for and is held back."""
    return []


@pytest.fixture
def visit(browser: Browser, held: list[Route]) -> Iterator[Callable[..., Page]]:
    """Opens the page in a profile that has never seen it, and holds back what these files are asked for."""
    profiles: list[BrowserContext] = []

    def open_page(address: str, held_back: str, **setting: Any) -> Page:
        profiles.append(profile_of(browser, setting))
        page = profiles[-1].new_page()
        page.route(held_back, lambda route: held.append(route))
        page.goto(address, wait_until="commit")
        return page

    yield open_page
    for profile in profiles:
        profile.close()


def still_of(visit: Callable[..., Page], address: str, **setting: Any) -> Page:
    """The page as it is before anything is drawn."""
    page = visit(address, "**/assets/main-*.js", **setting)
    page.locator(".still img").wait_for()
    page.wait_for_load_state("domcontentloaded")
    page.evaluate("() => document.querySelector('.still img').decode()")
    return page


def drawn(page: Page) -> Page:
    """The page as it is when the figure has taken over."""
    page.locator(".still").wait_for(state="detached")
    page.wait_for_timeout(500)  # a slow picture is fine again when it rests
    return page


def picture(page: Page) -> str:
    """What is seen of the figure, without what lies over it, as a PNG in base64."""
    page.evaluate(BARE)
    return base64.b64encode(page.screenshot(clip=page.evaluate(PLACE))).decode()


def off(page: Page, *pictures: str) -> float:
    """How much two pictures differ."""
    one, other = (np.array(page.evaluate(COARSE, [each, GRID]), float) for each in pictures)
    return float(np.abs(one - other).mean())


@pytest.mark.parametrize("setting", [{"drawn": True}], indirect=True)
@pytest.mark.parametrize("shape", TAKEN_AT)
def test_the_still_shows_what_the_page_draws(visit: Callable[..., Page], demos: str, shape: str) -> None:
    """By day and, turned over while it stands, by night; the test below begins by night, too."""
    page = visit(demos, "**/runtime/**", color_scheme="light", **TAKEN_AT[shape])
    for theme in ("light", "dark"):
        page.emulate_media(color_scheme=theme)
        drawn(page)
        now, file = picture(page), STILLS / f"{theme}-{shape}.webp"
        if WRITES:
            file.write_bytes(base64.b64decode(page.evaluate(WEBP, now)))
        assert file.stat().st_size < STILL_BYTES
        kept = base64.b64encode(file.read_bytes()).decode()
        assert off(page, now, kept) < UNLIKE, (
            f"{file.name} shows another figure: POSEKIT_GUIDE=write takes it anew"
        )


@pytest.mark.parametrize("setting", [{"drawn": True}], indirect=True)
@pytest.mark.parametrize("shape", SHAPES, ids=lambda shape: "{width}x{height}".format(**shape["viewport"]))
def test_the_figure_takes_over_where_the_still_shows_it(
    visit: Callable[..., Page], held: list[Route], demos: str, shape: dict[str, Any]
) -> None:
    theme = ("light", "dark")[SHAPES.index(shape) % 2]
    page = still_of(visit, demos, color_scheme=theme, **shape)
    place, still = page.evaluate(PLACE), picture(page)
    page.route("**/runtime/**", lambda route: None)  # never answered
    for route in held:
        route.continue_()
    drawn(page)
    assert page.evaluate(PLACE) == place
    assert off(page, still, picture(page)) < UNLIKE


OVER = """thing => {
    document.querySelector(".still").style.pointerEvents = "auto";
    const {x, y, width, height} = document.querySelector(thing).getBoundingClientRect();
    return document.elementFromPoint(x + width / 2, y + height / 2).closest(thing) !== null;
}"""
NO_LONGEST = """
    const later = window.setTimeout;
    window.setTimeout = (act, ms, ...rest) => (ms === 4000 ? 0 : later(act, ms, ...rest));
"""


@pytest.mark.parametrize("end", ["Python is there", "a hand reaches for the figure"])
def test_where_the_processor_draws_the_still_stands_until(
    profile: BrowserContext, demos: str, end: str
) -> None:
    held: list[Route] = []
    page = profile.new_page()
    page.add_init_script(NO_LONGEST)  # however slow the machine is
    page.route("**/runtime/posekit-*", lambda route: held.append(route))
    page.goto(demos)
    page.wait_for_selector("html[data-picture=first]", state="attached")
    page.evaluate("() => new Promise(next => requestAnimationFrame(() => requestAnimationFrame(next)))")
    assert page.locator(".still").is_visible()
    assert page.locator("html").get_attribute("data-engine") == "loading"
    assert [page.evaluate(OVER, each) for each in ("#status progress", "#view-tools button")] == [True, True]
    if end == "Python is there":
        for route in held:
            route.continue_()
    else:
        page.locator("#view canvas").dispatch_event("pointerdown", {"pointerId": 1, "button": 0})
    page.locator(".still").wait_for(state="detached")


@pytest.mark.parametrize("way", ["by a link", "a second time", "where another prop comes first"])
def test_no_still_stands_where_another_picture_may_come(
    visit: Callable[..., Page], demos: str, address: str, way: str
) -> None:
    ways = {"by a link": f"{demos}#pose=x", "where another prop comes first": address}
    page = visit(ways.get(way, demos), "**/runtime/**")
    if way == "a second time":
        page.wait_for_selector("html[data-picture=first]", state="attached")
        page.goto(f"{demos}icon.svg")
        page.unroute("**/runtime/**")
        page.route("**/assets/main-*.js", lambda route: None)
        page.goto(demos, wait_until="commit")
    page.locator("#view").wait_for(state="attached")
    page.wait_for_load_state("domcontentloaded")
    assert not page.locator(".still").is_visible()
