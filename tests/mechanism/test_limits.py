"""What a prop has to tell before any snapshot, each finding where the prop file can be mended."""

from __future__ import annotations

from collections.abc import Callable

import pytest

import posekit
from posekit.mechanism.limits import linkage_reports


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
    assert "reaches -45.00 to 45.00 deg" in finding.message
    assert "within 1000 to 1941 µs" in finding.message


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
