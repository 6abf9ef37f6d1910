"""A prop begun in the page and a folder that the browser holds open follow each other; nothing is written unasked.

The folder is one of the browser's own (origin private file system), which has the same handles as one that a builder
chooses; only the picker, which no test can press, stands in for theirs.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Page, expect

import posekit
from posekit import serve
from tests.web.conftest import Bench, taken_over

pytestmark = [pytest.mark.page, pytest.mark.python("native"), pytest.mark.own_page, pytest.mark.timeout(600)]

ARM = (Path(__file__).parents[1] / "cases" / "valid" / "arm.toml").read_text()
TRIM = "drives.{}.pulse.trim"
PICKER = """
window.showDirectoryPicker = async () => {
    const root = await navigator.storage.getDirectory();
    return root.getDirectoryHandle("workshop", {create: true});
};
FileSystemHandle.prototype.queryPermission = async () => sessionStorage.getItem("may") ?? "granted";
FileSystemHandle.prototype.requestPermission = async () => (sessionStorage.setItem("may", "granted"), "granted");
"""
READ = """async path => {
    let at = await (await navigator.storage.getDirectory()).getDirectoryHandle("workshop");
    const names = path.split("/");
    for (const name of names.slice(0, -1)) at = await at.getDirectoryHandle(name);
    return (await (await at.getFileHandle(names.at(-1))).getFile()).text();
}"""
WRITE = """async ([path, text]) => {
    let at = await (await navigator.storage.getDirectory()).getDirectoryHandle("workshop", {create: true});
    const names = path.split("/");
    for (const name of names.slice(0, -1)) at = await at.getDirectoryHandle(name, {create: true});
    const file = await (await at.getFileHandle(names.at(-1), {create: true})).createWritable();
    await file.write(text);
    await file.close();
}"""


def edited(trim: int) -> str:
    prop = posekit.read({"prop.toml": ARM.encode()}, "arm/prop.toml")
    return posekit.edit(prop, TRIM.format(prop.drives[0].name), trim).text


@pytest.fixture(scope="module")
def site(address: str) -> Iterator[str]:
    """The page on a site that holds no folder; `address` saw to the build."""
    with serve.running(serve.Site((Path(posekit.__file__).parent / "page",))) as server:
        yield server.address


@pytest.fixture
def profile(
    request: pytest.FixtureRequest, browser: Any, emptied: Any, site: str
) -> Iterator[BrowserContext]:
    """A browser profile that keeps nothing of the page, but what the browser compiled for an earlier test."""
    with taken_over(request, emptied, browser, {}, lambda: site, who="disk ") as context:
        yield context


def begun(page: Page, site: str, script: str) -> Bench:
    page.add_init_script(script)
    page.goto(site)
    bench = Bench(page, site)
    bench.posed()
    bench.drop("arm.toml", ARM.encode())
    bench.becomes("() => posekit.work().text", ARM)
    return bench


def trim(bench: Bench, to: int) -> None:
    panel = bench.tab("Calibration")
    panel.locator("[data-path$='pulse.trim'] input").fill(str(to))
    bench.becomes("() => posekit.work().text", edited(to))


def into_a_folder(page: Page) -> None:
    page.get_by_role("button", name="Save", exact=True).click()
    page.get_by_role("button", name="Into a folder you choose").click()


def test_a_prop_begun_in_the_page_and_the_folder_chosen_for_it_follow_each_other(profile, site, shot) -> None:
    bench = begun(profile.new_page(), site, PICKER)
    page = bench.page
    into_a_folder(page)
    dialog = page.get_by_role("dialog", name="Save into the folder")
    dialog.get_by_role("button", name="Save 1 file").wait_for()
    shot(bench, "into-a-folder")
    dialog.get_by_role("button", name="Save 1 file").click()
    page.get_by_text("Saved into workshop").wait_for()
    assert page.evaluate(READ, "prop.toml") == ARM
    # From page to folder, when told to.
    trim(bench, 7)
    page.get_by_role("button", name="1 file not in the folder yet").click()
    assert page.evaluate(READ, "prop.toml") == ARM
    dialog.get_by_role("button", name="Save 1 file").click()
    expect(dialog).to_be_hidden()
    assert page.evaluate(READ, "prop.toml") == edited(7)
    # From folder to page.
    page.evaluate(WRITE, ["prop.toml", edited(9)])
    bench.becomes("() => posekit.work().text", edited(9))
    page.get_by_text("has changed on disk").wait_for()
    page.get_by_role("button", name="Undo").click()
    bench.becomes("() => posekit.work().text", edited(7))
    # Where both changed it is asked, and mine stays until the builder says otherwise.
    page.evaluate(WRITE, ["prop.toml", edited(3)])
    question = page.get_by_role("alertdialog", name="workshop has changed on disk")
    question.get_by_role("button", name="Stay with mine").click()
    assert bench.work()["text"] == edited(7)
    # After a reload the browser asks anew, which takes a press.
    page.get_by_text("Saved in this browser").wait_for()
    page.evaluate("() => sessionStorage.setItem('may', 'prompt')")
    page.reload()
    bench.posed()
    page.get_by_role("button", name="Follow workshop again").click()
    page.get_by_role("button", name="1 file not in the folder yet").click()
    dialog.get_by_role("button", name="Save 1 file").click()
    expect(dialog).to_be_hidden()
    assert page.evaluate(READ, "prop.toml") == edited(7)


def test_a_folder_that_holds_something_is_taken_only_when_asked_and_other_files_stay(profile, site) -> None:
    bench = begun(profile.new_page(), site, PICKER)
    page = bench.page
    page.evaluate(WRITE, ["notes.txt", "screws: M3"])
    into_a_folder(page)
    page.get_by_role("alertdialog").get_by_role("button", name="Not here").click()
    page.get_by_role("button", name="Into a folder you choose").click()
    page.get_by_role("alertdialog").get_by_role("button", name="Make arm in workshop").click()
    dialog = page.get_by_role("dialog", name="Save into the folder")
    dialog.get_by_role("button", name="Save 1 file").click()
    expect(dialog).to_be_hidden()
    assert page.evaluate(READ, "arm/prop.toml") == ARM
    # Another prop over one that is there.
    for path, text in (("prop.toml", edited(5)), ("looks/old.csv", "universe,address,value\n1,1,3\n")):
        page.evaluate(WRITE, [path, text])
    page.get_by_role("button", name="Open", exact=True).click()
    page.get_by_role("button", name="Bellows").click()
    bench.becomes("() => posekit.work().folder", "bellows")
    into_a_folder(page)
    question = page.get_by_role("alertdialog", name="workshop holds a prop already")
    bench.becomes("document.activeElement.textContent", "Leave it alone")
    page.keyboard.press("Escape")
    expect(question).to_have_count(0)
    assert page.evaluate(READ, "prop.toml") == edited(5)
    page.get_by_role("button", name="Into a folder you choose").click()
    question.get_by_role("button", name="Show what would change").click()
    dialog.get_by_role("region", name="prop.toml").get_by_text("changed").first.wait_for()
    assert dialog.get_by_role("region", name="looks/old.csv").count() == 0
    dialog.get_by_role("button", name="Save", exact=False).last.click()
    expect(dialog).to_be_hidden()
    assert page.evaluate(READ, "prop.toml") == bench.work()["text"]
    assert page.evaluate(READ, "looks/old.csv").endswith("1,1,3\n")
    assert page.evaluate(READ, "notes.txt") == "screws: M3"
    # A new file of the prop where one of theirs lies: that is replaced only when they say so.
    looks = bench.tab("Looks")
    looks.get_by_label("Name of a new look").fill("old")
    looks.get_by_role("button", name="Store this pose").click()
    page.get_by_role("button", name="1 file not in the folder yet").click()
    theirs = dialog.get_by_role("region", name="looks/old.csv")
    theirs.get_by_text("lay there before").wait_for()
    assert dialog.get_by_role("button", name="Save", exact=True).is_disabled()
    theirs.get_by_label("Replace it with mine").check()
    dialog.get_by_role("button", name="Save 1 file").click()
    expect(dialog).to_be_hidden()
    mine = bytes(page.evaluate("() => posekit.bytes('looks/old.csv')")).decode()
    assert page.evaluate(READ, "looks/old.csv") == mine
    expect(page.get_by_role("button", name="not in the folder yet")).to_have_count(0)


def test_a_browser_that_holds_no_folder_open_says_what_to_do_instead(profile, site, tmp_path) -> None:
    bench = begun(profile.new_page(), site, "delete window.showDirectoryPicker")
    bench.page.get_by_role("button", name="Save", exact=True).click()
    dialog = bench.page.get_by_role("dialog", name="Save", exact=True)
    dialog.get_by_text("unpack it and run posekit show").wait_for()
    with bench.page.expect_download() as saved:
        dialog.get_by_role("button", name="Prop folder").click()
    saved.value.save_as(tmp_path / "arm.zip")
    assert (tmp_path / "arm.zip").stat().st_size > 100
