"""Bench measurements in a servo type, and a drive put back to where it began."""

from __future__ import annotations

import numpy as np
import pytest

import posekit
from posekit.authoring.measured import measured_findings, with_measured
from posekit.authoring.new_drive import first_pulse
from posekit.authoring.reset_drive import reset_drive
from posekit.errors import PosekitError
from posekit.mechanism.joints import positions
from posekit.prop.model import Servo
from posekit.signal.calibration import pulses, servo_of, shaft_angle, shafts
from posekit.signal.fit import fit

MEASURED = [(600.0, -88.0), (1000.0, -47.5), (1500.0, 1.0), (2000.0, 44.25), (2400.0, 85.0)]


def servo_in_use(prop):
    return prop.drives[0].servo


def test_the_points_of_the_servo_are_those_of_the_fit_and_the_drives_turn_so(heron):
    servo = servo_in_use(heron)
    taken = with_measured(heron, servo, MEASURED)
    assert next(each.points for each in taken.servos if each.name == servo) == fit(MEASURED).points
    drive = next(drive for drive in taken.drives if drive.servo == servo)
    assert shaft_angle(1250.0, servo_of(taken, drive)) == pytest.approx((-47.5 + 1.0) / 2)
    lines = set(taken.text.splitlines()) ^ set(heron.text.splitlines())
    assert len(lines) <= 2, "all else stays to the letter"


def test_a_servo_that_would_turn_round_is_told(heron):
    other_way = [(us, -deg) for us, deg in MEASURED]
    codes = lambda pairs: [each.code for each in measured_findings(heron, servo_in_use(heron), fit(pairs))]  # noqa: E731
    assert ("turned-round" in codes(MEASURED)) != ("turned-round" in codes(other_way))


def test_end_points_beyond_what_was_measured_are_told_by_their_drives(heron):
    short = [(1400.0, -9.0), (1500.0, 0.0), (1600.0, 9.0)]
    servo = servo_in_use(heron)
    (told,) = [each for each in measured_findings(heron, servo, fit(short)) if each.code == "measured-short"]
    assert heron.drives[0].name in told.message
    wide = [(heron.servos[0].pulse_range[0] * 0.9, -90.0), (1500.0, 0.0), (2600.0, 90.0)]
    assert all(each.code != "measured-short" for each in measured_findings(heron, servo, fit(wide)))


def test_no_servo_of_that_name_is_told_with_those_there_are(heron):
    with pytest.raises(PosekitError, match="there is no servo of that name"):
        with_measured(heron, "standrd", MEASURED)


@pytest.mark.parametrize(
    ("servo", "low", "high"),
    [
        (Servo(name="a"), 1000.0, 2000.0),
        (Servo(name="b", reverse=True), 1000.0, 2000.0),
        (Servo(name="c", travel=270.0), 1167.0, 1833.0),
        (Servo(name="d", pulse_range=(1000.0, 2000.0), travel=60.0), 1000.0, 2000.0),
        (Servo(name="e", points=((500.0, 100.0), (1500.0, 10.0), (2500.0, -80.0))), 1000.0, 2000.0),
    ],
)
def test_a_drive_begins_with_ninety_degrees_about_neutral(servo, low, high):
    assert first_pulse(servo) == {"low": low, "high": high}


def test_a_drive_put_back_stands_in_the_middle_at_neutral_and_goes_as_fast_as_its_servo(demo):
    for drive in demo.drives:
        put_back = reset_drive(demo, drive.name)
        now = next(each for each in put_back.drives if each.name == drive.name)
        assert (now.speed, now.acceleration, now.pulse.trim) == (None, None, 0.0)
        assert (now.linkage, now.address, now.rest) == (drive.linkage, drive.address, drive.rest)
        d = put_back.drives.index(now)
        ends = np.array([[0.0 if e == 0 else each.full_scale for each in put_back.drives] for e in (0, 1)])
        turned = np.ptp(shafts(put_back, pulses(put_back, ends))[:, d])
        servo = servo_of(put_back, now)
        assert turned == pytest.approx(90.0, abs=0.5) or turned == pytest.approx(servo.travel)
        assert reset_drive(put_back, drive.name).text == put_back.text
        assert np.isfinite(positions(put_back, pulses(put_back, ends))).all()


@pytest.fixture
def heron() -> posekit.Prop:
    return posekit.load("models/heron")
