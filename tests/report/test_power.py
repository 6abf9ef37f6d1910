"""Strength and supply: what is told of a prop whose figures can be worked by hand, and of the demo props."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

import posekit
from posekit.cli import main
from posekit.report.feeding import SupplyPower
from posekit.report.power import CAUTION, PowerReport, power_report
from posekit.statics.burden import STANDARD_GRAVITY
from posekit.statics.power_on import power_on
from posekit.stream.reader import read_show
from tests.conftest import ROOT, prop_of
from tests.statics.test_statics import ARM, FORE

SHOULDER_NM = (0.170 * 0.085 + 0.050 * 0.060) * STANDARD_GRAVITY  # both arms level
SERVO = "stall_torque = {stall}\nspeed = 300.0\nstall_current = 2.0\nidle_current = 0.1\nfriction = 0.05\n"
SUPPLY = "[supply]\nvoltage = {volts}\ncurrent = {amperes}\n"


def arm(stall: float = 1.0, volts: float = 6.0, amperes: float = 5.0, more: str = "") -> posekit.Prop:
    servo = f"{SUPPLY.format(volts=volts, amperes=amperes)}{more}[servos.s]\nvoltage = [4.8, 7.4]\n"
    return prop_of(ARM.replace("[servos.s]\n", servo + SERVO.format(stall=stall)) + FORE)


def told(report: PowerReport) -> dict[tuple[str, str], str]:
    return {(finding.code, finding.subject): finding.level for finding in report.findings}


def test_shares_of_stall_currents_and_sleep_are_those_worked_by_hand() -> None:
    report = power_report(arm())
    shoulder, elbow = report.as_dict()["drives"].values()
    assert shoulder["holding_found_nm"] == pytest.approx(SHOULDER_NM, rel=1e-3)
    assert SHOULDER_NM <= shoulder["holding_nm"] <= 1.03 * shoulder["holding_found_nm"]
    assert shoulder["share"] == shoulder["holding_nm"]  # of 1 N m
    assert (shoulder["may_sleep"], elbow["may_sleep"]) == (False, True)
    assert shoulder["peak_nm"] is None and shoulder["rms_nm"] is None
    assert set(shoulder["holding_values"]) == {"shoulder", "elbow"}
    held = sum(0.1 + 1.9 * each["holding_nm"] for each in (shoulder, elbow))
    assert report.supply.all_holding_a == pytest.approx(held)
    assert (report.supply.all_idle_a, report.supply.all_stalled_a) == pytest.approx((0.2, 4.0))
    assert report.findings[-1].message == CAUTION


@pytest.mark.parametrize(
    ("stall", "level", "code"),
    [
        (1.0, None, ""),
        (0.45, "note", "holding-share"),
        (0.3, "warning", "holding-share"),
        (0.15, "error", "cannot-hold"),
    ],
)
def test_a_servo_that_holds_too_much_is_told_by_how_much(stall: float, level: str | None, code: str) -> None:
    prop = arm(stall=stall)
    found = told(power_report(prop))
    assert found.get((code, "shoulder")) == level
    weak = [finding for finding in posekit.check(prop) if finding.code == "cannot-hold"]
    assert [finding.subject for finding in weak] == (["shoulder"] if level == "error" else [])


@pytest.mark.parametrize(("volts", "level"), [(6.0, None), (4.0, "warning"), (12.0, "error")])
def test_too_much_voltage_is_told_first(volts: float, level: str | None) -> None:
    prop = arm(volts=volts)
    for findings in (power_report(prop).findings, tuple(posekit.check(prop))):
        wrong = [finding for finding in findings if finding.code == "supply-voltage"]
        assert [finding.level for finding in wrong] == ([level] if level else [])
        if level == "error":
            assert findings[0] == wrong[0]
            assert "destroys" in wrong[0].message


def test_what_wires_take_is_missing_at_the_servos() -> None:
    """3 m of 0.75 mm2 at 5 A: 0.689655 V (2 L I rho / A); torque goes with what is left of the voltage."""
    rated = "rated = [[4.0, 200.0, 0.6, 1.4], [6.0, 300.0, 1.0, 2.0]]\n"
    prop = arm(more="wire = {length = 3000, area = 0.75}\n")
    prop = prop_of(prop.text.replace("idle_current", f"{rated}idle_current", 1))
    report = power_report(prop)
    assert report.supply.servo_volts == pytest.approx(6.0 - 0.689655, abs=1e-6)
    assert report.drives[0].rating.stall_nm == pytest.approx(1.0 - 0.4 * 0.689655 / 2, abs=1e-6)
    # A fuse of 2 A for what moves, and wire that drops a twentieth of 6 V at that.
    assert report.supply.fuse_a == 2.0
    assert report.supply.wire_mm2 == pytest.approx(2 * 3.0 * 2.0 / 58 / 0.3)


def test_no_supply_is_chosen_by_a_sum_from_which_a_servo_is_missing() -> None:
    report = power_report(prop_of(arm().text.replace("stall_current = 2.0\n", "")))
    assert (report.supply.supply_needed_a, report.supply.fuse_a) == (None, None)
    assert told(report)["current-unknown", "servos.s"] == "note"


def test_servos_come_on_one_after_another_as_fast_as_the_supply_lets_them() -> None:
    """Four of 2 A stalled and 0.5 A held, half a second each: two at a time are 1 + 4 A at the most."""
    stall, held = np.full(4, 2.0), np.full(4, 0.5)
    assert power_on(stall, held, 0.5, 5.0) == power_on(stall, held, 0.5, 6.0)
    begun = power_on(stall, held, 0.5, 5.0)
    assert (begun.at_once_a, begun.pause_s, begun.staggered_a) == (8.0, 0.25, 5.0)
    assert power_on(stall, held, 0.5, 8.0).pause_s == 0.0
    assert power_on(stall, held, 0.5, 3.0).pause_s is None


SWING = b"""format = 1
name = "Swing"
[[cues]]
name = "down"
values = {shoulder = 30}
hold = 1.0
[[cues]]
name = "level"
values = {shoulder = 128}
hold = 2.0
"""


@pytest.mark.parametrize(
    ("limits", "weak"), [("speed = 200\nacceleration = 300", False), ("acceleration = 4000", True)]
)
def test_a_servo_that_a_show_asks_too_much_of_is_told_what_it_could_do(limits: str, weak: bool) -> None:
    """Level, at 300 deg/s, it has no torque left (the line from stall to no load)."""
    text = arm().text.replace('servo = "s"\n', f'servo = "s"\n{limits}\n')
    prop = prop_of(text)
    report = power_report(prop, read_show(prop, SWING, "shows/swing.toml"))
    (shoulder, _), found = report.drives, told(report)
    assert (found.get(("too-weak", "shoulder")) == "warning") is weak
    assert shoulder.peak_nm is not None and shoulder.rms_nm is not None and shoulder.peak_at_s is not None
    assert shoulder.peak_nm > SHOULDER_NM > shoulder.rms_nm > 0.5 * SHOULDER_NM
    assert 0.0 < shoulder.peak_at_s < 2.0
    assert report.supply.show_peak_a is not None and report.supply.show_mean_a is not None
    assert report.supply.show_peak_a > report.supply.show_mean_a > report.supply.all_idle_a
    if weak:
        (message,) = (finding.message for finding in report.findings if finding.code == "too-weak")
        assert "it reaches" in message and "deg/s2" in message


def test_a_speed_that_jumps_is_told_because_its_torque_is_not_counted() -> None:
    prop = arm()
    assert (
        told(power_report(prop, read_show(prop, SWING, "shows/swing.toml")))["speed-jumps", "shoulder"]
        == "note"
    )


def test_the_demo_props_are_strong_enough_and_the_heron_has_something_to_tell() -> None:
    report = power_report(posekit.load(ROOT / "models" / "heron"))
    assert told(report)["holding-share", "wing_left"] == "note"
    assert not [finding for finding in report.findings if finding.level == "error"]


def test_the_command_prints_the_form_that_machines_read(tmp_path: Path) -> None:
    (tmp_path / "prop.toml").write_text(arm(stall=0.15).text)
    asked = CliRunner().invoke(main, ["power", str(tmp_path), "--json"])
    assert asked.exit_code == 1
    data = json.loads(asked.output)
    assert list(data) == ["prop", "supply", "drives", "findings"]
    assert list(data["drives"]["shoulder"]) == [
        "holding_nm", "holding_values", "holding_found_nm", "stall_nm", "share", "may_sleep", "peak_nm", "rms_nm",
    ]  # fmt: skip
    assert list(data["supply"]) == list(SupplyPower.__dataclass_fields__)
    said = CliRunner().invoke(main, ["power", str(tmp_path)])
    assert said.exit_code == 1
    for word in ("holds at most", "may sleep", "cannot-hold", "local codes"):
        assert word in said.output
