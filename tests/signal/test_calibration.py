"""The mapping from value to pulse to shaft angle.

Full-scale mapping of 8 and 16 bit values: computed, end points inclusive. Neutral at 1500 us, 90 degrees of
travel over 1000..2000 us, a pulse range of 500..2500 us: common practice; no standard for the pulse exists.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

import posekit
from posekit.prop.model import Drive, Pulse, Servo
from posekit.signal.calibration import asked_pulse, commanded, pulse_of_shaft, servo_of, shaft_angle, shafts


def drive(bits: int, low: float, high: float, trim: float = 0.0) -> Drive:
    return Drive(
        name="d", servo="s", joint="j", address=1, bits=bits, pulse=Pulse(low=low, high=high, trim=trim)
    )  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("bits", "value", "expected_us"),
    [(8, 0, 500), (8, 255, 2500), (8, 128, 1500), (16, 0, 500), (16, 65535, 2500), (16, 32768, 1500)],
)
def test_ends_and_middle_of_the_values_give_ends_and_middle_of_the_pulses(
    bits: int, value: int, expected_us: float
) -> None:
    assert asked_pulse(value, drive(bits, 500, 2500)) == expected_us


def test_between_the_knots_the_pulse_is_linear() -> None:
    middle_up = asked_pulse(np.arange(128, 256), drive(8, 1000, 2000, trim=20))
    assert middle_up == pytest.approx(np.linspace(1520, 2000, 128), abs=1e-12)
    middle_down = asked_pulse(np.arange(0, 129), drive(8, 1000, 2000, trim=20))
    assert middle_down == pytest.approx(np.linspace(1000, 1520, 129), abs=1e-12)


def test_low_above_high_reverses() -> None:
    pulse = asked_pulse(np.arange(256), drive(8, 2000, 1000))
    assert pulse[0] == 2000 and pulse[255] == 1000 and np.all(np.diff(pulse) < 0)


def test_default_travel_is_ninety_degrees_over_the_nominal_millisecond() -> None:
    # common practice: 90 degrees over 1.0..2.0 ms; the default servo turns 180 over 0.5..2.5 ms, the same slope
    assert shaft_angle(np.array([1000.0, 1500.0, 2000.0]), Servo(name="s")).tolist() == [-45.0, 0.0, 45.0]


def test_reverse_turns_the_other_way() -> None:
    assert shaft_angle(2000.0, Servo(name="s", reverse=True)) == -45.0


def test_the_shaft_stands_still_beyond_the_pulse_range() -> None:
    servo = Servo(name="s", pulse_range=(900.0, 2100.0), travel=120.0)
    assert shaft_angle(np.array([100.0, 900.0]), servo).tolist() == [-60.0, -60.0]


def test_measured_points_replace_the_line() -> None:
    servo = Servo(name="s", points=((700.0, 61.0), (1500.0, 1.5), (2300.0, -60.0)))
    assert shaft_angle(np.array([600.0, 700.0, 1100.0, 1500.0, 2300.0]), servo).tolist() == [
        61.0,
        61.0,
        31.25,
        1.5,
        -60.0,
    ]


@pytest.mark.parametrize(
    "servo",
    [
        Servo(name="s"),
        Servo(name="s", reverse=True, travel=270.0),
        Servo(name="s", points=((700.0, 61.0), (1500.0, 1.5), (2300.0, -60.0))),
        Servo(name="s", points=((700.0, -50.0), (1400.0, 1.5), (2300.0, 70.0))),
    ],
)
def test_the_pulse_of_a_shaft_angle_is_the_inverse(servo: Servo) -> None:
    pulse = np.linspace(720.0, 2290.0, 50)
    assert pulse_of_shaft(shaft_angle(pulse, servo), servo) == pytest.approx(pulse, abs=1e-9)


def test_a_pulse_the_servo_does_not_accept_is_clamped_with_a_finding(
    make_prop: Callable, arm_text: str
) -> None:
    prop = make_prop(arm_text.replace("low = 1000", "low = 400"))
    assert posekit.pulses(prop, [[0.0]]).tolist() == [[500.0]]
    state = posekit.pose(prop, posekit.Snapshot({(1, 1): 0}))
    assert [(f.level, f.code, f.subject) for f in state.findings] == [
        ("warning", "pulse-clamped", "shoulder"),
        ("warning", "past-stop", "shoulder"),
    ]
    assert "400 µs" in state.findings[0].message and "500..2500 µs" in state.findings[0].message


def test_batches_of_any_leading_shape_keep_it(every_key: posekit.Prop) -> None:
    values = np.zeros((3, 4, len(every_key.drives)))
    assert shafts(every_key, posekit.pulses(every_key, values)).shape == values.shape


def test_all_drives_at_once_are_told_what_each_is_told_alone(demo: posekit.Prop) -> None:
    full = [drive.full_scale for drive in demo.drives]
    values = np.rint(np.random.default_rng(7).random((300, len(full))) * full)
    values[:4] = np.outer([-1, 0.5, 1, 1.5], full)
    asked = commanded(demo, values)
    turned = shafts(demo, asked)
    for d, drive in enumerate(demo.drives):
        np.testing.assert_array_equal(asked[:, d], asked_pulse(values[:, d], drive))
        np.testing.assert_array_equal(turned[:, d], shaft_angle(asked[:, d], servo_of(demo, drive)))


@pytest.mark.parametrize("bits", [8, 16])
def test_the_pulse_meets_the_line_through_its_knots(bits: int) -> None:
    own = drive(bits, 1903.7, 987.1, trim=13.3)
    value = np.arange(-3, own.full_scale + 4)
    knots = (0.0, float(own.middle), float(own.full_scale))
    line = np.interp(value, knots, (1903.7, (1903.7 + 987.1) / 2 + 13.3, 987.1))
    np.testing.assert_allclose(asked_pulse(value, own), line, rtol=0, atol=1e-9)
    assert asked_pulse([-3, 0, own.middle, own.full_scale, own.full_scale + 3], own).tolist() == [
        1903.7, 1903.7, (1903.7 + 987.1) / 2 + 13.3, 987.1, 987.1,
    ]  # fmt: skip
