"""Calibration: slot values to pulse widths, pulse widths to shaft angles.

There is no published standard for the hobby-servo pulse; neutral at 1500 us and travel proportional
to the pulse are common practice.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from posekit.arrays import Array
from posekit.errors import Finding, warning
from posekit.prop.model import Drive, Prop, Servo
from posekit.signal.batch import columns
from posekit.text import PULSE_FIGURES, exact, plain

NEUTRAL_US = 1500.0

Each = float | Array  # of one drive, or (D,) of as many


def servo_of(prop: Prop, drive: Drive) -> Servo:
    """The servo type of a drive."""
    return next(servo for servo in prop.servos if servo.name == drive.servo)


@dataclass(frozen=True, slots=True)
class Calibration:
    """What makes pulses and shaft angles of values, a column for each of D drives.

    `knots` (5, D) are those of `asked_pulse`, `range_us` (2, D) what each servo accepts, `turns` (3, D) what `_turned`
    takes. Which servos are `measured`, by column: their points take the place of the straight line.
    """

    knots: Array
    range_us: Array
    turns: Array
    measured: tuple[tuple[int, Servo], ...]

    @property
    def full_scale(self) -> Array:
        """The greatest value of each drive, (D,)."""
        return self.knots[4]


def calibration_of(prop: Prop) -> Calibration:
    """The calibration of all drives of a prop; who asks for one pose after the other holds it."""
    named = {servo.name: servo for servo in prop.servos}
    servos = [named[drive.servo] for drive in prop.drives]
    return Calibration(
        knots=np.array([_knots(drive) for drive in prop.drives]).reshape(-1, 5).T,
        range_us=np.array([servo.pulse_range for servo in servos]).reshape(-1, 2).T,
        turns=np.array([_turns(servo) for servo in servos]).reshape(-1, 3).T,
        measured=tuple((d, servo) for d, servo in enumerate(servos) if servo.points),
    )


def commanded(prop: Prop, values: ArrayLike, calibration: Calibration | None = None) -> Array:
    """Pulse width [us] that end points and trim ask for; (..., D) values to (..., D). Not clamped."""
    made = calibration_of(prop) if calibration is None else calibration
    return _asked(columns(values, prop.drives, "values"), *made.knots)


def pulses(prop: Prop, values: ArrayLike, calibration: Calibration | None = None) -> Array:
    """Pulse width [us] each servo gets; (..., D) values to (..., D). Clamped to the servo's pulse range."""
    made = calibration_of(prop) if calibration is None else calibration
    return clamped(prop, commanded(prop, values, made), made)


def clamped(prop: Prop, pulses_us: ArrayLike, calibration: Calibration | None = None) -> Array:
    """Pulse widths [us] within each servo's pulse range; (..., D) to (..., D)."""
    made = calibration_of(prop) if calibration is None else calibration
    return _within(columns(pulses_us, prop.drives, "pulses"), *made.range_us)


def shafts(prop: Prop, pulses_us: ArrayLike, calibration: Calibration | None = None) -> Array:
    """Shaft angle [deg] of each drive; (..., D) us to (..., D). Clamped at the servo's pulse range."""
    made = calibration_of(prop) if calibration is None else calibration
    pulse = _within(columns(pulses_us, prop.drives, "pulses"), *made.range_us)
    shaft = _turned(pulse, *made.turns)
    for d, servo in made.measured:
        shaft[..., d] = shaft_angle(pulse[..., d], servo)
    return shaft


def asked_pulse(value: ArrayLike, drive: Drive) -> Array:
    """Pulse width [us] that one drive asks for at each value; any shape. Not clamped.

    Piecewise linear through (0, low), (middle, (low + high) / 2 + trim), (full scale, high).
    """
    return _asked(np.asarray(value, float), *_knots(drive))


def shaft_angle(pulse_us: ArrayLike, servo: Servo) -> Array:
    """Shaft angle [deg] of one servo at each pulse [us]; any shape. Clamped at the servo's pulse range.

    Measured points replace the line through neutral; beyond the first and last point the shaft stands still.
    """
    pulse = _within(np.asarray(pulse_us, float), *servo.pulse_range)
    if servo.points:
        measured_us, measured_deg = np.array(servo.points).T
        return np.interp(pulse, measured_us, measured_deg)
    return _turned(pulse, *_turns(servo))


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
        _clamp_finding(prop, d, asked_us, given_us) for d in np.flatnonzero(asked_us != given_us).tolist()
    ]


def _clamp_finding(prop: Prop, d: int, asked_us: Array, given_us: Array) -> Finding:
    drive, asked, given = prop.drives[d], float(asked_us[d]), float(given_us[d])
    return warning(
        "pulse-clamped",
        drive.name,
        f"the value asks for {plain(asked, PULSE_FIGURES)} µs; servo '{drive.servo}' accepts "
        f"{_pulse_limits(servo_of(prop, drive))}, so it gets {exact(given)} µs",
    )


def _pulse_limits(servo: Servo) -> str:
    """The servo's pulse range as text: `500..2500 us`."""
    return f"{exact(servo.pulse_range[0])}..{exact(servo.pulse_range[1])} µs"


# One drive at many values, or many drives at once: the same lines, by numbers or by columns of them.


def _knots(drive: Drive) -> tuple[float, float, float, float, float]:
    """Pulses [us] at value 0, at the middle and at full scale, and these two values."""
    low, high = drive.pulse.low, drive.pulse.high
    return low, (low + high) / 2 + drive.pulse.trim, high, float(drive.middle), float(drive.full_scale)


def _asked(value: Array, low: Each, middle: Each, high: Each, half: Each, full: Each) -> Array:
    """The two lines between the knots, which they meet to the last digit; level beyond them."""
    lower = value < half
    slope = np.where(lower, (middle - low) / half, (high - middle) / (full - half))
    line = slope * (value - np.where(lower, 0.0, half)) + np.where(lower, low, middle)
    return np.where(value <= 0.0, low, np.where(value >= full, high, line))


def _turns(servo: Servo) -> tuple[float, float, float]:
    """Which way the shaft turns, and its travel [deg] over so many us."""
    low, high = servo.pulse_range
    return -1.0 if servo.reverse else 1.0, servo.travel, high - low


def _turned(pulse: Array, sign: Each, travel: Each, span: Each) -> Array:
    return sign * (pulse - NEUTRAL_US) * travel / span


def _within(pulse: Array, low: Each, high: Each) -> Array:
    # Not np.clip: of one pose that takes as long as all else here.
    return np.minimum(np.maximum(pulse, low), high)
