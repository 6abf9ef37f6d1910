"""Notes on what is possible but mostly a slip, each with what was probably meant, and none where nothing is odd."""

from __future__ import annotations

from collections.abc import Callable

import pytest

import posekit
from posekit.prop.servo_classes import CLASSES, STANDING, figures, still_typical

NOTES = {"typical-figures", "slow-servo", "strong-servo", "not-at-zero", "far-from-joint", "apart"}


def noted(prop: posekit.Prop) -> list[tuple[str, str, str]]:
    """(code, subject, message) of the notes on what is plausible, as a whole check tells them."""
    found = [finding for finding in posekit.check(prop) if finding.code in NOTES]
    assert all(finding.level == "note" for finding in found)
    return [(finding.code, finding.subject, finding.message) for finding in found]


@pytest.mark.native  # asks for what the demo props are like
def test_nothing_is_odd_about_a_demo_prop(demo: posekit.Prop) -> None:
    assert noted(demo) == []


@pytest.mark.parametrize(
    ("speed", "told"),
    [(30.0, None), (29.9, "slower than hobby servos are"), (0.16, "write 375"), (0.06, "write 1000")],
)
def test_a_speed_in_seconds_is_asked_about(arm: posekit.Prop, speed: float, told: str | None) -> None:
    found = noted(posekit.edit(arm, "servos.standard.speed", speed))
    assert [(code, subject) for code, subject, _ in found] == (
        [] if told is None else [("slow-servo", "servos.standard.speed")]
    )
    assert told is None or told in found[0][2]


@pytest.mark.parametrize(
    ("torque", "told"), [(8.0, None), (8.1, "write 0.7943"), (20.0, "if that is kgf·cm, write 1.961")]
)
def test_a_torque_in_kilograms_is_asked_about(arm: posekit.Prop, torque: float, told: str | None) -> None:
    found = noted(posekit.edit(arm, "servos.standard.stall_torque", torque))
    assert [(code, subject) for code, subject, _ in found] == (
        [] if told is None else [("strong-servo", "servos.standard.stall_torque")]
    )
    assert told is None or told in found[0][2]


def test_figures_by_voltage_are_asked_about_as_those_without(arm: posekit.Prop) -> None:
    """Seconds for 60 degrees and kgf·cm of a data sheet, in the second row alone."""
    rows = [[4.8, 300.0, 0.9, 1.0], [6.0, 0.16, 11.0, 1.2]]
    found = noted(posekit.edit(arm, "servos.standard.rated", rows))
    assert [(code, subject) for code, subject, _ in found] == [
        ("slow-servo", "servos.standard.rated[1][1]"),
        ("strong-servo", "servos.standard.rated[1][2]"),
    ]
    assert "write 375" in found[0][2] and "write 1.079" in found[1][2]


@pytest.mark.parametrize(("offset", "told"), [(0.04, None), (-12.5, "at -12.50 deg when the shaft is at 0")])
def test_a_joint_that_is_elsewhere_at_shaft_0_is_told(
    arm: posekit.Prop, offset: float, told: str | None
) -> None:
    found = noted(posekit.edit(arm, "drives.shoulder.linkage.offset", offset))
    assert [(code, subject) for code, subject, _ in found] == (
        [] if told is None else [("not-at-zero", "drives.shoulder.linkage")]
    )
    assert told is None or told in found[0][2]


@pytest.mark.parametrize(("aside", "far"), [(0, False), (66, False), (68, True), (300, True)])
def test_a_part_far_from_the_axis_it_turns_about_is_told_with_its_distance(
    make_prop: Callable, arm_text: str, aside: int, far: bool
) -> None:
    """The arm is 116 mm long and 16 mm thick about z: 68 mm along x it begins 60 mm away, half its length is 58."""
    text = arm_text.replace("at = [0, 0, 60]", f"at = [{aside}, 0, 60]")
    found = noted(make_prop(text))
    assert [subject for code, subject, _ in found if code == "far-from-joint"] == ["joints.shoulder"] * far
    assert not far or f"'arm' lies {aside - 8} mm or more from the axis" in found[0][2]


@pytest.mark.parametrize(("height", "apart"), [(60, False), (65, False), (67, True), (92, True)])
def test_neighbours_with_air_between_them_are_told_with_how_much(
    make_prop: Callable, arm_text: str, height: int, apart: bool
) -> None:
    """The base ends at z = 1 and is 60 mm wide, 85 mm from corner to corner: 17 mm are a fifth of that.

    The joint stands at z = 10, and the arm reaches 58 mm down from its middle.
    """
    text = arm_text.replace("at = [0, 0, 60]", f"at = [0, 0, {height}]")
    gap = 10 + height - 58 - 1
    found = [message for code, _, message in noted(make_prop(text)) if code == "apart"]
    assert [f"there are {gap} mm or more between them" in message for message in found] == [True] * apart
    # A part between them, whatever it hangs on, fills the gap.
    filled = text + "\n[links.stand]\n[[links.stand.shapes]]\nbox = [20, 20, 60]\nat = [0, 0, 30]\n"
    filled += '[joints.stand]\ntype = "fixed"\nparent = "base"\nchild = "stand"\n'
    assert noted(make_prop(filled)) == []


def test_typical_figures_are_told_until_they_are_changed_or_confirmed(arm: posekit.Prop) -> None:
    """Each figure alone, whoever writes it: an edit here stands for one in any editor."""
    prop = arm
    for key, figure in figures(CLASSES["micro"].servo).items():
        prop = posekit.edit(prop, f"servos.standard.{key}", figure)
    assert noted(prop) == []
    prop = posekit.edit(prop, "servos.standard.typical", "micro")
    ((code, subject, message),) = noted(prop)
    assert (code, subject) == ("typical-figures", "servos.standard.typical")
    assert "common practice" in message and "put in those of your data sheet" in message
    assert all(key in message for key in figures(CLASSES["micro"].servo))
    changed = posekit.edit(prop, "servos.standard.speed", 600.0)
    assert "speed" not in noted(changed)[0][2] and "stall_torque" in noted(changed)[0][2]
    confirmed = posekit.edit(changed, "servos.standard.typical", None)
    assert noted(confirmed) == []
    for key, figure in (("pulse_range", (510.0, 2490.0)), ("travel", 178.0), ("voltage", (4.9, 5.9)),
                        ("stall_torque", 0.16), ("stall_current", 0.8), ("idle_current", 0.01),
                        ("deadband", 3.0)):  # fmt: skip
        changed = posekit.edit(changed, f"servos.standard.{key}", figure)
    assert noted(changed) == []


def test_a_travel_that_measured_points_replace_is_no_figure_to_put_in(arm: posekit.Prop) -> None:
    typical = CLASSES["standard"].servo
    prop = posekit.edit(arm, "servos.standard.typical", "standard")
    prop = posekit.edit(prop, "servos.standard.travel", typical.travel)
    assert "travel" in still_typical(prop.servos[0])
    measured = posekit.edit(prop, "servos.standard.points", [[1000, -45.5], [2000, 45.0]])
    assert "travel" not in still_typical(measured.servos[0])


def test_a_class_that_there_is_not_is_refused_with_those_there_are(arm: posekit.Prop) -> None:
    with pytest.raises(posekit.PosekitError, match=" or ".join(f"'{name}'" for name in CLASSES)):
        posekit.edit(arm, "servos.standard.typical", "colossal")


def test_a_class_names_every_figure_and_is_itself_as_plausible_as_it_asks_of_others(
    arm: posekit.Prop,
) -> None:
    for name, typical in CLASSES.items():
        assert typical.servo.typical == typical.servo.name == name
        assert None not in figures(typical.servo).values()
        assert still_typical(typical.servo) == tuple(figures(typical.servo))
        assert set(figures(typical.servo)).isdisjoint(STANDING)
        prop = arm
        for key, figure in figures(typical.servo).items():
            prop = posekit.edit(prop, f"servos.standard.{key}", figure)
        assert noted(prop) == []
