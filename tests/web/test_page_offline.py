"""A second visit without a network, and a new version that comes as a whole."""

from __future__ import annotations

import json
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, Page

from posekit import serve
from posekit.serve.site import PAGE
from tests.web.conftest import ROOT

pytestmark = pytest.mark.page

# What no cache had, neither the browser's own nor that of the service worker.
FROM_HOST = """() => performance.getEntriesByType("resource")
    .filter(({name, transferSize}) => /\\/(runtime|assets)\\//.test(name) && transferSize > 0).map(({name}) => name)"""


@pytest.fixture
def site(tmp_path: Path, address: str) -> Iterator[tuple[Path, str]]:
    """A copy of the page that can be changed while it is served, and its address; `address` saw to the build."""
    folder = Path(shutil.copytree(PAGE, tmp_path / "page"))
    with serve.running(serve.Site((folder,))) as server:
        yield folder, server.address


def visit(profile: BrowserContext, address: str) -> Page:
    page = profile.new_page()
    page.goto(address)
    page.wait_for_selector("html[data-picture=posed]", state="attached")
    return page


def kept(page: Page) -> None:
    page.wait_for_selector("html[data-offline=kept]", state="attached")


def put_up(folder: Path, generation: str) -> None:
    """Put up another version of the page: its markup tells which, and the list of its files is made anew."""
    index = folder / "index.html"
    index.write_text(
        index.read_text().replace("<title>", f'<meta name="generation" content="{generation}" />\n<title>')
    )
    subprocess.run(["node", str(ROOT / "web" / "runtime" / "offline.mjs"), str(folder)], check=True)


def generation_of(page: Page) -> str | None:
    return page.evaluate("document.querySelector('meta[name=generation]')?.content ?? null")


def test_a_second_visit_needs_no_network(profile: BrowserContext, site: tuple[Path, str]) -> None:
    folder, address = site
    first = visit(profile, address)
    kept(first)
    first.close()
    shutil.rmtree(folder)  # the host has nothing any more
    folder.mkdir()
    again = visit(profile, address)
    assert again.evaluate("posekit.node('head')") is not None
    # What is fetched only when asked for was kept as well: an edit needs a package of its own.
    again.get_by_role("tab", name="Calibration").click()
    text = again.evaluate("() => posekit.work().text")
    assert text.startswith("# Marsh heron")


def test_a_new_version_is_taken_as_a_whole_on_the_visit_after(
    profile: BrowserContext, site: tuple[Path, str]
) -> None:
    folder, address = site
    first = visit(profile, address)
    kept(first)
    first.close()
    put_up(folder, "two")
    second = visit(profile, address)
    assert generation_of(second) is None  # the old page, with the old core, all of it from what was kept
    assert second.evaluate(FROM_HOST) == []
    kept(second)
    second.close()
    third = visit(profile, address)
    assert generation_of(third) == "two"
    assert len(third.evaluate("caches.keys()")) == 1


def test_the_list_of_files_is_complete_and_each_is_there(address: str) -> None:
    listed = json.loads((PAGE / "offline.json").read_text())["files"]
    there = {path.relative_to(PAGE).as_posix() for path in PAGE.rglob("*") if path.is_file()}
    there = {path for path in there if not path.endswith(".br")}
    own = {"index.html", "offline.json", "service-worker.js", "made-from.txt"}
    # The reader of STEP files is kept from when it is first used.
    later = {path for path in there if path.startswith("assets/occt-import-js-")}
    assert len(later) == 2
    assert set(listed) == (there - own - later) | {"./"}
