"""A drive as it begins: a servo type of the prop or one made of a data sheet, and end points that any servo reaches."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import fields
from typing import Any

import numpy as np

from posekit.authoring.add import add_drive, add_servo
from posekit.authoring.data_sheet import figure, has_units
from posekit.authoring.numbers import short_all, to_figures
from posekit.authoring.parts import must_be_there
from posekit.budgets import VALUE_LETTERS
from posekit.errors import Finding, PosekitError, error
from posekit.fields import is_key
from posekit.prop.model import Prop, Servo
from posekit.prop.servo_classes import CLASSES, figures
from posekit.signal.calibration import NEUTRAL_US, pulse_of_shaft, shaft_angle
from posekit.signal.whole_pulses import whole_pulses
from posekit.text import numbers, printable
from posekit.toml.places import dotted

# What end points begin at: 90 degrees about the neutral pulse, which any hobby servo turns (common practice).
QUARTER_DEG = 90.0
DATA_SHEET_DIGITS = 5  # a data sheet has two or three; what a unit adds behind five is none of its own
_BETWEEN = re.compile(r"\s*(?:\bto\b|…|–)\s*")


def first_pulse(servo: Servo) -> dict[str, int | float]:
    """The keys `low` and `high` of end points to begin with [µs]: 90 degrees of the shaft about the neutral pulse.

    Whole where that leaves enough of them, within the servo's range, and fewer degrees where it turns less to either
    side. Where its range does not hold 1500 µs, about the middle of the range.
    """
    low, high = servo.pulse_range
    neutral = NEUTRAL_US if low < NEUTRAL_US < high else (low + high) / 2
    middle = float(shaft_angle(neutral, servo))
    ends = pulse_of_shaft(np.array([middle - QUARTER_DEG / 2, middle + QUARTER_DEG / 2]), servo)
    low, high = short_all(whole_pulses(*sorted(ends.tolist())), 0.0)
    return {"low": low, "high": high}


def servo_keys(texts: Mapping[str, str], typical: str | None = None) -> dict[str, Any]:
    """The keys of a servo's table from what was typed for each, in the units of data sheets.

    An empty text leaves its key out. `typical`, a name of `CLASSES`, is kept as long as a figure of that class is
    left. Raises PosekitError with all that is no figure.
    """
    units = {each.name: each.metadata["unit"] for each in fields(Servo) if is_key(each)}
    noughts = {each.name for each in fields(Servo) if is_key(each) and each.metadata["above"] is None}
    lists = {each.name for each in fields(Servo) if "tuple" in str(each.type)}
    keys: dict[str, Any] = {}
    wrong: list[Finding] = []
    for key, text in texts.items():
        if key not in units or not text.strip():
            continue
        try:
            keys[key] = _figures(key, text, units[key], key in lists, key in noughts)
        except PosekitError as refused:
            wrong += refused.findings
    if wrong:
        raise PosekitError(wrong)
    if typical is None:
        return keys
    begun = figures(CLASSES[typical].servo)
    left = any(key in begun and _same(value, begun[key]) for key, value in keys.items())
    return {"typical": typical, **keys} if left else keys


def with_drive(
    prop: Prop,
    name: str,
    keys: Mapping[str, Any],
    new_servo: Mapping[str, Any] | None = None,
) -> Prop:
    """The prop with a new drive, its end points at 90 degrees about neutral unless `keys` say otherwise.

    `keys` are those of its table. With `new_servo` its servo is a new type of these keys, written just before.
    Without an address it has the first that is free. Raises PosekitError.
    """
    servo = str(keys.get("servo", ""))
    if new_servo is not None:
        prop = add_servo(prop, servo, new_servo)
    must_be_there(prop, "servos", servo)
    type_of = next(each for each in prop.servos if each.name == servo)
    ends = {} if "pulse" in keys else {"pulse": first_pulse(type_of)}
    return add_drive(prop, name, {**keys, **ends})


def _figures(key: str, text: str, unit: str, is_list: bool, nought: bool) -> Any:
    """A number, or a list of them, as TOML has it."""
    subject = dotted(("servos", key))
    if has_units(unit):
        return _plain(to_figures(figure(text, unit, subject, nought=nought), DATA_SHEET_DIGITS))
    parted = _BETWEEN.sub(";", text.strip())
    found = numbers(parted) if is_list or ";" in parted else numbers(f"{parted};")
    if len(text) > VALUE_LETTERS or found.wrong:
        right = "is no number; write for example 180, or two as in 500, 2500"
        said = found.wrong if found.either else right
        raise PosekitError([error("wrong-value", subject, f"= '{printable(text, VALUE_LETTERS)}': {said}")])
    figures_of = [_plain(each) for each in found.numbers]
    return figures_of[0] if len(figures_of) == 1 else figures_of


def _plain(value: float) -> int | float:
    return int(value) if value.is_integer() and abs(value) < 1e9 else value


def _same(value: Any, figure_of_class: Any) -> bool:
    return bool(np.array_equal(np.asarray(value, float), np.asarray(figure_of_class, float)))
