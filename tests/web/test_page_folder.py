"""`posekit show FOLDER`: page and folder follow each other, and neither takes anything from the other unasked."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Page, expect

import posekit
from posekit import serve
from posekit.output.gltf import encode
from posekit.pipeline import pose_at, rest
from tests.web.conftest import HERON, Bench, taken_over

pytestmark = [pytest.mark.page, pytest.mark.python("native"), pytest.mark.timeout(600)]

TRIM = "drives.head_turn.pulse.trim"
LOOK = "looks/alert.csv"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The prop folder of a builder."""
    return Path(shutil.copytree(HERON, tmp_path / "heron"))


@pytest.fixture(scope="module")
def addresses() -> list[str]:
    """Where the page was served, the last at the end."""
    return []


@pytest.fixture
def show(address: str, addresses: list[str]) -> Iterator[Callable[[Path], serve.Server]]:
    """`posekit show MODEL`, again and again at the same port; `address` saw to the build."""
    with ExitStack() as now:
        port = int(addresses[-1].rstrip("/").rpartition(":")[2]) if addresses else 0

        def start(model: Path) -> serve.Server:
            nonlocal port
            now.close()
            site = now.enter_context(serve.site_of(str(model)))
            try:
                server = now.enter_context(serve.running(site, port=port))
            except posekit.PosekitError:  # between two tests another program took the port
                server = now.enter_context(serve.running(site))
            port = server.port
            addresses.append(server.address)
            return server

        yield start


@pytest.fixture
def profile(
    request: pytest.FixtureRequest, browser: Any, emptied: Any, addresses: list[str]
) -> Iterator[BrowserContext]:
    """A browser profile that keeps nothing of the page, but what the browser compiled at the same port before."""
    with taken_over(request, emptied, browser, {}, lambda: addresses[-1], who="folder ") as context:
        yield context


# The pauses that ended since the look before, the page's own and others', in ms, and what each look was answered.
LOOKS = """
globalThis.looks = [];
const [later, ask] = [globalThis.setTimeout, globalThis.fetch];
let pauses = [];
globalThis.setTimeout = (work, ms = 0, ...more) => later(() => { pauses.push(ms); work(...more); }, ms);
globalThis.fetch = async (...asked) => {
    if (!String(asked[0]?.url ?? asked[0]).includes("folder/now")) return ask(...asked);
    const look = {pauses, status: 0};
    pauses = [];
    looks.push(look);
    const answer = await ask(...asked);
    look.status = answer.status;
    return answer;
};
"""


@pytest.fixture
def shown(profile: Any, folder: Path, show: Callable[[Path], serve.Server]) -> Bench:
    """The page by the address that was given out, with the builder's folder in it."""
    page = profile.new_page()
    page.add_init_script(LOOKS)
    return opened(page, show(folder))


def opened(page: Page, server: serve.Server) -> Bench:
    page.goto(server.entrance)
    bench = Bench(page, server.address)
    bench.posed()
    page.wait_for_selector("html[data-folder=followed]", state="attached")
    return bench


def edited(folder: Path, trim: int) -> str:
    return posekit.edit(posekit.load(folder), TRIM, trim).text


def trim_field(bench: Bench) -> Any:
    panel = bench.tab("Calibration")
    panel.get_by_label("Drive", exact=True).select_option("head_turn")
    return panel.locator(f"[data-path='{TRIM}']").get_by_role("spinbutton")


def has_text(bench: Bench, text: str) -> None:
    bench.becomes("() => globalThis.posekit?.work().text", text)


def test_what_is_done_in_the_page_is_shown_as_a_difference_and_then_saved(
    shown: Bench, folder: Path, shot: Callable[[Bench, str], None]
) -> None:
    page = shown.page
    assert "#" not in page.url, "the key is out of sight"
    old, new = (folder / "prop.toml").read_text(), edited(folder, 7)
    trim_field(shown).fill("7")
    has_text(shown, new)
    shown.tab("Looks").get_by_label("Name of a new look").fill("mine")
    page.get_by_role("button", name="Store this pose").click()
    page.get_by_role("button", name="2 files not in the folder yet").wait_for()
    assert (folder / "prop.toml").read_text() == old
    page.get_by_role("button", name="Save", exact=True).click()
    page.get_by_role("button", name="Into the folder heron").click()
    dialog = page.get_by_role("dialog", name="Save into the folder")
    dialog.get_by_role("button", name="Save 2 files").wait_for()
    lines = dialog.get_by_role("group", name="Lines of prop.toml")
    assert [line for line in lines.locator("ins .difference__text").all_inner_texts()] == [
        line for line in new.splitlines() if line not in old.splitlines()
    ]
    assert "new, " in dialog.get_by_role("region", name="looks/mine.csv").inner_text()
    for theme in ("light", "dark"):
        for device, (width, height) in {"desk": (1280, 800), "phone": (390, 844)}.items():
            page.set_viewport_size({"width": width, "height": height})
            page.evaluate("theme => { document.documentElement.dataset.theme = theme }", theme)
            shot(shown, f"difference-{theme}-{device}")
    assert (folder / "prop.toml").read_text() == old, "what is shown is not saved yet"
    dialog.get_by_role("button", name="Save 2 files").click()
    page.get_by_text("Saved into").wait_for()
    expect(dialog).to_be_hidden()
    assert (folder / "prop.toml").read_text() == new
    assert (folder / "looks" / "mine.csv").read_text() == page.evaluate("posekit.file('looks/mine.csv')")
    expect(page.get_by_text("not in the folder yet")).to_have_count(0)
    # A look is let go of, and what was saved is taken back: the folder gets both.
    page.get_by_role("button", name="Undo").click()
    page.get_by_role("button", name="1 file not in the folder yet").click()
    dialog.get_by_role("button", name="Save 1 file").click()
    expect(dialog).to_be_hidden()
    assert not (folder / "looks" / "mine.csv").exists()
    # It is there after a reload, and nothing is asked about what the page itself has saved.
    page.reload()
    shown.posed()
    page.wait_for_selector("html[data-folder=followed]", state="attached")
    assert shown.work()["text"] == new
    assert page.get_by_role("alertdialog").count() == 0


def test_a_change_on_disk_shows_and_what_was_there_before_is_one_undo_away(
    shown: Bench, folder: Path
) -> None:
    page = shown.page
    old, new = (folder / "prop.toml").read_text(), edited(folder, 120)
    page.get_by_label("head_turn", exact=True).fill("200")
    shown.quiet()
    before = page.evaluate("looks.length")
    (folder / "prop.toml").write_text(new)
    has_text(shown, new)
    # Within a second: a look follows another after 250 ms, and the one after the change brings it.
    # Another may be under way as the file is written, or begin between the two lines above.
    looks = page.evaluate("looks")
    assert all(250 in look["pauses"] for look in looks[1:]), looks
    assert 200 in [look["status"] for look in looks[before - 1 : before + 2]]
    prop = posekit.load(folder)
    values = [200 if drive.name == "head_turn" else drive.rest_value for drive in prop.drives]
    shown.stands_as(pose_at(prop, values))
    page.get_by_text("has changed on disk").wait_for()
    (folder / LOOK).write_text("universe,address,value\n1,1,3\n")
    shown.becomes(f"() => posekit.file('{LOOK}')", "universe,address,value\n1,1,3\n")
    # Undo goes back behind both and stays there; the folder is not written to.
    page.get_by_role("button", name="Undo").click()
    page.get_by_role("button", name="Undo").click()
    has_text(shown, old)
    page.get_by_role("button", name="2 files not in the folder yet").wait_for()
    page.reload()
    shown.posed()
    page.wait_for_selector("html[data-folder=followed]", state="attached")
    assert shown.work()["text"] == old
    assert (folder / "prop.toml").read_text() == new


def test_where_page_and_disk_both_changed_the_builder_is_asked_and_both_are_kept(
    shown: Bench, folder: Path, shot: Callable[[Bench, str], None]
) -> None:
    page = shown.page
    mine, theirs = edited(folder, 7), edited(folder, 30)
    trim_field(shown).fill("7")
    has_text(shown, mine)
    (folder / "prop.toml").write_text(theirs)
    (folder / LOOK).write_text("universe,address,value\n1,1,3\n")
    question = page.get_by_role("alertdialog")
    question.get_by_role("button", name="Stay with mine").wait_for()
    shot(shown, "changed-on-both-sides")
    page.keyboard.press("Escape")
    # Mine stays; what was changed on disk alone is taken in.
    shown.becomes(f"() => posekit.file('{LOOK}')", "universe,address,value\n1,1,3\n")
    assert shown.work()["text"] == mine
    assert (folder / "prop.toml").read_text() == theirs
    page.get_by_role("button", name="Undo").click()
    page.get_by_role("button", name="Undo").click()
    has_text(shown, theirs)
    page.get_by_role("button", name="Redo").click()
    page.get_by_role("button", name="Redo").click()
    has_text(shown, mine)
    # Saved over what is there now, and over nothing newer.
    page.get_by_role("button", name="1 file not in the folder yet").click()
    dialog = page.get_by_role("dialog", name="Save into the folder")
    dialog.get_by_role("button", name="Save 1 file").click()
    expect(dialog).to_be_hidden()
    assert (folder / "prop.toml").read_text() == mine
    # And the other answer.
    trim_field(shown).fill("8")
    shown.becomes("() => posekit.work().text.includes('trim = 8')", True)
    (folder / "prop.toml").write_text(theirs)
    question.get_by_role("button", name="Take the one on disk").click()
    has_text(shown, theirs)
    expect(page.get_by_text("not in the folder yet")).to_have_count(0)
    page.get_by_role("button", name="Undo").click()
    shown.becomes("() => posekit.work().text.includes('trim = 8')", True)


def test_a_wrong_prop_file_on_disk_is_told_and_the_figure_stays_until_it_is_mended(
    shown: Bench, folder: Path, shot: Callable[[Bench, str], None]
) -> None:
    page = shown.page
    old = (folder / "prop.toml").read_text()
    (folder / "prop.toml").write_text(old.replace("[drives.head_turn]", "[drives.head_turn]\nspeeed = 3"))
    wrong = page.get_by_text("heron on disk cannot be read")
    wrong.wait_for()
    assert "speeed" in page.locator(".onlooker--wrong").inner_text()
    shot(shown, "wrong-on-disk")
    assert shown.work()["text"] == old
    shown.stands_as(rest(posekit.load(HERON)))
    # The page saves over it only where the builder says so.
    page.get_by_role("button", name="Save", exact=True).click()
    page.get_by_role("button", name="Into the folder heron").click()
    dialog = page.get_by_role("dialog", name="Save into the folder")
    expect(dialog.get_by_role("button", name="Save", exact=True)).to_be_disabled()
    shot(shown, "difference-meanwhile")
    dialog.get_by_label("Replace it with mine").check()
    dialog.get_by_role("button", name="Save 1 file").click()
    expect(wrong).to_have_count(0)
    assert (folder / "prop.toml").read_text() == old


def test_another_prop_at_the_same_port_is_the_one_that_is_shown_and_the_work_on_the_first_is_kept(
    profile: Any, folder: Path, show: Callable[[Path], serve.Server], tmp_path: Path
) -> None:
    bench = opened(profile.new_page(), show(folder))
    trim_field(bench).fill("7")
    mine = edited(folder, 7)
    has_text(bench, mine)
    bench.page.get_by_text("Saved in this browser").wait_for()
    other = tmp_path / "bellows"
    shutil.copytree(HERON.parent / "bellows", other)
    server = show(other)
    bench.page.reload()
    bench.becomes("() => globalThis.posekit?.work().folder", "bellows")
    bench.page.close()
    page = opened(profile.new_page(), server).page
    assert page.evaluate("posekit.work().folder") == "bellows"
    page.get_by_role("button", name="Open", exact=True).click()
    page.get_by_role("listitem").filter(has_text="Marsh heron").wait_for()
    page.close()
    again = opened(profile.new_page(), show(folder))
    has_text(again, mine)


def test_a_page_that_may_not_save_says_why(
    profile: Any, browser: Any, folder: Path, show: Callable[[Path], serve.Server], tmp_path: Path
) -> None:
    def why(page: Page) -> str:
        page.wait_for_selector("html[data-folder=followed]", state="attached")
        page.get_by_role("button", name="Save", exact=True).click()
        dialog = page.get_by_role("dialog", name="Save", exact=True)
        dialog.get_by_role("button", name="Prop file").wait_for()
        assert dialog.get_by_role("button", name="Into the folder").count() == 0
        return dialog.inner_text()

    server = show(folder)
    page = profile.new_page()
    page.goto(server.address)
    Bench(page, server.address).posed()
    assert "run posekit show again" in why(page)
    page.close()
    file = tmp_path / "heron.glb"
    prop = posekit.load(folder)
    file.write_bytes(encode(prop, rest(prop)))
    assert "one file that posekit wrote" in why(opened(profile.new_page(), show(file)).page)


def test_a_show_that_is_opened_by_its_own_button_is_kept_first(shown: Bench) -> None:
    page = shown.page
    shown.tab("Motion").get_by_role("button", name="Open a file").wait_for()
    page.evaluate("() => posekit.crash()")
    page.get_by_role("button", name="Start it again").wait_for()
    cues = b'format = 1\nname = "Mine"\n\n[[cues]]\nname = "1"\nfade = 1.0\nhold = 1.0\nvalues = {head_turn = 9}\n'
    page.get_by_label("Show to open").set_input_files(
        {"name": "mine.toml", "mimeType": "application/toml", "buffer": cues}
    )
    page.locator("#status").get_by_text("1 change waits for Python").wait_for()
    page.reload()
    shown.becomes("() => globalThis.posekit?.file('shows/mine.toml')", cues.decode())
