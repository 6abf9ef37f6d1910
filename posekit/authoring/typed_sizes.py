"""Lengths that can be had, as they are typed: `8,10,12.5` are these, `8:20` is any between."""

from __future__ import annotations

from posekit.authoring.synthesis import Sizes, one_of
from posekit.budgets import VALUE_LETTERS
from posekit.errors import PosekitError, error
from posekit.text import printable

MOST_LISTED, LONGEST_MM = 16, 1000.0
_RIGHT = "write lengths as 8,10,12.5 or as 8:20 for any between"


def typed_sizes(typed: str, least_mm: float = 1.0, subject: str = "") -> Sizes:
    """The lengths [mm] that a text stands for. Raises PosekitError, with `subject`, for what is none."""
    between = ":" in typed
    said = printable(typed.strip(), VALUE_LETTERS)
    try:
        lengths = [float(word) for word in typed.split(":" if between else ",") if word.strip() or between]
    except ValueError:
        lengths = []
    if not lengths:
        raise _wrong(f"'{said}': {_RIGHT}", subject)
    if not all(least_mm <= length <= LONGEST_MM for length in lengths):
        raise _wrong(f"'{said}': use {least_mm:g} to {LONGEST_MM:g} mm", subject)
    if not between and len(lengths) > MOST_LISTED:
        raise _wrong(f"{len(lengths)} lengths: give {MOST_LISTED} at most, or any between as 8:20", subject)
    if not between or lengths[0] == lengths[-1]:
        return one_of(*lengths)
    if len(lengths) != 2 or lengths[0] > lengths[1]:
        raise _wrong(f"'{said}': write any between as 8:20, the smaller first", subject)
    return Sizes(lengths[0], lengths[1])


def _wrong(sentence: str, subject: str) -> PosekitError:
    return PosekitError([error("wrong-value", subject, sentence)])
