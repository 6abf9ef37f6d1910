"""Where the browser gives no WebGL, or takes it away: all of the page works, and the picture says what it lacks."""

from __future__ import annotations

import base64
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Playwright, expect

import posekit
from posekit.pipeline import pose_at, rest
from tests.conftest import demo_prop
from tests.web.conftest import CHROMIUM, Bench, opened, profile_of
from tests.web.test_page_still import STILLS, off, picture

pytestmark = [pytest.mark.page, pytest.mark.python("native"), pytest.mark.own_page, pytest.mark.timeout(600)]

HERON = demo_prop("heron")
WITHOUT = ["--no-sandbox", "--disable-gpu", "--disable-software-rasterizer", "--disable-3d-apis"]
LIKE_WEBGL = (
    8.0  # of 255, in the mean over the grid: other light and no shadow, the same figure at the same place
)


@pytest.fixture
def without(playwright: Playwright, address: str, worker: str) -> Iterator[Bench]:
    """The page in a browser that gives no WebGL, as large as the still was taken."""
    browser = playwright.chromium.launch(executable_path=CHROMIUM, args=WITHOUT)
    setting = {"viewport": {"width": 1680, "height": 853}, "color_scheme": "light"}
    context = profile_of(browser, setting, worker)
    standing = opened(context, address)
    assert standing.bench.page.evaluate("() => document.createElement('canvas').getContext('webgl2')") is None
    yield standing.bench
    assert standing.problems == []
    browser.close()


def test_the_walk_of_a_builder_works_without_webgl(without: Bench, tmp_path: Path) -> None:
    without.stands_as(rest(HERON))
    page = without.page
    page.get_by_text("Drawn without the graphics card").wait_for()
    page.wait_for_timeout(1000)  # it is fine when it rests
    still = base64.b64encode((STILLS / "light-wide.webp").read_bytes()).decode()
    assert off(page, picture(page), still) < LIKE_WEBGL

    before = picture(page)
    without.tab("Channels").get_by_role("slider").first.fill("60000")
    values = {**rest(HERON).values, HERON.drives[0].name: 60000}
    without.stands_as(pose_at(HERON, list(values.values())))
    page.wait_for_timeout(1000)
    assert off(page, before, picture(page)) > 0.5

    findings = without.tab("Findings")
    findings.locator(".finding").first.wait_for()
    expect(findings.get_by_role("status")).to_be_empty()  # it is checked to its end
    without.tab("Sheets").get_by_role("button", name="Show the sheets").click()
    page.get_by_role("heading", name="Marsh heron sheets").wait_for()
    page.get_by_role("button", name="Close").click()
    page.get_by_role("button", name="Save", exact=True).click()
    with page.expect_download() as saved:
        page.get_by_role("dialog").get_by_role("button", name="GLB of this pose").click()
    saved.value.save_as(tmp_path / "heron.glb")
    assert posekit.load(tmp_path / "heron.glb") == HERON


@pytest.mark.parametrize("setting", [{"drawn": True}], indirect=True)
def test_graphics_that_go_are_told_and_the_picture_comes_back_with_them(bench: Bench) -> None:
    page = bench.page
    bench.quiet()
    page.wait_for_timeout(1500)  # it is fine, and all that lies over it is there
    before = picture(page)
    page.evaluate(
        """() => {
            const gl = document.querySelector("#view canvas").getContext("webgl2");
            window.lost = gl.getExtension("WEBGL_lose_context");
            window.lost.loseContext();
        }"""
    )
    told = page.get_by_text("The browser draws no picture now")
    told.wait_for(state="attached")
    bench.tab("Channels").get_by_role("slider").first.wait_for()
    page.evaluate("() => window.lost.restoreContext()")
    expect(told).to_have_count(0)
    page.wait_for_timeout(1000)
    assert off(page, before, picture(page)) < 1.0
