"""Falls, lost values, supplies and the receiver in the page: looked at, drawn, and edited a step of undo at a time."""

from __future__ import annotations

import re

import numpy as np
import pytest

import posekit
from posekit.mechanism.joints import solve
from posekit.report.letting_go_told import grave_touches
from posekit.report.loss import loss_report
from posekit.report.loss_words import fall_row
from tests.conftest import prop_of
from tests.report.test_loss import BEAM, SECOND, two
from tests.report.test_power import arm
from tests.web.test_page_access import PHONE, serious
from tests.web.test_page_strength import dropped

pytestmark = [pytest.mark.page, pytest.mark.python("native")]

FOCUSED = "(each) => each === document.activeElement"
FALLING = prop_of(f"{BEAM}[supply]\nvoltage = 6.0 # as measured\ncurrent = 5.0\n")


def opened(bench, title: str):
    panel = bench.tab("Strength")
    fold = panel.locator("details", has=bench.page.locator("summary", has_text=title)).first
    fold.locator("summary").first.click()
    return fold


def looked(bench, fold):
    fold.get_by_role("button", name="Look at what falls").click()
    fold.get_by_text(re.compile("^Done: ")).wait_for()


def file_of(bench) -> posekit.Prop:
    return posekit.read({"prop.toml": bench.work()["text"].encode()})


@pytest.mark.python("pyodide")
def test_what_falls_is_told_as_the_command_tells_it_and_drawn_where_it_strikes(bench, shot) -> None:
    dropped(bench, FALLING)
    fold = opened(bench, "When servos let go")
    looked(bench, fold)
    report = loss_report(FALLING, [drive.rest_value for drive in FALLING.drives])
    (tilt,) = report.drives
    row = fold.locator("[data-drive=tilt]")
    for words in fall_row(FALLING, tilt):
        assert words in row.inner_text()
    strikes = row.get_by_role("button", name="Show where it strikes: tilt")
    strikes.click()
    shaft = np.array([[grave_touches(tilt)[0].shaft_deg]])
    links = posekit.forward(FALLING, solve(FALLING, shaft).position)[0]
    bench.stands_at(dict(zip((link.name for link in FALLING.links), links, strict=True)))
    assert strikes.get_attribute("aria-pressed") == "true"
    shot(bench, "strength-falls")
    strikes.click()
    bench.stands_as(posekit.pose(FALLING, posekit.Snapshot.parse("1/1@128")))
    row.get_by_role("button", name="Show where it rests: tilt").click()
    bench.tab("Channels")
    bench.stands_as(posekit.pose(FALLING, posekit.Snapshot.parse("1/1@128")))
    bench.page.get_by_label("tilt, value").fill("140")
    bench.page.keyboard.press("Tab")
    bench.tab("Strength")
    fold.get_by_text("has changed since. Look again.").wait_for()
    assert strikes.get_attribute("aria-disabled") == "true"
    assert serious(bench) == []


STOPS_AFTER_ONE = """() => {
    // A step at a time, and Stop as soon as one servo is told, before the next step is asked for.
    const { postMessage } = Worker.prototype;
    const heard = new WeakSet();
    let told = 0;
    Worker.prototype.postMessage = function (message, ...rest) {
        if (!heard.has(this)) {
            heard.add(this);
            this.addEventListener("message", ({ data: { result } }) => {
                if (result?.phase === "looking") told = result.drives.length;
            });
        }
        if (message.method === "lose_on") {
            message.params.seconds = 0;
            const stop = [...document.querySelectorAll("button")].find((each) => each.textContent === "Stop looking");
            if (told > 0) stop?.click();
        }
        if (message.method === "lose_stop") Worker.prototype.postMessage = postMessage;
        postMessage.call(this, message, ...rest);
    };
}"""


def test_a_look_that_is_stopped_keeps_what_was_found_and_lists_what_was_not_looked_at(bench, shot) -> None:
    text = two("release", "release")
    for n, name in ((3, "third"), (4, "fourth")):
        more = SECOND.replace("other", name).replace("at = [0, 400,", f"at = [0, {400 * n},")
        text += more.replace("address = 2", f"address = {n}\nrest = 128")
    prop = prop_of(text)
    dropped(bench, prop)
    fold = opened(bench, "When servos let go")
    bench.page.evaluate(STOPS_AFTER_ONE)
    fold.get_by_role("button", name="Look at what falls").click()
    fold.get_by_text("Stopped: what was not looked at says so.").wait_for()
    tilt, *_ = loss_report(prop, [drive.rest_value for drive in prop.drives]).drives
    row = fold.locator("[data-drive=tilt]").first
    for words in fall_row(prop, tilt):
        assert words in row.inner_text()
    assert fall_row(prop, tilt)[-1] != "not looked at"
    assert "not looked at" in fold.locator("[data-drive=fourth]").first.inner_text()
    assert fold.get_by_role("progressbar").count() == 0
    shot(bench, "strength-falls-stopped")
    looked(bench, fold)
    assert "not looked at" not in fold.locator("[data-drive=fourth]").first.inner_text()


@pytest.mark.python("pyodide")
@pytest.mark.parametrize(
    ("words", "method", "done"),
    [("Look at what falls", "lose_on", "Done: 1 servo"), ("Prove the worst", "prove_on", "Done: 1 of 1")],
)
def test_work_of_a_worker_that_ends_is_broken_off_and_says_so(
    bench, words: str, method: str, done: str
) -> None:
    dropped(bench, FALLING)
    opened(bench, "When servos let go")
    panel = bench.tab("Strength")
    bench.page.evaluate(
        """(method) => {
            const post = Worker.prototype.postMessage;
            Worker.prototype.postMessage = function (message, ...rest) {
                post.call(this, message, ...rest);
                if (message.method !== method) return;
                Worker.prototype.postMessage = post;
                this.terminate(); // as a browser does that wants its memory
            };
        }""",
        method,
    )
    again = panel.get_by_role("button", name=words)
    again.click()
    told = bench.page.get_by_role("alert").filter(has_text="Python stopped before this was done")
    told.wait_for()
    again.wait_for()
    assert panel.get_by_text(re.compile("so far…|Proving: ")).count() == 0
    assert panel.get_by_role("progressbar").count() == 0
    told.get_by_role("button", name="Close").click()
    again.click()
    panel.get_by_text(re.compile(f"^{done}")).wait_for()


def test_what_the_receiver_does_is_set_and_the_pose_that_results_is_told(bench) -> None:
    dropped(bench, FALLING)
    receiver = opened(bench, "Receiver")
    receiver.locator("[data-path='receiver.on_loss'] select").select_option("release")
    own = receiver.locator("[data-path='drives.tilt.on_loss'] select")
    own.locator("option", has_text="as the receiver: release").wait_for(state="attached")
    fold = opened(bench, "When servos let go")
    looked(bench, fold)
    fold.get_by_role("row", name="tilt release -").wait_for()
    fold.get_by_role("button", name="Show how it lies: after values have stopped").wait_for()
    own.select_option("hold")
    bench.becomes("() => posekit.work().text.includes('on_loss = \"hold\"')", True)
    prop = file_of(bench)
    assert prop.on_loss(prop.drives[0]) == "hold"
    bench.page.get_by_role("button", name="Undo").click()
    bench.becomes("() => posekit.work().text.includes('on_loss = \"hold\"')", False)
    bench.page.get_by_role("button", name="Undo").click()
    bench.becomes("() => posekit.work().text", FALLING.text)


def test_a_supply_is_added_hung_on_renamed_and_removed_a_step_of_undo_each(bench, shot) -> None:
    prop = arm()
    dropped(bench, prop)
    fold = opened(bench, "Supply")
    fold = bench.page.locator("details", has=bench.page.locator("[data-feed]")).first
    fold.get_by_role("button", name="Add a supply").focus()
    bench.page.keyboard.press("Enter")
    form = fold.get_by_role("form", name="Add a supply")
    assert form.get_by_label("Name of the supply").evaluate(FOCUSED)
    bench.page.keyboard.type("legs")
    form.get_by_label("Voltage, V").fill("6")
    bench.page.keyboard.press("Enter")
    form.get_by_text("Current it can give all the time: nothing stands there").wait_for()
    form.get_by_label("Current it can give all the time, A").fill("4")
    form.get_by_role("button", name="Add it").click()
    legs = fold.locator("[data-feed=legs]")
    legs.get_by_text("Feeds no drive.").wait_for()
    again = fold.get_by_role("button", name="Add a supply")
    assert again.evaluate(FOCUSED)
    fold.locator("[data-path='drives.elbow.supply'] select").select_option("legs")
    legs.get_by_text("Feeds elbow.").wait_for()
    fold.locator("[data-feed=supply]").get_by_text("Feeds shoulder, which name no other.").wait_for()
    legs.get_by_label("Name").fill("hips")
    bench.page.keyboard.press("Tab")
    hips = fold.locator("[data-feed=hips]")
    hips.get_by_text("Feeds elbow.").wait_for()
    volts = hips.locator("[data-path='supplies.hips.voltage'] input")
    assert volts.evaluate(FOCUSED), "the next after the name, though all paths are others now"
    hips.get_by_role("button", name="Add its wire").click()
    hips.get_by_label("From the supply to the servos, one way, mm").fill("1500")
    hips.get_by_label("Cross-section of one wire, mm²").fill("1.5")
    hips.get_by_role("button", name="Add", exact=True).click()
    hips.locator("[data-path='supplies.hips.wire.length'] input").wait_for()
    bench.becomes("() => document.activeElement.dataset.feed", "hips")  # the button went with what it did
    wired = file_of(bench)
    assert wired.supplies[0].wire is not None and wired.supplies[0].wire.area == 1.5
    shot(bench, "strength-supplies")
    assert serious(bench) == []
    hips.get_by_role("button", name="Remove supply hips").click()
    bench.page.get_by_text("is fed by 'hips'; [supply] would feed it").wait_for()
    bench.page.get_by_role("button", name="Remove it", exact=True).click()
    hips.wait_for(state="detached")
    bench.becomes("() => document.activeElement.textContent", "Add a supply")
    for _ in range(5):  # the supply, the wire, the name, the drive, the supply itself
        bench.page.get_by_role("button", name="Undo").click()
    bench.becomes("() => posekit.work().text", prop.text)


def test_figures_stand_a_supply_with_the_drives_it_feeds(bench) -> None:
    text = arm().text.replace("[drives.elbow]\n", '[drives.elbow]\nsupply = "legs"\n')
    dropped(bench, prop_of(f"{text}[supplies.legs]\nvoltage = 6.0\ncurrent = 4.0\n"))
    fold = opened(bench, "Currents, fuse and wire")
    bench.page.get_by_role("button", name="Prove the worst").click()
    for name, drive in (("supply", "shoulder"), ("legs", "elbow")):
        fold.get_by_role("heading", name=name, exact=True).wait_for()
        fold.get_by_text(f"Feeds {drive}.").wait_for()
        fold.get_by_role("region", name=f"Figures of {name}").wait_for()


@pytest.mark.parametrize("setting", [PHONE], indirect=True)
def test_on_a_phone_falls_and_supplies_are_no_wider_than_the_screen(bench, setting, shot) -> None:
    dropped(bench, FALLING)
    bench.page.get_by_role("button", name="Controls").tap()
    fold = opened(bench, "When servos let go")
    looked(bench, fold)
    shot(bench, "strength-falls-phone")
    opened(bench, "Receiver")
    wide = bench.page.evaluate(
        "() => { const p = document.querySelector('#panel-strength'); return p.scrollWidth - p.clientWidth; }"
    )
    assert wide <= 0
    assert serious(bench) == []
