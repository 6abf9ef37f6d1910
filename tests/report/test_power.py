"""Strength and supply: what is told of a prop whose figures can be worked by hand, and of the demo props."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

import posekit
from posekit.cli import main
from posekit.motion.follow import follow
from posekit.prop.feeds import feeds
from posekit.report.feeding import SupplyPower
from posekit.report.moved import moved_steps
from posekit.report.power import CAUTION, PowerReport, power_report, power_steps
from posekit.report.strength import following_findings, holding_findings
from posekit.signal.calibration import servo_of
from posekit.statics import over_show, shaft_torques
from posekit.statics.burden import STANDARD_GRAVITY, burden_of
from posekit.statics.currents import current_at
from posekit.statics.over_show import torque_parts, torques_over
from posekit.statics.power_on import power_on
from posekit.stepwise import finished
from posekit.stream.reader import read_show
from tests.conftest import demo_prop, prop_of
from tests.statics.test_statics import ARM, FORE
from tests.statics.weighed import random_figure

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


def test_a_report_in_steps_goes_servo_by_servo_and_takes_what_was_proved_before() -> None:
    prop, whole = arm(), power_report(arm())
    first = list(power_steps(prop))
    counts = [len(state.holding) for state in first]
    assert (counts, set(counts)) == (sorted(counts), {0, 1})
    known = first[-1].holding
    assert known[0] == whole.drives[0].holding
    again = power_steps(prop, known=known)
    assert next(again).holding == known
    assert finished(again).as_dict() == whole.as_dict()


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


@pytest.mark.parametrize(
    ("volts", "grams", "said"),
    [
        (6.0, 0, "(class 'high_torque': 1.8 N·m)"),  # 0.52 N·m; 'low_profile' has 0.4
        (5.0, 300, "(class 'high_torque': 1.8 N·m)"),
        (5.0, 700, "which no class of hobby servo for 5 V here has"),  # 'large' takes 6 V and more
        (6.0, 700, "(class 'large': 3 N·m)"),
        (6.0, 2000, "which no class of hobby servo here has"),
    ],
)
def test_the_class_that_would_do_is_told_by_name(volts: float, grams: int, said: str) -> None:
    load = f"[loads.bag]\nlink = 'fore'\nmass = {grams}\nat = [0, 0, 40]\n"
    prop = prop_of(arm(stall=0.3, volts=volts).text + load)
    for findings in (power_report(prop).findings, tuple(posekit.check(prop)) if grams else ()):
        for finding in findings:
            if finding.subject == "shoulder" and finding.code in ("cannot-hold", "holding-share"):
                assert said in finding.message
    assert any(said in finding.message for finding in power_report(prop).findings)


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
    # So much of it that a servo which takes 4.8 V and more does not start, and has no figures.
    weak = power_report(prop_of(prop.text.replace("area = 0.75", "area = 0.2").replace("[[4.0,", "[[4.8,")))
    assert weak.supply.servo_volts == pytest.approx(6.0 - 0.689655 * 0.75 / 0.2, abs=1e-5)
    levels = told(weak)
    assert "supply-voltage" in {finding.code for finding in posekit.check(weak.prop)}
    assert (
        levels["supply-voltage", "supply.voltage"] == levels["rated-voltage", "servos.s.rated"] == "warning"
    )


def test_short_wire_is_chosen_by_its_heat_and_a_fuse_by_what_power_on_does_to_it() -> None:
    """A fuse of 2 A asks for 0.4 mm2 at 5 A/mm2, however short; both servos stalled draw 4 A at power-on."""
    short = power_report(arm(volts=7.4, more="wire = {length = 100, area = 0.25}\n"))
    assert (short.supply.fuse_a, short.supply.wire_mm2) == (2.0, 0.4)
    assert told(short)["wire-thin", "supply.wire.area"] == "warning"
    assert told(short)["fuse", "supply"] == "warning"
    said = {finding.code: finding.message for finding in short.findings}
    assert "slow-blow" in said["fuse"] and "4.0 A" in said["fuse"] and "gets hot" in said["wire-thin"]
    thick = power_report(arm(volts=7.4, amperes=1.5, more="wire = {length = 100, area = 0.5}\n"))
    assert ("wire-thin", "supply.wire.area") not in told(thick)
    assert told(thick)["fuse", "supply.current"] == "note"


def at_its_dead_point(**of: float) -> posekit.Prop:
    """The elbow's four-bar comes to the end of what it closes at."""
    bars = (
        "type = 'four_bar'\ncrank = 30.0\ncoupler = 30.0\nrocker = 40.0\nground = 70.0\nshaft_zero = 90.0\n"
    )
    wide = 'joint = "elbow"\npulse = {low = 500, high = 2500}'
    return prop_of(arm(**of).text.replace('joint = "elbow"', wide) + f"[drives.elbow.linkage]\n{bars}")


def test_a_dead_point_is_told_as_one_and_hides_nothing(tmp_path: Path) -> None:
    prop = at_its_dead_point(volts=12.0)
    (tmp_path / "prop.toml").write_text(prop.text)
    (tmp_path / "swing.toml").write_bytes(SWING.replace(b"{shoulder", b"{elbow = 255, shoulder"))
    asked = CliRunner().invoke(main, ["power", str(tmp_path), str(tmp_path / "swing.toml"), "--json"])
    assert asked.exit_code == 1, asked.output
    data = json.loads(asked.output)
    elbow = data["drives"]["elbow"]
    assert [elbow[key] for key in ("holding_nm", "holding_found_nm", "share", "peak_nm", "rms_nm")] == [
        None
    ] * 5
    assert data["drives"]["shoulder"]["peak_nm"] > 0 and data["supply"]["show_peak_a"] > 0
    found = {(each["code"], each["subject"]): each["message"] for each in data["findings"]}
    assert (
        "dead point" in found["cannot-hold", "elbow"]
        and "counts as standing" in found["show-dead-point", "elbow"]
    )
    assert "cannot-hold" in {finding.code for finding in posekit.check(prop) if finding.subject == "elbow"}
    said = CliRunner().invoke(main, ["power", str(tmp_path)]).output
    assert "inf" not in said
    assert said.index("destroys servo") < said.index("holds at most") and said.count("destroys servo") == 1


def test_a_balanced_joint_at_a_dead_point_hides_nothing_from_check(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing times infinite is no number, and no number is larger than any stall torque unless it is told so."""
    prop = prop_of(arm().text.replace(FORE, ""))
    rates = "posekit.statics.shafts.rates"
    monkeypatch.setattr(rates, lambda train, held: np.where(held[:, :, None] < 0.0, np.inf, 1.0))
    assert shaft_torques(prop, [[255, 0], [255, 255]])[:, 1].tolist() == [np.inf, 0.0]
    weak = [finding.subject for finding in posekit.check(prop) if finding.code == "cannot-hold"]
    assert "elbow" in weak


def test_without_a_bound_the_share_is_that_of_what_was_found() -> None:
    prop = arm()
    report = power_report(prop)
    (shoulder, _) = report.drives
    open_ = replace(shoulder.holding, most_nm=float("inf"), found_nm=0.9, tight=False)
    found = list(holding_findings(prop, 0, replace(shoulder, holding=open_, share=float("inf"))))
    assert [(each.level, each.code) for each in found] == [
        ("note", "holding-open"),
        ("warning", "holding-share"),
    ]
    assert "at least 0.90 N·m" in found[1].message


def test_a_supply_above_all_figures_of_a_servo_without_a_range_is_an_error() -> None:
    rated = "rated = [[4.8, 200.0, 0.6, 1.4], [6.0, 300.0, 1.0, 2.0]]\n"
    text = arm(volts=12.0).text.replace("voltage = [4.8, 7.4]\n", rated)
    (wrong, *_) = posekit.check(prop_of(text))
    assert (wrong.level, wrong.code) == ("error", "supply-voltage")
    assert "figures end at 6 V" in wrong.message
    fed = prop_of(text.replace("voltage = 12.0", "voltage = 6.0"))
    assert "supply-voltage" not in {finding.code for finding in posekit.check(fed)}


def test_no_supply_is_chosen_by_a_sum_from_which_a_servo_is_missing() -> None:
    report = power_report(prop_of(arm().text.replace("stall_current = 2.0\n", "")))
    assert (report.supply.supply_needed_a, report.supply.fuse_a) == (None, None)
    assert told(report)["current-unknown", "servos.s"] == "note"
    # What nobody knows is not nothing.
    assert (report.supply.all_stalled_a, report.supply.power_on_pause_s) == (None, None)
    assert report.supply.all_idle_a == pytest.approx(0.2)
    blank = power_report(prop_of(arm().text.replace("stall_torque = 1.0\n", "")))
    assert told(blank)["torque-unknown", "servos.s"] == "note"


def test_servos_come_on_one_after_another_as_fast_as_the_supply_lets_them() -> None:
    """Four of 2 A stalled and 0.5 A held, half a second each: two at a time are 1 + 4 A at the most."""
    stall, held = np.full(4, 2.0), np.full(4, 0.5)
    assert power_on(stall, held, 0.5, 5.0) == power_on(stall, held, 0.5, 6.0)
    begun = power_on(stall, held, 0.5, 5.0)
    assert (begun.at_once_a, begun.pause_s, begun.staggered_a) == (8.0, 0.25, 5.0)
    assert power_on(stall, held, 0.5, 8.0).pause_s == 0.0
    assert power_on(stall, held, 0.5, 3.0).pause_s is None


def by_voltage(prop: posekit.Prop) -> posekit.Prop:
    """The same with the figures of its servo by voltage alone, as at 4.8 and 7.2 V."""
    old, new = (
        SERVO.format(stall=1.0).split("idle")[0],
        "rated = [[4.8, 200.0, 0.8, 1.6], [7.2, 400.0, 1.2, 2.4]]\n",
    )
    assert old in prop.text
    return prop_of(prop.text.replace(old, new))


@pytest.mark.parametrize(("volts", "stalled"), [(4.8, 3.2), (6.0, 4.0), (7.2, 4.8)])
def test_a_supply_that_browns_out_is_told_of_servos_with_figures_by_voltage_too(
    volts: float, stalled: float
) -> None:
    """On the straight line between two voltages of a data sheet, two servos; a supply of that gives enough."""
    told_of = {
        amperes: [
            finding.message
            for finding in posekit.check(by_voltage(arm(volts=volts, amperes=amperes)))
            if finding.code == "supply-current"
        ]
        for amperes in (stalled - 0.1, stalled)
    }
    assert f"2 servos stalled together draw {stalled:.1f} A" in told_of[stalled - 0.1][0]
    assert told_of[stalled] == []


def test_the_pause_at_power_on_goes_by_the_measured_turn_of_a_servo() -> None:
    """Twice its whole turn at 300 deg/s, one servo at a time: 2 x 180 / 300 s; by its points 2 x 270 / 300 s."""
    plain = arm(amperes=2.5)
    measured = prop_of(
        plain.text.replace(
            "[servos.s]\n", "[servos.s]\npoints = [[500, -135.0], [1500, 0.0], [2500, 135.0]]\n"
        )
    )
    pauses = [power_report(prop).supply.power_on_pause_s for prop in (plain, measured)]
    assert pauses == [pytest.approx(1.2), pytest.approx(1.8)]


def test_a_reduction_that_would_do_is_never_told_too_small() -> None:
    """At a stall torque of 0.55 times what it holds a third of it takes 1.64 times the reduction: 1.7, not 1.6."""
    stall = SHOULDER_NM / 0.545
    (finding,) = (
        each
        for each in power_report(arm(stall=stall)).findings
        if each.code == "holding-share" and each.subject == "shoulder"
    )
    assert "a reduction 1.7 times as large" in finding.message


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
        # Of no use to a servo that goes evenly there.
        show = read_show(prop, SWING, "shows/swing.toml")
        motion = follow(prop, show.times, show.values)
        able = [each.rating for each in report.drives]
        moved = finished(moved_steps(prop, torque_parts(prop, motion, burden_of(prop)), able, feeds(prop)))
        even = replace(
            moved, weakest=tuple(each and replace(each, gain_deg_s2=0.0) for each in moved.weakest)
        )
        said = [
            each.message for each in following_findings(prop, able, motion, even) if each.code == "too-weak"
        ]
        assert said and "deg/s2" not in said[0]


@pytest.mark.parametrize("limits", ["acceleration = 300", "acceleration = 4000"])
def test_a_show_is_told_alike_however_small_the_parts_in_which_it_is_looked_through(
    limits: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Against all of it at once, and longer than could be held so: its peaks, squares and currents."""
    prop = prop_of(arm().text.replace('servo = "s"\n', f'servo = "s"\n{limits}\n'))
    show = read_show(prop, SWING, "shows/swing.toml")
    over = torques_over(prop, follow(prop, show.times, show.values), burden_of(prop))
    whole = power_report(prop, show)
    monkeypatch.setattr(over_show, "BLOCK", 7)
    monkeypatch.setattr(over_show, "SHOW_TORQUES", 10)
    parts = power_report(prop, show)
    assert [each.message for each in parts.findings] == [each.message for each in whole.findings]
    size, lasts = np.abs(over.torque), over.lasts / over.lasts.sum()
    for d, each in enumerate(parts.drives):
        assert each.peak_nm == pytest.approx(size[:, d].max(), rel=1e-12)
        assert each.peak_at_s == over.times[size[:, d].argmax()]
        assert each.rms_nm == pytest.approx(np.sqrt(lasts @ size[:, d] ** 2), rel=1e-12)
    current = np.zeros(len(over.times))
    for d, each in enumerate(parts.drives):
        stall, most = each.rating.stall_nm, each.rating.stall_a
        assert stall is not None and most is not None
        current += current_at(
            over.torque[:, d], stall, most, servo_of(prop, prop.drives[d]).idle_current or 0.0
        )
    assert parts.supply.show_peak_a == pytest.approx(current.max(), rel=1e-12)
    assert parts.supply.show_peak_at_s == over.times[current.argmax()]
    assert parts.supply.show_mean_a == pytest.approx(lasts @ current, rel=1e-12)


def test_a_show_after_which_it_takes_days_to_rest_is_refused_before_anything_is_proved() -> None:
    prop = prop_of(arm().text.replace('servo = "s"\n', 'servo = "s"\nspeed = 0.0001\n'))
    away = SWING.replace(b"shoulder = 128", b"shoulder = 250")
    steps = power_steps(prop, read_show(prop, away, "shows/swing.toml"))
    with pytest.raises(posekit.PosekitError, match="all rests only"):
        for state in steps:
            assert state.holding == ()


def test_a_speed_that_jumps_is_told_because_its_torque_is_not_counted() -> None:
    prop = arm()
    assert (
        told(power_report(prop, read_show(prop, SWING, "shows/swing.toml")))["speed-jumps", "shoulder"]
        == "note"
    )


def test_the_demo_props_are_strong_enough_and_the_heron_has_something_to_tell() -> None:
    report = power_report(demo_prop("heron"))
    assert told(report)["holding-share", "wing_left"] == "note"
    assert not [finding for finding in report.findings if finding.level == "error"]


def test_without_time_everything_is_proved_and_said_to_be_loose(tmp_path: Path) -> None:
    """What is too weak needs boxes and help; with no time it gets neither, and the command says so."""
    (tmp_path / "prop.toml").write_text(
        random_figure(3).text.replace("stall_torque = 2.0", "stall_torque = 0.3")
    )
    whole, cut = (
        CliRunner().invoke(main, ["power", str(tmp_path), "--json", *more])
        for more in ([], ["--budget", "0"])
    )
    assert (whole.exit_code, cut.exit_code) == (1, 1)
    data, early = json.loads(whole.output), json.loads(cut.output)
    for name, each in early["drives"].items():
        assert each["holding_nm"] >= data["drives"][name]["holding_found_nm"] * (1 - 1e-12)
    said = {finding["code"]: finding["message"] for finding in early["findings"]}
    assert "the time was used up" in said["holding-open"] and "% above" in said["holding-open"]
    assert "were not looked for in the time given" in said["help-left-out"]
    assert "help-left-out" not in {finding["code"] for finding in data["findings"]}


def test_the_command_prints_the_form_that_machines_read(tmp_path: Path) -> None:
    (tmp_path / "prop.toml").write_text(arm(stall=0.15).text)
    asked = CliRunner().invoke(main, ["power", str(tmp_path), "--json"])
    assert asked.exit_code == 1
    data = json.loads(asked.output)
    assert list(data)[:5] == ["prop", "supply", "supplies", "groups", "drives"]
    assert list(data["drives"]["shoulder"]) == [
        "holding_nm", "holding_values", "holding_found_nm", "stall_nm", "share", "may_sleep", "peak_nm", "rms_nm",
        "on_loss", "let_go", "let_go_where_it_holds_most",
    ]  # fmt: skip
    assert list(data["supply"]) == list(SupplyPower.__dataclass_fields__)
    assert data["supplies"] == {"supply": data["supply"]} and data["groups"] == []
    said = CliRunner().invoke(main, ["power", str(tmp_path)])
    assert said.exit_code == 1
    for word in ("holds at most", "may sleep", "cannot-hold", "local codes"):
        assert word in said.output
