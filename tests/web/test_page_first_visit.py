"""The first visit: a picture at once, Python soon after, few bytes, and nothing from anywhere else."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from urllib.parse import urlsplit
from urllib.request import Request, urlopen

import pytest
from playwright.sync_api import Browser, BrowserContext

from posekit import serve
from posekit.pipeline import rest
from posekit.serve.site import PAGE
from tests.conftest import demo_prop
from tests.web.conftest import Bench, profile_of

pytestmark = [pytest.mark.page, pytest.mark.own_page]

HERON = demo_prop("heron")
FIRST_VISIT_BYTES = 7e6  # until Python has posed the prop and answered all that the page asks by itself


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


@dataclass
class Visit:
    """A visit in a profile that never saw the page, and what was asked for, in turn."""

    bench: Bench
    asked: list[str] = field(default_factory=list)
    problems: list[str] = field(default_factory=list)
    first: list[str] = field(
        default_factory=list
    )  # of these until Python was ready and had nothing more to do


@pytest.fixture(scope="module")
def visit(browsers: Callable[[bool], Browser], address: str) -> Iterator[Visit]:
    """Of the page as a site has it, with the demo props of the wheel; `address` saw to its build."""
    with serve.running(serve.Site((PAGE,))) as site:
        context = profile_of(browsers(False), {})
        page = context.new_page()
        visit = Visit(Bench(page, site.address))
        page.on("request", lambda request: visit.asked.append(request.url))
        page.on("pageerror", lambda problem: visit.problems.append(str(problem)))
        page.on("console", lambda said: visit.problems.append(said.text) if said.type == "error" else None)
        page.goto(site.address)
        visit.bench.posed()
        visit.bench.quiet()
        visit.first = [
            url for url in visit.asked if urlsplit(url).netloc
        ]  # not those that the page made itself
        yield visit
        context.close()


def test_python_names_its_version_and_poses_the_prop_at_rest(visit: Visit, shot) -> None:
    visit.bench.becomes("() => document.documentElement.dataset.engine", "ready")
    visit.bench.stands_as(rest(HERON))
    assert visit.bench.page.get_by_role("progressbar").count() == 0
    assert visit.problems == []
    shot(visit.bench, "desk")


def test_a_first_visit_takes_few_bytes(visit: Visit) -> None:
    """Whatever it is that the page asks for, as the server sends it to a browser."""
    taken = {url: bytes_of(url) for url in set(visit.first)}
    assert {"main", "three", "engine.worker", "numpy", "stdlib", "posekit"} <= {
        urlsplit(url).path.rpartition("/")[2].partition("-")[0] for url in taken
    }
    assert sum(taken.values()) < FIRST_VISIT_BYTES, taken


def bytes_of(url: str) -> int:
    with urlopen(Request(url, headers={"Accept-Encoding": "gzip, br"})) as answer:
        return len(answer.read())


def test_no_request_leaves_for_another_host(visit: Visit) -> None:
    visit.bench.page.wait_for_selector("html[data-offline=kept]", state="attached")
    assert {urlsplit(url).netloc for url in visit.asked} - {""} == {urlsplit(visit.bench.address).netloc}


def test_a_prop_that_is_served_with_its_picture_is_not_built_again(visit: Visit) -> None:
    names = [urlsplit(url).path.rpartition("/")[2] for url in visit.first]
    assert [name for name in names if name.startswith(("trimesh", "pygltflib"))] == []
    assert len([name for name in names if name.endswith(".glb")]) == 1
    saved(visit.bench)  # which takes what no first visit needs
    assert [url for url in visit.asked if "trimesh" in url] != []


def saved(bench: Bench) -> None:
    """Save the prop in its pose."""
    bench.page.get_by_role("button", name="Save").click()
    with bench.page.expect_download():
        bench.page.get_by_role("dialog").get_by_role("button", name="GLB of this pose").click()
