"""What a prop has to tell before any snapshot, each finding where the prop file can be mended."""

from __future__ import annotations

import re
from collections.abc import Callable
from itertools import product

import numpy as np
import pytest

import posekit
from posekit.mechanism.joints import linked, positions
from posekit.mechanism.range_check import linkage_reports


def codes(prop: posekit.Prop) -> list[tuple[str, str, str]]:
    return [(finding.level, finding.code, finding.subject) for finding in posekit.check(prop)]


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("low = 1000", "low = 400", ("error", "end-point", "drives.shoulder.pulse.low")),
        ("high = 2000", "high = 2600", ("error", "end-point", "drives.shoulder.pulse.high")),
        ("trim = 0", "trim = -501", ("warning", "trim", "drives.shoulder.pulse.trim")),
        ("stops = [-95, 95]", "stops = [-80, 40]", ("warning", "past-stop", "drives.shoulder.pulse")),
        ("format = 1", "format = 1\nsupply = {voltage = 12, current = 1}", None),
    ],
)
def test_a_fault_is_told_at_its_key(
    make_prop: Callable, arm_text: str, old: str, new: str, told: tuple[str, str, str] | None
) -> None:
    assert codes(make_prop(arm_text)) == []
    text = arm_text.replace("stops = [-80, 80]", "stops = [-95, 95]")
    assert old in text
    changed = make_prop(text.replace(old, new))
    assert codes(changed) == ([told] if told else [])


def test_a_stop_that_is_reached_comes_with_the_end_point_that_stays_off_it(
    make_prop: Callable, arm_text: str
) -> None:
    (finding,) = posekit.check(make_prop(arm_text.replace("stops = [-80, 80]", "stops = [-80, 40]")))
    # 40 degrees of shaft are 1500 + 40 / 0.09 us; the nearest 8-bit value below gives 1940.9 us
    assert "from -45.00 to 45.00 deg" in finding.message
    assert "within 1000 to 1940 µs" in finding.message


def test_a_supply_outside_the_servos_voltage_is_an_error(make_prop: Callable, arm_text: str) -> None:
    text = arm_text.replace("travel = 180.0", "travel = 180.0\nvoltage = [4.8, 6.0]\nstall_current = 3.0")
    prop = make_prop(text.replace("format = 1", "format = 1\nsupply = {voltage = 12, current = 2}"))
    assert codes(prop) == [
        ("error", "supply-voltage", "supply.voltage"),
        ("warning", "supply-current", "supply.current"),
    ]


def test_dead_points_are_told_in_degrees_and_pulses(make_prop: Callable, arm_text: str) -> None:
    # crank 60, coupler 40, rocker 50, ground 100: closes for crank angles up to 62.720387264 degrees, by the
    # cosine rule on the stretched coupler and rocker (computed)
    bars = (
        '[drives.shoulder.linkage]\ntype = "four_bar"\ncrank = 60\ncoupler = 40\nrocker = 50\nground = 100\n'
    )
    prop = make_prop(arm_text.replace("stops = [-80, 80]\n", "") + bars + "shaft_zero = 40.0\n")
    (report,) = linkage_reports(prop)
    assert report.turns == "triple-rocker"
    assert report.closes_deg[1] == pytest.approx(62.720387264 - 40.0, abs=1e-8)
    assert report.closes_us[1] == pytest.approx(1500 + (62.720387264 - 40.0) * 2000 / 180, abs=1e-6)
    (told,) = [finding for finding in posekit.check(prop) if finding.code == "linkage-open"]
    assert (told.level, told.subject) == ("error", "drives.shoulder.linkage")
    assert "dead points are -102.72 deg (out of travel) and 22.72 deg (1752 µs)" in told.message


def test_a_differential_with_both_drives_at_their_ends_is_checked_against_the_stops(
    every_key: posekit.Prop,
) -> None:
    # shafts reach 26.7 and 33.3 degrees, so pitch reaches their mean: within its stops
    assert not [finding for finding in posekit.check(every_key) if finding.code == "past-stop"]
    narrow = posekit.edit(every_key, "joints.pitch.stops", [-20.0, 20.0])
    assert ("warning", "past-stop", "drives.neck_a.linkage") in codes(narrow)


def test_every_joint_that_a_linkage_moves_is_reported_and_goes_where_it_is_posed(
    every_key: posekit.Prop,
) -> None:
    free = posekit.read({"prop.toml": re.sub(r"(?m)^stops = .*$", "", every_key.text).encode()})
    reports = {report.joint: report for report in linkage_reports(free)}
    assert sorted(free.joints[j].name for _, joints in linked(free) for j in joints) == sorted(reports)
    # By brute force: each drive at either end of its pulses, with either end of each other.
    ends = np.array(list(product(*((drive.pulse.low, drive.pulse.high) for drive in free.drives))))
    joints = positions(free, ends)
    several = {name: report for name, report in reports.items() if len(report.drives) > 1}
    assert len(several) == 5
    for name, report in several.items():
        there = joints[:, [joint.name for joint in free.joints].index(name)]
        assert report.reach == pytest.approx((there.min(), there.max()), abs=1e-9)
        assert np.isnan(report.advantage).all()


def test_points_that_end_before_the_end_points_are_told(make_prop: Callable, arm_text: str) -> None:
    def with_points(first: int, last: int) -> posekit.Prop:
        points = f"points = [[{first}, -50], [1500, 0], [{last}, 50]]"
        return make_prop(arm_text.replace("travel = 180.0", points))

    assert codes(with_points(1000, 2000)) == []
    told = [("warning", "points-short", "drives.shoulder.pulse")]
    assert codes(with_points(1001, 2000)) == codes(with_points(1000, 1999)) == told


def test_what_a_servo_type_has_to_tell_is_told_once(every_key: posekit.Prop) -> None:
    assert sum(drive.servo == "standard" for drive in every_key.drives) > 1
    measured = posekit.edit(every_key, "servos.standard.points", [[500.0, -90.0], [2500.0, 90.0]])
    turned = posekit.edit(measured, "servos.standard.reverse", True)
    told = ("note", "reverse", "servos.standard.reverse")
    assert told not in codes(posekit.edit(measured, "servos.standard.reverse", False))
    assert codes(turned).count(told) == 1


FOLLOWING = """
[links.hat]
[joints.hat]
type = "revolute"
parent = "arm"
child = "hat"
stops = [-20, 50]
follow = {joint = "shoulder", ratio = -1.0, offset = 10.0}
"""


def test_the_stop_of_a_joint_that_follows_is_told_with_the_end_points_that_stay_off_it(
    make_prop: Callable, arm_text: str
) -> None:
    (finding,) = posekit.check(make_prop(arm_text.replace("[drives.", FOLLOWING + "[drives.", 1)))
    assert (finding.level, finding.code, finding.subject) == ("warning", "past-stop", "drives.shoulder.pulse")
    assert "takes 'hat' from -35.00 to 55.00 deg" in finding.message
    assert "follows 'shoulder'" in finding.message
    # -20 = 10 - 30 and 50 = 10 + 40: shaft -40 to 30 deg are 1055.6 to 1833.3 us; 8-bit values just within
    assert "within 1059 to 1830 µs" in finding.message


@pytest.mark.parametrize("bits", [8, 16])
@pytest.mark.parametrize("stops", [[-33.3, 20.01], [-0.4, 0.3], [-0.017, 0.011], [12.345, 12.4]])
def test_end_points_that_are_told_to_keep_a_joint_off_its_stops_do_so(
    make_prop: Callable, arm_text: str, stops: list[float], bits: int
) -> None:
    prop = make_prop(arm_text.replace("stops = [-80, 80]", f"stops = {stops}"))
    prop = posekit.edit(prop, "drives.shoulder.bits", bits)
    for _ in range(4):  # each time from steps that are finer
        (told,) = [finding for finding in posekit.check(prop) if finding.code == "past-stop"]
        if "end points within" not in told.message:
            assert bits == 8  # none of its 256 values keeps off stops that near to each other
            return
        low, high = re.findall(r"within ([0-9.]+) to ([0-9.]+) µs", told.message)[0]
        prop = posekit.edit(prop, "drives.shoulder.pulse.low", float(low))
        prop = posekit.edit(prop, "drives.shoulder.pulse.high", float(high))
        if not [finding for finding in posekit.check(prop) if finding.code == "past-stop"]:
            return
    raise AssertionError("the end points that were told press on")


@pytest.mark.parametrize("seed", range(12))
def test_what_a_pose_tells_of_stops_the_check_has_told_before(
    make_prop: Callable, arm_text: str, seed: int
) -> None:
    """The law behind it: the check looks at all that the end points allow, so no pose may know more."""
    rng = np.random.default_rng(seed)
    low, high = np.sort(rng.uniform(-60, 60, 2))
    follower = FOLLOWING.replace("[-20, 50]", f"[{low}, {high}]").replace("-1.0", f"{rng.uniform(-2, 2)}")
    prop = make_prop(arm_text.replace("[drives.", follower + "[drives.", 1))
    told = {
        part
        for f in posekit.check(prop)
        if f.code == "past-stop"
        for part in ("shoulder", "hat")
        if f"'{part}'" in f.message
    }
    posed = {
        f.subject
        for value in range(256)
        for f in posekit.pose_at(prop, [value]).findings
        if f.code == "past-stop"
    }
    assert posed <= told


def turning_arm(arm_text: str, stops: str) -> str:
    # Crank 20, coupler 60, rocker 30, ground 60: the crank goes round (20 + 60 <= 60 + 30, Grashof), the rocker
    # turns back where crank and coupler are in line, at 140.8 deg of the crank when stretched (cosine rule
    # on 80, 60, 30: cos = (60^2 + 80^2 - 30^2) / (2 60 80), so 18.57 deg, and 180 + 46.5 deg folded).
    bars = (
        '[drives.shoulder.linkage]\ntype = "four_bar"\ncrank = 20\ncoupler = 60\nrocker = 30\nground = 60\n'
        "shaft_zero = 18.573\njoint_zero = 0\n"
    )
    return arm_text.replace("stops = [-80, 80]", f"stops = {stops}") + bars


def test_a_four_bar_that_turns_back_between_its_end_points_is_told_with_the_place(
    make_prop: Callable, arm_text: str
) -> None:
    prop = make_prop(turning_arm(arm_text, "[-360, 360]"))
    (finding,) = [each for each in posekit.check(prop) if each.code == "turns-back"]
    joint = posekit.positions(prop, posekit.pulses(prop, np.arange(256.0)[:, None]))[:, 0]
    turn = int(np.argmin(joint)) if joint[0] > joint.min() < joint[-1] else int(np.argmax(joint))
    assert 0 < turn < 255
    assert f"value {turn} " in finding.message or f"value {turn + 1} " in finding.message
    low, high = (float(word) for word in re.findall(r"within (\d+) to (\d+) µs", finding.message)[0])
    kept = posekit.positions(prop, np.linspace(low, high, 400)[:, None])[:, 0]
    assert len(set(np.sign(np.diff(kept)[1:-1]))) == 1


@pytest.mark.native  # asks for what the demo props are like
def test_a_linkage_that_goes_one_way_is_not_said_to_turn_back(demo: posekit.Prop) -> None:
    joint = posekit.positions(
        demo, posekit.pulses(demo, np.linspace(0, 255, 256)[:, None] * np.ones(len(demo.drives)))
    )
    assert joint.shape[0] == 256
    assert "turns-back" not in [finding.code for finding in posekit.check(demo)]


@pytest.mark.parametrize("shift", [-1.0, 1.0])
def test_the_end_points_that_stay_off_a_stop_do_so_all_the_way(
    make_prop: Callable, arm_text: str, shift: float
) -> None:
    """Where the joint turns back the free values lie on both sides of those that press; only one side is told."""
    free = make_prop(turning_arm(arm_text, "[-360, 360]"))
    joint = posekit.positions(free, posekit.pulses(free, np.arange(256.0)[:, None]))[:, 0]
    middle, end = joint[128], joint[[0, 255]].mean()
    stop = (middle + end) / 2 if shift > 0 else middle + (middle - end) / 2
    stops = [stop, 400.0] if end > middle else [-400.0, stop]
    prop = make_prop(turning_arm(arm_text, f"[{stops[0]}, {stops[1]}]"))
    told = [each for each in posekit.check(prop) if each.code == "past-stop"]
    if shift < 0:
        assert told == []
        return
    low, high = (float(word) for word in re.findall(r"within (\d+) to (\d+) µs", told[0].message)[0])
    pulse = np.linspace(low, high, 1000)[:, None]
    wanted = posekit.positions(free, pulse)[:, 0]
    assert high - low > 100
    assert np.all((wanted >= stops[0] - 0.2) & (wanted <= stops[1] + 0.2))


def test_stops_that_one_value_alone_keeps_off_are_told_without_end_points(
    make_prop: Callable, arm_text: str
) -> None:
    prop = make_prop(arm_text.replace("stops = [-80, 80]", "stops = [0.1, 0.4]"))
    prop = posekit.edit(prop, "drives.shoulder.bits", 8)
    (told,) = [finding for finding in posekit.check(prop) if finding.code == "past-stop"]
    assert "keeps it off its stops, which is no range for end points; give it 16 bits" in told.message
    assert "end points within" not in told.message
    finer = posekit.edit(prop, "drives.shoulder.bits", 16)
    (told,) = [finding for finding in posekit.check(finer) if finding.code == "past-stop"]
    assert "end points within" in told.message


def test_an_end_point_that_is_told_as_the_last_one_is_taken(make_prop: Callable, arm_text: str) -> None:
    assert "pulse_range = [500, 2500]" in arm_text
    text = arm_text.replace("pulse_range = [500, 2500]", "pulse_range = [1000.0625, 2500]")
    (told,) = [each for each in posekit.check(make_prop(text)) if each.code == "end-point"]
    assert told.message.endswith("use 1000.0625 or more")
