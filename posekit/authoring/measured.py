"""What was measured on the bench, taken into a servo type; the drives that have it then turn as the real one does."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import ArrayLike

from posekit.authoring.parts import must_be_there, rewritten
from posekit.errors import Finding, note, warning
from posekit.prop.model import Prop, Servo
from posekit.signal.calibration import asked_pulse, shaft_angle
from posekit.signal.fit import Fit, fit
from posekit.text import exact, listed
from posekit.toml.editing import set_keys
from posekit.toml.places import dotted

DECIMALS = 3  # of µs and degrees: finer than any bench


def with_measured(prop: Prop, servo: str, measured: ArrayLike) -> Prop:
    """The prop with the fit of measured (us, degrees) pairs (n, 2) as the points of a servo type.

    Raises PosekitError for no such type, and as `posekit.signal.fit.fit` does.
    """
    must_be_there(prop, "servos", servo)
    points = [[_short(us), _short(deg)] for us, deg in fit(measured).points]
    return rewritten(prop, set_keys(prop.text, {("servos", servo, "points"): points}))


def measured_findings(prop: Prop, servo: str, fitted: Fit) -> list[Finding]:
    """What there is to tell of a fit where it is to become the points of this servo type."""
    must_be_there(prop, "servos", servo)
    old = next(each for each in prop.servos if each.name == servo)
    return [*_turned_round(old, fitted), *_ends_early(prop, old, fitted)]


def _turned_round(old: Servo, fitted: Fit) -> Iterator[Finding]:
    before = np.diff(shaft_angle([fitted.points[0][0], fitted.points[-1][0]], old))[0]
    if before * fitted.slope < 0.0:
        now, then = ("rises", "fell") if fitted.slope > 0 else ("falls", "rose")
        sentence = (
            f"the measured angle {now} as the pulse grows and {then} so far: all drives of this servo type would turn "
            "the other way; if that is not meant, write the angles with the other sign"
        )
        yield warning("turned-round", dotted(("servos", old.name)), sentence)


def _ends_early(prop: Prop, old: Servo, fitted: Fit) -> Iterator[Finding]:
    first, last = fitted.points[0][0], fitted.points[-1][0]
    beyond = []
    for drive in prop.drives:
        if drive.servo != old.name:
            continue
        pulse = np.clip(asked_pulse(np.arange(drive.full_scale + 1), drive), *old.pulse_range)
        if pulse.min() < first - 0.5 or pulse.max() > last + 0.5:
            beyond.append(f"{drive.name} ({exact(pulse.min())} to {exact(pulse.max())} µs)")
    if beyond:
        sentence = (
            f"measured from {exact(first)} to {exact(last)} µs, and end points go beyond: "
            f"{listed(beyond)}; the model's shaft "
            "stands still there, so measure there, too"
        )
        yield note("measured-short", dotted(("servos", old.name)), sentence)


def _short(number: float) -> float | int:
    rounded = round(number, DECIMALS)
    return int(rounded) if rounded.is_integer() else rounded
