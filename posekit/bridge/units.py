"""Values as people write them: as they are, in percent of full scale, or in 16 bit."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal, get_args

from posekit.prop.model import Drive
from posekit.text import number, printable, two_readings

Unit = Literal["value", "percent", "16 bit"]
UNITS: tuple[Unit, ...] = get_args(Unit)
_LETTERS_TOLD = 40
_FULL: dict[Unit, float | None] = {"value": None, "percent": 100.0, "16 bit": 65535.0}


def written(drive: Drive, value: float, unit: Unit) -> str:
    """A value in a unit: percent with one decimal, the others whole."""
    return f"{value * _scale(drive, unit):.{1 if unit == 'percent' else 0}f}"


def texts(drives: Iterable[Drive], values: Iterable[float]) -> dict[str, tuple[str, ...]]:
    """Values (D,) in every unit, in the order of the drives."""
    pairs = list(zip(drives, values, strict=True))
    return {unit: tuple(written(drive, value, unit) for drive, value in pairs) for unit in UNITS}


def step(drive: Drive, unit: Unit) -> int:
    """How many values one step of a unit is: the nearest whole number, one at least."""
    return max(1, round(1.0 / _scale(drive, unit)))


def typed(drive: Drive, text: str, unit: Unit) -> tuple[int | None, str | None]:
    """The value that a text in a unit stands for, held within the drive's; and what to tell about it.

    None in place of the value where the text is no number.
    """
    most = written(drive, drive.full_scale, unit)
    if either := two_readings(text.strip()):
        return None, f"“{printable(text.strip(), _LETTERS_TOLD)}” {either}."
    if (found := number(text, comma=True)) is None:
        return None, f"“{printable(text, _LETTERS_TOLD)}” is not a number. Write one from 0 to {most}."
    asked = found / _scale(drive, unit)
    value = round(min(max(asked, 0.0), drive.full_scale))
    if abs(asked - value) <= 0.5:
        return value, None
    return (
        value,
        f"{printable(text.strip(), _LETTERS_TOLD)} is outside 0 to {most}; set to {written(drive, value, unit)}.",
    )


def _scale(drive: Drive, unit: Unit) -> float:
    full = _FULL[unit]
    return 1.0 if full is None else full / drive.full_scale
