"""Torques, speeds and currents as data sheets write them, in the units of the prop file: N·m, degrees per second, A.

Factors are those of NIST SP 811 (2008), appendix B: a kilogram-force is 9.80665 N exactly, an inch 25.4 mm, an
ounce 28.349523125 g. A speed in seconds per 60 degrees is how data sheets of servos have it (common practice).
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping

from posekit.budgets import DIGITS, VALUE_LETTERS
from posekit.errors import PosekitError, error
from posekit.text import decimal, printable, two_readings

KGF_N = 9.80665
OZF_N = 0.028349523125 * KGF_N
INCH_M = 0.0254

Convert = Callable[[float], float]


def _times(factor: float) -> Convert:
    return lambda number: number * factor


# By unit of the prop file: units as they are left by `_plain`, and what each does to a number.
_UNITS: Mapping[str, Mapping[str, Convert]] = {
    "N*m": {
        "nm": _times(1.0),
        "ncm": _times(0.01),
        "mnm": _times(0.001),
        "kgfcm": _times(KGF_N * 0.01),
        "kgcm": _times(KGF_N * 0.01),
        "ozfin": _times(OZF_N * INCH_M),
        "ozin": _times(OZF_N * INCH_M),
    },
    "deg/s": {
        "°/s": _times(1.0),
        "rad/s": _times(math.degrees(1.0)),
        "rpm": _times(6.0),
        "s/60°": lambda seconds: 60.0 / seconds,
        "s/60": lambda seconds: 60.0 / seconds,
    },
    "A": {"a": _times(1.0), "ma": _times(0.001)},
}
_EXAMPLES = {
    "N*m": ("torque", "0.34 N.m, 3.5 kgf.cm or 48 ozf.in"),
    "deg/s": ("speed", "400 deg/s or 0.15 s/60deg"),
    "A": ("current", "1.2 A or 850 mA"),
}
_TYPED = re.compile(r"\s*([0-9]+(?:[.,][0-9]+)?|[.,][0-9]+)(?:[eE]([+-]?[0-9]{1,3}))?\s*(.*?)\s*", re.DOTALL)
_SAME = (("degrees", "°"), ("degree", "°"), ("deg", "°"), ("º", "°"), ("seconds", "s"), ("sec", "s"))


def has_units(unit: str) -> bool:
    """Whether a key of the prop file in this unit may be typed in those of data sheets."""
    return unit in _UNITS


def figure(text: str, unit: str, subject: str = "", *, nought: bool = False) -> float:
    """The torque [N*m], speed [deg/s] or current [A] that a text stands for; `unit` is that of the prop file.

    A number alone is in that unit; otherwise its own follows it: `3.5 kgf.cm`, `48 ozf.in`, `0.15 s/60deg`. Dots,
    hyphens and spaces within a unit do not matter, nor does f for force. Raises PosekitError, with `subject`, for
    what is no such figure, or none above 0, which is one with `nought`, and for `1,200`, which may be either of two.
    """
    found = _TYPED.fullmatch(text) if len(text) <= VALUE_LETTERS else None
    if found is None or len(found[1]) > DIGITS:
        raise _no_figure(text, unit, subject)
    if either := two_readings(found[1]):
        sentence = f"= '{printable(text, VALUE_LETTERS)}': {either}"
        raise PosekitError([error("wrong-value", subject, sentence)])
    exponent = f"e{found[2]}" if found[2] else ""
    number = decimal(found[1].replace(",", ".") + exponent)
    convert = _UNITS[unit].get(_plain(found[3])) if found[3] else _times(1.0)
    if nought and convert is not None and number == 0.0:
        return 0.0
    if convert is None or number is None or not number > 0.0:
        raise _no_figure(text, unit, subject)
    converted = convert(number)
    if not 0.0 < converted < math.inf:
        raise _no_figure(text, unit, subject)
    return converted


def _plain(unit: str) -> str:
    """A unit in small letters, one sign for each thing it can be written with, nothing between its parts."""
    unit = re.sub(r"[\s.·⋅•*-]", "", unit.lower())
    for written, sign in _SAME:
        unit = unit.replace(written, sign)
    return unit


def _no_figure(text: str, unit: str, subject: str) -> PosekitError:
    what, examples = _EXAMPLES[unit]
    sentence = f"= '{printable(text, VALUE_LETTERS)}': is no {what} above 0; write it with its unit, as in {examples}"
    return PosekitError([error("wrong-value", subject, sentence)])
