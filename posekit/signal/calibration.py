"""Calibration: slot values to pulse widths, pulse widths to shaft angles.

There is no published standard for the hobby-servo pulse; neutral at 1500 us and travel proportional
to the pulse are common practice.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike

from posekit.arrays import Array
from posekit.errors import Finding, warning
from posekit.prop.model import Drive, Prop, Servo
from posekit.signal.batch import columns
from posekit.text import PULSE_FIGURES, exact, plain

NEUTRAL_US = 1500.0


def servo_of(prop: Prop, drive: Drive) -> Servo:
    """The servo type of a drive."""
    return next(servo for servo in prop.servos if servo.name == drive.servo)


def commanded(prop: Prop, values: ArrayLike) -> Array:
    """Pulse width [us] that end points and trim ask for; (..., D) values to (..., D). Not clamped."""
    value = columns(values, prop.drives, "values")
    return _by_drive(prop, value, lambda drive, column: asked_pulse(column, drive))


def pulses(prop: Prop, values: ArrayLike) -> Array:
    """Pulse width [us] each servo gets; (..., D) values to (..., D). Clamped to the servo's pulse range."""
    return clamped(prop, commanded(prop, values))


def clamped(prop: Prop, pulses_us: ArrayLike) -> Array:
    """Pulse widths [us] within each servo's pulse range; (..., D) to (..., D)."""
    ranges = np.array([servo_of(prop, drive).pulse_range for drive in prop.drives]).reshape(-1, 2)
    return np.clip(columns(pulses_us, prop.drives, "pulses"), ranges[:, 0], ranges[:, 1])


def shafts(prop: Prop, pulses_us: ArrayLike) -> Array:
    """Shaft angle [deg] of each drive; (..., D) us to (..., D). Clamped at the servo's pulse range."""
    pulse = columns(pulses_us, prop.drives, "pulses")
    return _by_drive(prop, pulse, lambda drive, column: shaft_angle(column, servo_of(prop, drive)))


def asked_pulse(value: ArrayLike, drive: Drive) -> Array:
    """Pulse width [us] that one drive asks for at each value; any shape. Not clamped.

    Piecewise linear through (0, low), (middle, (low + high) / 2 + trim), (full scale, high).
    """
    low, high = drive.pulse.low, drive.pulse.high
    knots = (0.0, float(drive.middle), float(drive.full_scale))
    return np.interp(np.asarray(value, float), knots, (low, (low + high) / 2 + drive.pulse.trim, high))


def shaft_angle(pulse_us: ArrayLike, servo: Servo) -> Array:
    """Shaft angle [deg] of one servo at each pulse [us]; any shape. Clamped at the servo's pulse range.

    Measured points replace the line through neutral; beyond the first and last point the shaft stands still.
    """
    low, high = servo.pulse_range
    # Not np.clip: of one pose of many drives that takes as long as all else here.
    pulse = np.minimum(np.maximum(pulse_us, low), high)
    if servo.points:
        measured_us, measured_deg = np.array(servo.points).T
        return np.interp(pulse, measured_us, measured_deg)
    sign = -1.0 if servo.reverse else 1.0
    return sign * (pulse - NEUTRAL_US) * servo.travel / (high - low)


def pulse_of_shaft(shaft_deg: ArrayLike, servo: Servo) -> Array:
    """Pulse [us] at which one servo stands at each shaft angle [deg]; any shape. The inverse of `shaft_angle`.

    Angles beyond the servo's travel give the nearer end of its pulse range.
    """
    shaft = np.asarray(shaft_deg, float)
    low, high = servo.pulse_range
    if servo.points:
        measured_us, measured_deg = np.array(servo.points).T
        rising = slice(None) if measured_deg[-1] >= measured_deg[0] else slice(None, None, -1)
        return np.clip(np.interp(shaft, measured_deg[rising], measured_us[rising]), low, high)
    sign = -1.0 if servo.reverse else 1.0
    return np.clip(NEUTRAL_US + sign * shaft * (high - low) / servo.travel, low, high)


def clamp_findings(prop: Prop, asked_us: Array, given_us: Array) -> list[Finding]:
    """A warning for each drive that is not given the pulse it asks for, (D,) us each: its servo does not accept it."""
    return [
        warning(
            "pulse-clamped",
            drive.name,
            f"the value asks for {plain(asked, PULSE_FIGURES)} µs; servo '{drive.servo}' accepts "
            f"{_pulse_limits(servo_of(prop, drive))}, so it gets {exact(given)} µs",
        )
        for drive, asked, given in zip(prop.drives, asked_us.tolist(), given_us.tolist(), strict=True)
        if asked != given
    ]


def _pulse_limits(servo: Servo) -> str:
    """The servo's pulse range as text: `500..2500 us`."""
    return f"{exact(servo.pulse_range[0])}..{exact(servo.pulse_range[1])} µs"


def _by_drive(prop: Prop, array: Array, convert: Callable[[Drive, Array], Array]) -> Array:
    converted = np.empty(array.shape)
    for d, drive in enumerate(prop.drives):
        converted[..., d] = convert(drive, array[..., d])
    return converted
