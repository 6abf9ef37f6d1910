"""What is typed is kept first and judged after, and "saved" is told after it is so."""

from __future__ import annotations

import io
import json
import zipfile
import zlib
from base64 import urlsafe_b64encode
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import expect

import posekit
from posekit import budgets
from posekit.pipeline import pose_at
from tests.conftest import demo_prop
from tests.web.test_page_sharing import shared_link

pytestmark = [pytest.mark.page, pytest.mark.python("native"), pytest.mark.timeout(600)]

FOLDER = Path(__file__).parents[2] / "models" / "heron"
HERON = demo_prop("heron")
REST = {drive.name: drive.rest_value for drive in HERON.drives}
ARM = (Path(__file__).parents[1] / "cases" / "valid" / "arm.toml").read_bytes()

# Browsers that keep nothing, each in its own way.
NO_STORAGE = {
    "none": "Object.defineProperty(window, 'indexedDB', {value: undefined})",
    "throws": "IDBFactory.prototype.open = () => { throw new DOMException('not here', 'SecurityError') }",
    "fails": """IDBFactory.prototype.open = () => {
        const asked = {error: new DOMException('not here', 'UnknownError')};
        setTimeout(() => asked.onerror());
        return asked;
    }""",
    "silent": "IDBFactory.prototype.open = () => ({})",
}
NO_MEMORY = """for (const name of ['getItem', 'setItem']) {
    Storage.prototype[name] = () => { throw new DOMException('no', 'SecurityError') };
}"""

HEAD = "() => globalThis.posekit?.work().values.head_turn"


def low_field(bench, drive: str) -> Any:
    panel = bench.tab("Calibration")
    panel.get_by_label("Drive", exact=True).select_option(drive)
    return panel.locator(f"[data-path='drives.{drive}.pulse.low']").get_by_role("spinbutton")


def edited(drive: str, pulse_us: int) -> posekit.Prop:
    return posekit.edit(HERON, f"drives.{drive}.pulse.low", pulse_us)


def reloaded(bench) -> None:
    bench.page.reload()
    bench.posed()


def stopped(bench) -> None:
    bench.page.evaluate("() => posekit.crash()")
    bench.page.get_by_role("button", name="Start it again").wait_for()


def zipped(files: dict[str, bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for path, content in files.items():
            archive.writestr(path, content)
    return out.getvalue()


def link_of(shared: dict[str, Any]) -> str:
    """The fragment of a link, as RFC 1951 and RFC 4648 section 5 have it."""
    packer = zlib.compressobj(9, zlib.DEFLATED, -15)
    packed = packer.compress(json.dumps(shared).encode()) + packer.flush()
    return "#pose=" + urlsafe_b64encode(packed).decode().rstrip("=")


@pytest.mark.own_page
def test_what_is_typed_right_before_a_reload_is_there_after_it(bench) -> None:
    low_field(bench, "wing_left").fill("1300")
    bench.page.reload()
    bench.posed()
    bench.becomes("() => posekit.work().text", edited("wing_left", 1300).text)
    bench.page.get_by_role("button", name="Undo").click()
    bench.becomes("() => posekit.work().text", HERON.text)
    # A number that was typed and not yet confirmed, a slider and an undo, each with a reload at its heels.
    bench.page.get_by_role("tab", name="Channels").click()
    bench.page.get_by_label("head_turn, value").fill("200")
    reloaded(bench)
    bench.becomes(HEAD, 200)
    bench.page.get_by_label("head_turn", exact=True).fill("90")
    bench.page.reload()
    bench.becomes(HEAD, 90)
    bench.page.get_by_role("button", name="Undo").click()
    bench.page.reload()
    bench.becomes(HEAD, 200)


@pytest.mark.own_page
def test_what_is_typed_and_dropped_while_the_engine_is_stopped_waits_for_it(bench, shot) -> None:
    field = low_field(bench, "wing_left")
    stopped(bench)
    field.fill("1300")
    told = bench.page.locator("#status")
    told.get_by_text("Saved in this browser; 1 change waits for Python").wait_for()
    shot(bench, "waiting")
    bench.page.get_by_role("button", name="Start it again").click()
    bench.becomes("() => posekit.work().text", edited("wing_left", 1300).text)
    told.get_by_text("Saved in this browser", exact=True).wait_for()
    stopped(bench)
    bench.page.locator("[data-path='drives.wing_left.pulse.low']").get_by_role("spinbutton").fill("1350")
    told.get_by_text("1 change waits").wait_for()
    bench.drop("arm.toml", ARM)
    told.get_by_text("Saved in this browser; 3 changes wait for Python").wait_for()
    bench.page.reload()
    bench.becomes("() => posekit.work().text", ARM.decode())
    bench.page.get_by_role("button", name="Undo").click()
    bench.becomes("() => posekit.work().text", edited("wing_left", 1350).text)
    bench.stands_as(pose_at(edited("wing_left", 1350), list(REST.values())))


def test_what_waits_is_taken_back_by_undo(bench) -> None:
    field = low_field(bench, "wing_left")
    stopped(bench)
    field.fill("1300")
    bench.page.locator("#status").get_by_text("1 change waits").wait_for()
    bench.page.get_by_role("button", name="Undo").click()
    bench.page.locator("#status").get_by_text("Saved in this browser", exact=True).wait_for()
    bench.page.get_by_role("button", name="Start it again").click()
    bench.becomes("() => document.documentElement.dataset.engine", "ready")
    bench.posed()
    assert bench.work()["text"] == HERON.text


@pytest.mark.parametrize(
    "how", ["throws", "silent", *(pytest.param(how, marks=pytest.mark.long) for how in ("none", "fails"))]
)
def test_a_browser_that_keeps_nothing_has_a_page_that_says_so(
    bare_profile, address, bench_of, how: str, shot
) -> None:
    page = bare_profile.new_page()
    page.add_init_script(NO_STORAGE[how])
    if how == "throws":
        page.add_init_script(NO_MEMORY)
    page.goto(address)
    bench = bench_of(page)
    bench.posed()
    page.get_by_label("head_turn", exact=True).fill("200")
    page.get_by_text("Not saved").wait_for()
    assert page.get_by_text("Saved in this browser").count() == 0
    bench.stands_as(pose_at(HERON, [{**REST, "head_turn": 200}[drive.name] for drive in HERON.drives]))
    shot(bench, f"storage-{how}")


@pytest.mark.own_page
def test_saved_is_told_only_of_what_is_saved(bench) -> None:
    bench.page.get_by_text("Saved in this browser").wait_for()
    bench.page.evaluate(
        """() => {
            const put = IDBObjectStore.prototype.put;
            IDBObjectStore.prototype.put = function (...given) {
                if (window.full) throw new DOMException('no room', 'QuotaExceededError');
                return put.apply(this, given);
            };
            window.full = true;
            new MutationObserver(() => {
                const words = document.querySelector('.status__saved').textContent;
                if (window.full && words.startsWith('Saved')) window.lied = words;
            }).observe(document.querySelector('#status'), {subtree: true, childList: true, characterData: true});
        }"""
    )
    bench.page.get_by_label("head_turn", exact=True).fill("200")
    bench.page.get_by_text("Not saved").wait_for()
    stopped(bench)
    assert "safe" not in bench.page.locator("#status").inner_text()
    assert bench.page.evaluate("window.lied") is None
    bench.page.evaluate("() => { window.full = false }")
    bench.page.get_by_label("head_turn", exact=True).fill("201")
    bench.page.get_by_text("Saved in this browser").wait_for()
    reloaded(bench)
    assert bench.work()["values"]["head_turn"] == 201


def test_storing_a_look_under_a_name_that_is_there_asks_first(bench, shot) -> None:
    before = (FOLDER / "looks" / "alert.csv").read_text()
    bench.page.get_by_label("head_turn", exact=True).fill("200")
    looks = bench.tab("Looks")
    looks.get_by_label("Name of a new look").fill("alert")
    looks.get_by_role("button", name="Store this pose").click()
    question = bench.page.get_by_role("alertdialog", name="Replace alert?")
    question.wait_for()
    assert bench.page.evaluate("document.activeElement.textContent") == "Keep the old one"
    shot(bench, "replace-look")
    bench.page.keyboard.press("Escape")
    question.wait_for(state="detached")
    assert bench.page.evaluate("posekit.file('looks/alert.csv')") == before
    looks.get_by_role("button", name="Store this pose").click()
    question.get_by_role("button", name="Replace alert").click()
    bench.becomes("() => posekit.file('looks/alert.csv').includes('200')", True)
    bench.page.get_by_role("button", name="Undo").click()
    bench.becomes("() => posekit.file('looks/alert.csv')", before)


def test_a_show_dropped_under_a_name_that_is_there_asks_first(bench) -> None:
    (name, *_) = [path for path in HERON.files if path.startswith("shows/") and path.endswith(".toml")]
    before = HERON.files[name].decode()
    other = b'format = 1\nname = "Other"\n\n[[cues]]\nname = "1"\nfade = 1.0\nhold = 1.0\nvalues = {head_turn = 9}\n'
    bench.drop(name.removeprefix("shows/"), other)
    question = bench.page.get_by_role("alertdialog")
    question.get_by_role("button", name="Keep the old one").click()
    question.wait_for(state="detached")
    assert bench.page.evaluate("path => posekit.file(path)", name) == before


DROPPED = b'format = 1\nname = "Dropped"\n\n[[cues]]\nname = "1"\nfade = 30.0\nhold = 90.0\nvalues = {head_turn = 9}\n'


def test_a_show_that_is_played_while_it_is_kept_goes_on(bench) -> None:
    with bench.waiting_for("keep_file"):
        bench.drop("dropped.toml", DROPPED)
        bench.becomes("() => asked()", True)
        bench.page.get_by_label("Time in the show").fill("20")
        bench.page.locator("#dock").get_by_role("button", name="Play", exact=True).click()
    panel = bench.page.get_by_role("tabpanel", name="Motion")
    bench.becomes("() => posekit.paths().includes('shows/dropped.toml')", True)
    expect(panel.get_by_label("Show", exact=True)).to_have_value("shows/dropped.toml")
    now = bench.page.evaluate("() => posekit.play()")
    assert now["playing"]
    assert now["time"] >= 20


def test_a_show_that_is_closed_while_it_is_kept_stays_closed(bench) -> None:
    with bench.waiting_for("keep_file"):
        bench.drop("dropped.toml", DROPPED)
        bench.becomes("() => asked()", True)
        bench.page.get_by_role("button", name="Close the show").click()
    bench.becomes("() => posekit.paths().includes('shows/dropped.toml')", True)
    bench.quiet()
    panel = bench.page.get_by_role("tabpanel", name="Motion")
    expect(panel.get_by_label("Show", exact=True)).to_have_value("")
    assert bench.page.locator("#dock").is_hidden()


# All that Python is asked waits for `letGo`.
HELD = """const post = Worker.prototype.postMessage;
let held = [];
Worker.prototype.postMessage = function (...given) {
    if (held) held.push(() => post.apply(this, given));
    else post.apply(this, given);
};
window.letGo = () => {
    for (const each of held) each();
    held = null;
};"""


def test_a_prop_that_is_on_its_way_is_no_change_that_waits(bare_profile, address, bench_of) -> None:
    """Nobody has changed anything on a first visit, and undo would leave a bench with nothing on it."""
    page = bare_profile.new_page()
    page.add_init_script(HELD)
    page.goto(address)
    status = page.locator("#status")
    status.get_by_text("Saved in this browser").wait_for()
    page.wait_for_timeout(500)
    assert "wait" not in status.inner_text()
    page.keyboard.press("Control+z")
    lit = page.get_by_role("button", name="Undo").is_enabled()
    page.evaluate("() => letGo()")
    bench_of(page).posed()
    assert not lit


def test_a_damaged_link_in_a_fresh_tab_is_told_and_leaves_a_bench_that_works(
    bare_profile, address, bench_of
) -> None:
    page = bare_profile.new_page()
    page.goto(f"{address}#pose=notalink")
    bench = bench_of(page)
    bench.posed()
    assert "damaged" in page.get_by_role("alert").inner_text()
    assert bench.work()["folder"] == "heron"
    assert "#" not in page.url
    reloaded(bench)
    assert page.get_by_role("alert").count() == 0


def test_values_of_a_link_that_no_drive_can_be_sent_do_not_stay_on_the_bench(
    bare_profile, address, bench_of, shot
) -> None:
    values = {"head_turn": 1e308, "neck_top": -5, "beak": 1.5, "tail_of_another": 3}
    page = bare_profile.new_page()
    page.goto(address + link_of({"prop": "heron", "over": True, "files": {}, "values": values}))
    bench = bench_of(page)
    bench.posed()
    right = {**REST, "head_turn": 255, "neck_top": 0, "beak": 2}
    assert bench.work()["values"] == right
    told = page.get_by_role("alert").inner_text()
    assert all(name in told for name in values)
    bench.stands_as(pose_at(HERON, list(right.values())))
    shot(bench, "link-values")
    reloaded(bench)
    assert bench.work()["values"] == right


COUNT = """() => {
    window.inflated = 0;
    const Stream = window.DecompressionStream;
    window.countNoMore = () => void (window.DecompressionStream = Stream);
    window.DecompressionStream = class {
        constructor(kind) {
            const inner = new Stream(kind);
            this.writable = inner.writable;
            const counted = {
                transform(part, to) {
                    window.inflated += part.length;
                    to.enqueue(part);
                },
            };
            this.readable = inner.readable.pipeThrough(new TransformStream(counted, undefined, {highWaterMark: 0}));
        }
    };
}"""


def test_a_link_is_inflated_no_further_than_its_budget(bench) -> None:
    packer = zlib.compressobj(9, zlib.DEFLATED, -15)
    packed = (
        b"".join(packer.compress(bytes(1 << 20)) for _ in range(3 * budgets.INFLATED_BYTES >> 20))
        + packer.flush()
    )
    page = bench.page
    page.evaluate(COUNT)
    try:
        # Chromium takes no address that long by hand, but a page can have one.
        page.evaluate(
            "fragment => { location.hash = fragment }",
            "pose=" + urlsafe_b64encode(packed).decode().rstrip("="),
        )
        page.get_by_role("alert").get_by_text("holds more than any prop").wait_for()
        assert budgets.INFLATED_BYTES < page.evaluate("window.inflated") < 1.1 * budgets.INFLATED_BYTES
        assert bench.work()["folder"] == "heron"
    finally:
        page.evaluate("() => countNoMore()")


def test_a_zip_is_inflated_no_further_than_its_budget(bench) -> None:
    bench.drop("bomb.zip", zipped({"a/prop.toml": ARM, "a/meshes/a.stl": bytes(budgets.INFLATED_BYTES)}))
    assert "128 MB" in bench.page.get_by_role("alert").inner_text()
    assert bench.work()["folder"] == "heron"


def test_a_recording_that_begins_with_many_empty_lines_is_read_in_no_time(bench) -> None:
    bench.drop(
        "stream.csv",
        b"\n" * 50_000 + b"# nothing but remarks\n" * 1000 + b"universe,address,value\n1,9,many\n",
    )
    assert "many" in bench.page.get_by_role("alert").inner_text()


@pytest.mark.own_page
def test_the_panel_that_was_open_is_open_after_a_reload_and_a_link_begins_as_ever(bench) -> None:
    page = bench.page
    link = shared_link(bench)
    page.keyboard.press("Escape")
    for panel in ("Looks", "Joints"):
        bench.tab(panel)
        page.reload()
        bench.posed()
        expect(page.get_by_role("tab", name=panel)).to_have_attribute("aria-selected", "true")
        page.get_by_role("tabpanel", name=panel).get_by_role("heading", name=panel).first.wait_for()
    page.evaluate("link => history.replaceState(null, '', link)", link)
    page.reload()
    bench.posed()
    expect(page.get_by_role("tab", name="Channels")).to_have_attribute("aria-selected", "true")
