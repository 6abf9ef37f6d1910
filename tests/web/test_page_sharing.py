"""Opening, saving and sharing: what leaves the page comes back as it was."""

from __future__ import annotations

import io
import json
import zipfile
import zlib
from base64 import b64encode, urlsafe_b64decode, urlsafe_b64encode
from pathlib import Path

import pytest
from playwright.sync_api import BrowserContext, expect

import posekit
from posekit.pipeline import pose_at
from tests.conftest import demo_prop

pytestmark = [pytest.mark.page, pytest.mark.python("native")]

FOLDER = Path(__file__).parents[2] / "models" / "heron"
HERON = demo_prop("heron")
REST = {drive.name: drive.rest_value for drive in HERON.drives}
ARM = (Path(__file__).parents[1] / "cases" / "valid" / "arm.toml").read_bytes()


def pose_with(prop: posekit.Prop, **values: int) -> posekit.Pose:
    return pose_at(prop, [values.get(drive.name, drive.rest_value) for drive in prop.drives])


def shared_link(bench) -> str:
    bench.served_for("anyone")
    bench.page.get_by_role("button", name="Share").click()
    box = bench.page.get_by_role("textbox", name="Link")
    bench.page.get_by_text("characters").wait_for()
    return box.input_value()


def opened_link(bare_profile: BrowserContext, bench_of, link: str):
    """The link in another tab."""
    page = bare_profile.new_page()
    page.goto(link)
    other = bench_of(page)
    other.posed()
    return other


def test_a_link_by_name_shows_exactly_that_pose(bench, bench_of, bare_profile, shot) -> None:
    bench.page.get_by_label("head_turn", exact=True).fill("222")
    link = shared_link(bench)
    bench.page.get_by_text("the prop by its name").wait_for()
    shot(bench, "share")
    other = opened_link(bare_profile, bench_of, link)
    other.stands_as(pose_with(HERON, head_turn=222))
    other.quiet()
    assert other.page.get_by_text("has changed since this link").count() == 0


def test_a_link_to_a_prop_that_has_changed_since_says_so(bench, bench_of, bare_profile) -> None:
    before, letters = shared_link(bench).split("#pose=")
    packed = json.loads(zlib.decompress(urlsafe_b64decode(letters + "==")))
    packed["of"] = "0" * len(packed["of"])  # no state of any prop has this fingerprint
    other_letters = urlsafe_b64encode(zlib.compress(json.dumps(packed).encode())).decode().rstrip("=")
    other = opened_link(bare_profile, bench_of, f"{before}#pose={other_letters}")
    told = other.page.get_by_role("alert").get_by_text("Marsh heron has changed since this link was made.")
    told.wait_for()


def test_a_link_that_names_no_state_of_its_prop_has_none_worked_out(bench, bench_of, bare_profile) -> None:
    """As those had none that were made before links told it: there is nothing to compare it with."""
    before, letters = shared_link(bench).split("#pose=")
    named = json.loads(zlib.decompress(urlsafe_b64decode(letters + "==")))
    for of in (named["of"], ""):
        packed = zlib.compress(json.dumps({**named, "of": of}).encode())
        page = bare_profile.new_page()
        page.add_init_script(
            """window.heard = [];
            const post = Worker.prototype.postMessage;
            Worker.prototype.postMessage = function (message, ...rest) {
                window.heard.push(message.method);
                return post.call(this, message, ...rest);
            };"""
        )
        page.goto(f"{before}#pose={urlsafe_b64encode(packed).decode().rstrip('=')}")
        other = bench_of(page)
        other.posed()
        other.becomes("() => location.hash", "")
        other.quiet()
        assert page.evaluate("() => heard.includes('fingerprint')") is bool(of)


def test_a_link_carries_the_whole_prop_and_no_server_sees_it(bench, bench_of, bare_profile) -> None:
    bench.drop("prop.toml", ARM)
    bench.page.get_by_role("heading", name="arm").wait_for()
    link = shared_link(bench)
    bench.page.get_by_text("with the whole prop").wait_for()
    page = bare_profile.new_page()
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto(link)
    other = bench_of(page)
    other.posed()
    other.becomes("() => posekit.work().text", ARM.decode())
    fragment = link.split("#")[1]
    assert not any(fragment[:40] in url for url in asked[1:])


def test_a_link_carries_a_new_calibration_over_the_prop_that_the_site_has(
    bench, bench_of, bare_profile
) -> None:
    drive = HERON.drives[0].name
    changed = posekit.edit(HERON, f"drives.{drive}.pulse.trim", 7)
    panel = bench.tab("Calibration")
    panel.get_by_label("Drive", exact=True).select_option(
        drive
    )  # it shows the one whose channel was used last
    panel.locator("[data-path$='pulse.trim']").get_by_role("spinbutton").fill("7")
    bench.becomes("() => posekit.work().text", changed.text)
    link = shared_link(bench)
    bench.page.get_by_text("the prop by its name, with your prop.toml").wait_for()
    other = opened_link(bare_profile, bench_of, link)
    other.stands_as(pose_with(changed))
    assert other.work()["text"] == changed.text


def test_a_prop_too_large_for_a_link_is_offered_as_a_file(bench, shot) -> None:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for path, content in {"prop.toml": HERON.text.encode(), **HERON.files}.items():
            archive.writestr(f"bittern/{path}", content)
    bench.drop("bittern.zip", out.getvalue())
    bench.becomes("() => posekit.work().folder", "bittern")
    bench.served_for("anyone")
    bench.page.get_by_role("button", name="Share").click()
    bench.page.get_by_text("longer than 8000").wait_for()
    shot(bench, "too-long")
    bench.page.get_by_role("button", name="Save the file instead").click()
    bench.page.get_by_role("button", name="GLB of this pose").wait_for()


def test_a_page_for_this_machine_alone_says_so_first_and_offers_a_file_in_place_of_a_link(
    bench, shot
) -> None:
    """The same page, where its server can be reached by others, offers the link and says by whom."""
    bench.page.get_by_role("button", name="Share").click()
    dialog = bench.page.get_by_role("dialog", name="Share")
    told = dialog.locator("p").first
    assert told.inner_text().startswith(
        "This page is served for this machine alone: nobody else can open a link"
    )
    assert dialog.get_by_role("textbox").count() == 0 and "127.0.0.1" not in dialog.inner_text()
    shot(bench, "share-here")
    dialog.get_by_role("button", name="Save a file to send").click()
    bench.page.get_by_role("button", name="GLB of this pose").wait_for()
    bench.page.keyboard.press("Escape")
    bench.served_for("network")
    bench.page.get_by_role("button", name="Share").click()
    assert "in the same network, or in one with a way into it, and nowhere else" in told.inner_text()
    dialog.get_by_role("textbox", name="Link").wait_for()


def test_a_dropped_broken_file_is_told_in_words_and_changes_nothing(bench, shot) -> None:
    before = bench.work()
    bench.drop("prop.toml", b"format = 1\nname = \n")
    told = bench.page.get_by_role("alert").inner_text()
    assert "line 2" in told.lower()
    assert bench.work() == before
    bench.stands_as(pose_with(HERON))
    shot(bench, "broken-file")


@pytest.mark.parametrize("name", ["notes.pages", "prop.zip", "figure.glb"])
def test_a_file_of_another_kind_is_refused(bench, name: str) -> None:
    bench.drop(name, b"not what it says")
    assert name.split(".")[0] in bench.page.get_by_role("alert").inner_text()
    bench.stands_as(pose_with(HERON))


def test_a_zip_of_a_prop_folder_opens_and_undo_brings_the_old_prop_back(bench) -> None:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("arm/prop.toml", ARM)
    bench.drop("arm.zip", out.getvalue())
    bench.stands_as(pose_with(posekit.read({"prop.toml": ARM})))
    assert bench.work()["folder"] == "arm"
    bench.page.get_by_role("button", name="Undo").click()
    bench.stands_as(pose_with(HERON))


@pytest.mark.python("pyodide")
def test_a_saved_glb_opens_again_in_its_pose(bench, tmp_path: Path) -> None:
    bench.page.get_by_label("head_turn", exact=True).fill("40")
    bench.page.get_by_role("button", name="Save", exact=True).click()
    with bench.page.expect_download() as saved:
        bench.page.get_by_role("button", name="GLB of this pose").click()
    saved.value.save_as(tmp_path / "heron.glb")
    assert posekit.load(tmp_path / "heron.glb") == HERON
    bench.page.keyboard.press("Escape")
    bench.page.get_by_label("head_turn", exact=True).fill("200")
    bench.drop("heron.glb", (tmp_path / "heron.glb").read_bytes())
    bench.stands_as(pose_with(HERON, head_turn=40))


COLOURS = """async text => {
    const bytes = Uint8Array.from(atob(text), (sign) => sign.charCodeAt(0));
    const picture = await createImageBitmap(new Blob([bytes], {type: "image/png"}));
    const pen = new OffscreenCanvas(picture.width, picture.height).getContext("2d");
    pen.drawImage(picture, 0, 0);
    const { data } = pen.getImageData(picture.width / 4, picture.height / 4, picture.width / 2, picture.height / 2);
    return new Set(new Uint32Array(data.buffer)).size;
}"""


@pytest.mark.parametrize("setting", [{"drawn": True}], indirect=True)
def test_a_picture_is_saved_as_a_png_with_its_caption(bench, tmp_path: Path) -> None:
    bench.page.get_by_role("button", name="Save", exact=True).click()
    bench.page.get_by_label("Caption").fill("Heron, cue 4")
    with bench.page.expect_download() as saved:
        bench.page.get_by_role("button", name="Save picture").click()
    saved.value.save_as(tmp_path / "picture.png")
    data = (tmp_path / "picture.png").read_bytes()
    view = bench.page.locator("canvas").bounding_box()
    width, height = int.from_bytes(data[16:20], "big"), int.from_bytes(data[20:24], "big")
    # As fine as the picture is drawn, or finer than the screen; the caption stands below.
    assert data.startswith(b"\x89PNG") and width >= view["width"]
    assert height / width > view["height"] / view["width"]
    # The figure is in it: its lit surfaces have thousands of colours, an empty room a few hundred.
    assert bench.page.evaluate(COLOURS, b64encode(data).decode()) > 2000


def test_a_link_is_copied_only_once_it_is_there(bench) -> None:
    bench.served_for("anyone")
    button = bench.page.get_by_role("button", name="Copy the link")
    with bench.waiting_for("fingerprint"):
        bench.page.get_by_role("button", name="Share").click()
        expect(button).to_be_disabled()
    expect(button).to_be_enabled()


def test_where_the_browser_keeps_its_clipboard_shut_the_older_way_is_left(bench) -> None:
    bench.page.evaluate(
        """() => {
            const shut = () => Promise.reject(new DOMException("Write permission denied."));
            Object.defineProperty(navigator.clipboard, "writeText", { value: shut, configurable: true });
            const { execCommand } = document;
            document.execCommand = () => (window.copied = getSelection().toString()).length > 0;
            window.wayBack = () => {
                delete navigator.clipboard.writeText;
                document.execCommand = execCommand;
            };
        }"""
    )
    try:
        panel = bench.tab("Looks")
        panel.get_by_role("button", name="Copy as JSON").click()
        bench.page.get_by_text("Snapshot copied").first.wait_for()
        assert json.loads(bench.page.evaluate("() => copied"))
        bench.page.evaluate("() => void (document.execCommand = () => false)")
        panel.get_by_role("button", name="Copy as JSON").click()
        # It stands nowhere else on the page: it is shown, and selected.
        shown = bench.page.get_by_role("dialog", name="Copy it by hand")
        text = shown.get_by_label("Text to copy")
        assert json.loads(text.input_value()) == json.loads(bench.page.evaluate("() => copied"))
        expect(text).to_be_focused()
        assert bench.page.evaluate("() => getSelection().toString()") == text.input_value()
        shown.get_by_role("button", name="Close").click()
        expect(shown).to_be_hidden()
    finally:
        bench.page.evaluate("() => wayBack()")
