"""Strength in the page: bars that follow the pose, the worst proved and shown, a show, the supply."""

from __future__ import annotations

import numpy as np
import pytest

import posekit
from posekit.report.held import load_of, most_strained
from posekit.report.power import CAUTION, power_report
from posekit.report.stall import ratings_of
from posekit.statics import shaft_torques
from posekit.stream import read_show
from posekit.text import upward
from tests.conftest import demo_prop, prop_of
from tests.report.test_power import SWING, arm
from tests.web.test_page_access import PHONE, serious

pytestmark = [pytest.mark.page, pytest.mark.python("native")]

HERON = demo_prop("heron")
WEAK = arm(stall=0.3)


def dropped(bench, prop: posekit.Prop) -> None:
    bench.drop("arm.toml", prop.text.encode())
    bench.page.get_by_role("heading", name=prop.name).wait_for()


def shares(prop: posekit.Prop, values: list[int]) -> list[str]:
    """Whole per cents of stall, as the bars tell them."""
    stall = [each.stall_nm for each in ratings_of(prop)]
    torque = np.abs(shaft_torques(prop, [values])[0])
    return [
        f"{upward(100 * torque / most, 0)} %" for torque, most in zip(torque.tolist(), stall, strict=True)
    ]


def told(bench) -> list[str]:
    """The shares beside the bars of the pose."""
    return bench.page.locator(
        "ul[aria-label^='What each servo holds in this pose'] .strain__words .number"
    ).all_inner_texts()


def test_bars_follow_the_channels_while_the_panel_is_open_and_the_worst_is_marked(bench, shot) -> None:
    dropped(bench, WEAK)
    panel = bench.tab("Strength")
    panel.get_by_role("meter", name="shoulder").wait_for()
    for values in ([128, 128], [255, 60]):
        bench.tab("Channels")
        for drive, value in zip(WEAK.drives, values, strict=True):
            bench.page.get_by_label(f"{drive.name}, value").fill(str(value))
            bench.page.keyboard.press("Tab")
        bench.tab("Strength")
        for _ in bench.looks():
            if told(bench) == shares(WEAK, values):
                break
        assert told(bench) == shares(WEAK, values)
    meter = panel.get_by_role("meter", name="shoulder")
    assert shares(WEAK, [255, 60])[0] in (meter.get_attribute("aria-valuetext") or "")
    bench.page.locator(".label--strained", has_text="shoulder").wait_for()
    panel.get_by_label("worst in the picture").uncheck()
    bench.page.locator(".label--strained").wait_for(state="detached")
    panel.get_by_label("worst in the picture").check()
    bench.page.locator(".label--strained").wait_for()
    shot(bench, "strength")
    bench.tab("Channels")
    bench.page.locator(".label--strained").wait_for(state="detached")


def test_bars_of_a_pose_that_moves_are_asked_for_now_and_then_and_at_rest_they_are_of_that(bench) -> None:
    dropped(bench, WEAK)
    bench.tab("Strength").get_by_role("meter", name="shoulder").wait_for()
    bench.page.evaluate(
        """() => {
            const post = Worker.prototype.postMessage;
            window.bars = [];
            window.listenNoMore = () => (Worker.prototype.postMessage = post);
            Worker.prototype.postMessage = function (message, ...rest) {
                if (message.method === "held") bars.push([performance.now(), message.params.values.shoulder]);
                return post.call(this, message, ...rest);
            };
        }"""
    )
    bench.page.evaluate(
        """async () => {
            const slider = document.querySelector("#channel-shoulder");
            for (let value = 1; value <= 120; value += 1) {
                slider.value = String(value);
                slider.dispatchEvent(new Event("input", {bubbles: true}));
                await new Promise(requestAnimationFrame);
            }
        }"""
    )
    bench.becomes("() => bars.at(-1)?.[1]", 120)
    for _ in bench.looks():
        if told(bench) == shares(WEAK, [120, 128]):
            break
    assert told(bench) == shares(WEAK, [120, 128])
    asked = bench.page.evaluate("() => (listenNoMore(), bars)")
    assert len(asked) > 1, "while it moves, too"
    lasts_ms = asked[-1][0] - asked[0][0]
    assert len(asked) - 2 <= lasts_ms / 120.0, (
        "no more often than it could have come to rest, however quick the machine"
    )


@pytest.mark.python("pyodide")
def test_the_worst_is_proved_and_its_pose_is_set(bench, shot) -> None:
    report = power_report(HERON)
    panel = bench.tab("Strength")
    panel.get_by_role("button", name="Prove the worst").click()
    panel.get_by_text(f"Done: {len(HERON.drives)} of {len(HERON.drives)} servos proved").wait_for()
    at = most_strained([load_of(each.holding.most_nm, each.rating.stall_nm) for each in report.drives])
    assert at is not None
    worst = report.drives[at]
    assert worst.share is not None and worst.rating.stall_nm is not None
    row = panel.locator(f"[data-drive={worst.holding.drive}]").last
    assert f"{upward(100 * worst.share, 0)} %" in row.inner_text() and "worst" in row.inner_text()
    row.get_by_role("button", name=f"Show this pose, in which {worst.holding.drive} holds most").click()
    for drive, value in zip(HERON.drives, worst.holding.values, strict=True):
        bench.becomes(f"() => posekit.work().values.{drive.name}", value)
    found = abs(worst.holding.found_nm) / worst.rating.stall_nm
    here = panel.locator(f"[data-drive={worst.holding.drive}]").first
    here.get_by_text(f"{upward(100 * found, 0)} %").wait_for()
    shot(bench, "strength-worst")
    panel.locator("summary", has_text="Currents, fuse and wire").click()
    panel.get_by_text(CAUTION).wait_for()
    assert report.supply.all_stalled_a is not None
    panel.get_by_role("row", name=f"all stalled {report.supply.all_stalled_a:.2f} A").wait_for()
    assert serious(bench) == []


def test_a_show_is_looked_through_and_its_peak_is_gone_to(bench) -> None:
    prop = prop_of(arm().text.replace('servo = "s"\n', 'servo = "s"\nspeed = 200\nacceleration = 300\n'))
    peak = power_report(prop, read_show(prop, SWING, "shows/swing.toml")).drives[0]
    dropped(bench, prop)
    bench.drop("swing.toml", SWING)
    bench.page.get_by_role("slider", name="Time in the show").wait_for()
    bench.becomes("() => posekit.file('shows/swing.toml') !== null", True)  # it is kept a moment later
    panel = bench.tab("Strength")
    panel.get_by_role("button", name="Prove the worst, and look through the show").click()
    panel.get_by_text("and the show looked through.").wait_for()
    assert peak.peak_at_s is not None and peak.rms_nm is not None
    panel.get_by_text(f"RMS {peak.rms_nm:.2f} N·m").wait_for()
    clock = f"0:{peak.peak_at_s:05.2f}"
    panel.get_by_role("button", name=f"Go to {clock}, where shoulder gives most").click()
    scrub = bench.page.get_by_role("slider", name="Time in the show")
    assert float(scrub.input_value()) == pytest.approx(peak.peak_at_s, abs=0.02)
    mark = bench.page.locator(".peak-mark")
    assert "shoulder" in mark.inner_text()
    scrub.fill("0")
    mark.click()
    assert float(scrub.input_value()) == pytest.approx(peak.peak_at_s, abs=0.02)
    assert serious(bench) == []


def test_a_supply_that_destroys_servos_is_told_before_all_else(bench) -> None:
    dropped(bench, arm(volts=12.0))
    panel = bench.tab("Strength")
    alert = panel.get_by_role("alert")
    alert.get_by_text("Do not connect the supply").wait_for()
    assert "= 12" in alert.inner_text()
    first = panel.locator(".danger, .caution, .strains, .fold").first
    assert "danger" in (first.get_attribute("class") or "")


def test_what_the_file_does_not_say_can_be_typed_here(bench) -> None:
    dropped(bench, prop_of(arm().text.replace("friction = 0.05\n", "")))
    panel = bench.tab("Strength")
    panel.locator("summary", has_text="Figures of the servos: 1 missing").click()
    panel.get_by_text("has no friction").wait_for()
    panel.locator("[data-path='servos.s.friction'] input").fill("0.05")
    bench.page.keyboard.press("Tab")
    panel.get_by_text("has no friction").wait_for(state="detached")
    assert posekit.read({"prop.toml": bench.work()["text"].encode()}).servos[0].friction == 0.05


def test_a_proof_can_be_stopped_while_it_runs_and_another_prop_forgets_it(bench) -> None:
    panel = bench.tab("Strength")
    panel.get_by_role("button", name="Prove the worst").click()
    panel.get_by_text("Proving: ").wait_for()
    panel.get_by_role("button", name="Stop and keep what is proved").click()
    panel.get_by_text(f"Stopped: {len(HERON.drives)} of {len(HERON.drives)} servos proved").wait_for()
    panel.get_by_role("button", name="Prove the worst").wait_for()
    dropped(bench, WEAK)
    bench.tab("Strength").get_by_role("meter", name="shoulder").wait_for()
    assert panel.locator(".strain").count() == len(WEAK.drives)


def test_no_danger_of_the_prop_before_is_told_of_the_next(bench) -> None:
    dropped(bench, arm(volts=12.0))
    bench.tab("Strength").get_by_role("alert").get_by_text("Do not connect the supply").wait_for()
    bench.page.evaluate(
        """() => {
            window.mixed = 0;
            const before = posekit.work().text;
            const look = () => {
                mixed += posekit.work().text !== before && document.querySelector(".danger") ? 1 : 0;
                requestAnimationFrame(look);
            };
            look();
        }"""
    )
    dropped(bench, prop_of(WEAK.text.replace('name = "arm"', 'name = "weak arm"')))
    bench.page.locator(".danger").wait_for(state="detached")
    bench.page.get_by_role("meter", name="shoulder").wait_for()
    assert bench.page.evaluate("() => mixed") == 0


def test_notes_that_say_the_same_of_several_servos_are_one(bench) -> None:
    bare = WEAK.text.replace("friction = 0.05\n", "")
    servo = bare[bare.index("[servos.s]") : bare.index("[links.base]")]
    two = bare.replace(servo, servo + servo.replace("servos.s", "servos.t"))
    dropped(bench, prop_of(two.replace('[drives.elbow]\nservo = "s"', '[drives.elbow]\nservo = "t"')))
    panel = bench.tab("Strength")
    panel.locator("summary", has_text="Figures of the servos: 2 missing").click()
    panel.get_by_text("has no friction").filter(has_text="; the same for servo t").wait_for()
    assert panel.get_by_text("has no friction").count() == 1


@pytest.mark.parametrize("setting", [PHONE], indirect=True)
def test_on_a_phone_nothing_of_the_panel_is_wider_than_the_screen(bench, setting, shot) -> None:
    dropped(bench, WEAK)
    bench.page.get_by_role("button", name="Controls").tap()
    panel = bench.tab("Strength")
    panel.get_by_role("meter", name="shoulder").wait_for()
    panel.get_by_role("button", name="Prove the worst").tap()
    panel.get_by_text("Done: 2 of 2 servos proved").wait_for()
    shot(bench, "strength-phone")
    wide = bench.page.evaluate(
        "() => { const p = document.querySelector('#panel-strength'); return p.scrollWidth - p.clientWidth; }"
    )
    assert wide <= 0
    assert serious(bench) == []
