"""A drive as it begins: end points that any servo reaches, a servo type as its data sheet has it."""

from __future__ import annotations

import numpy as np
import pytest

import posekit
from posekit.authoring.new_drive import first_pulse, servo_keys, with_drive
from posekit.prop.model import Servo
from posekit.prop.servo_classes import CLASSES, figures
from posekit.signal.calibration import shaft_angle


def turned(servo: Servo) -> tuple[float, float]:
    first = first_pulse(servo)
    low, high = np.sort(shaft_angle([first["low"], first["high"]], servo)).tolist()
    return low, high


@pytest.mark.parametrize("reverse", [False, True])
@pytest.mark.parametrize(("travel", "span"), [(90.0, (1000.0, 2000.0)), (270.0, (500.0, 2500.0))])
def test_end_points_begin_at_90_degrees_about_neutral(
    travel: float, span: tuple[float, float], reverse: bool
) -> None:
    servo = Servo(name="s", travel=travel, pulse_range=span, reverse=reverse)
    assert turned(servo) == pytest.approx((-45.0, 45.0), abs=travel / (span[1] - span[0]))
    assert first_pulse(servo)["low"] < first_pulse(servo)["high"]


def test_a_servo_that_turns_less_begins_at_all_that_it_turns() -> None:
    assert first_pulse(Servo(name="s", travel=60.0, pulse_range=(900.0, 2100.0))) == {
        "low": 900,
        "high": 2100,
    }
    narrow = Servo(name="s", travel=120.0, pulse_range=(520.0, 1000.0))  # neutral at 760
    low, high = first_pulse(narrow).values()
    assert (low + high) / 2 == pytest.approx(760.0, abs=1.0) and high - low == pytest.approx(360.0, abs=1.0)


def test_figures_are_read_in_the_units_of_data_sheets_and_the_class_stays_while_one_of_its_figures_does() -> (
    None
):
    begun = {key: str(value).strip("()") for key, value in figures(CLASSES["micro"].servo).items()}
    keys = servo_keys(
        {**begun, "speed": "0.16 s/60deg", "stall_torque": "9.4 kg·cm", "travel": "180"}, "micro"
    )
    assert keys["typical"] == "micro"
    assert keys["speed"] == 375 and keys["travel"] == 180 and keys["pulse_range"] == [1000, 2000]
    assert keys["stall_torque"] == pytest.approx(9.4 * 0.0980665, rel=1e-4)
    own = servo_keys({"pulse_range": "500 to 2500", "travel": "270", "deadband": ""}, "micro")
    assert own == {"pulse_range": [500, 2500], "travel": 270}


def test_all_that_is_no_figure_is_told_at_once() -> None:
    with pytest.raises(posekit.PosekitError) as refused:
        servo_keys({"travel": "half a turn", "speed": "fast", "deadband": "4"})
    assert [finding.subject for finding in refused.value.findings] == ["servos.travel", "servos.speed"]


def test_a_drive_with_a_new_servo_type_is_one_change_of_the_text(arm: posekit.Prop) -> None:
    bare = posekit.edit(arm, "drives." + arm.drives[0].name, None)
    made = with_drive(bare, "nod", {"servo": "mine", "joint": arm.drives[0].joint}, {"travel": 180})
    drive = next(each for each in made.drives if each.name == "nod")
    assert drive.servo == "mine" and (drive.pulse.low, drive.pulse.high) == (1000.0, 2000.0)
    assert drive.address == 1 + max((each.address for each in bare.drives), default=0)
    with pytest.raises(posekit.PosekitError, match="nobody"):
        with_drive(bare, "nod", {"servo": "nobody", "joint": arm.drives[0].joint})
