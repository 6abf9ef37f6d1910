"""The first visit: a picture at once, Python soon after, and nothing from anywhere else."""

from __future__ import annotations

from pathlib import Path
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import BrowserContext

import posekit
from posekit.pipeline import rest
from tests.web.conftest import Bench

pytestmark = [pytest.mark.page, pytest.mark.own_page]

HERON = posekit.load(Path(__file__).parents[2] / "models" / "heron")


def test_the_figure_is_drawn_while_python_is_held_back(
    profile: BrowserContext, address: str, shot, bench_of
) -> None:
    page = profile.new_page()
    page.route("**/runtime/**", lambda route: None)  # never answered
    page.goto(address)
    page.wait_for_selector("html[data-picture=first]", state="attached")
    bench = bench_of(page)
    bench.stands_as(rest(HERON))
    page.get_by_role("progressbar", name="Loading Python").wait_for()
    shot(bench, "first-picture")


def test_python_names_its_version_and_poses_the_prop_at_rest(bench, profile, shot) -> None:
    bench.becomes("() => document.documentElement.dataset.engine", "ready")
    bench.stands_as(rest(HERON))
    assert bench.page.get_by_role("progressbar").count() == 0
    shot(bench, "desk")


def test_a_prop_that_is_served_with_its_picture_is_not_built_again(
    profile: BrowserContext, address: str, bench_of
) -> None:
    asked: list[str] = []
    page = profile.new_page()
    page.on("request", lambda request: asked.append(urlsplit(request.url).path.rpartition("/")[2]))
    page.goto(address)
    bench = bench_of(page)
    bench.posed()
    bench.quiet()
    until_ready = [name for name in asked if name.endswith(".zip")]
    assert [name for name in until_ready if "trimesh" in name or "pygltflib" in name] == []
    assert len([name for name in asked if name.endswith(".glb")]) == 1
    saved(bench)  # which takes what no first visit needs
    assert [name for name in asked if "trimesh" in name] != []


def saved(bench: Bench) -> None:
    """Save the prop in its pose."""
    bench.page.get_by_role("button", name="Save").click()
    with bench.page.expect_download():
        bench.page.get_by_role("dialog").get_by_role("button", name="GLB of this pose").click()


def test_no_request_leaves_for_another_host(profile: BrowserContext, address: str, bench_of) -> None:
    asked: set[str] = set()
    page = profile.new_page()
    page.on("request", lambda request: asked.add(urlsplit(request.url).netloc))
    page.goto(address)
    bench_of(page).posed()
    page.wait_for_selector("html[data-offline=kept]", state="attached")
    assert asked - {""} == {urlsplit(address).netloc}
