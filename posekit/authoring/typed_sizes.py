"""What is typed: `8,10,12.5` are lengths that can be had, `8:20` any between, `0,35.5,30` is a point."""

from __future__ import annotations

from posekit.authoring.synthesis import Sizes, one_of
from posekit.budgets import VALUE_LETTERS
from posekit.errors import PosekitError, error
from posekit.fields import KILOMETRE_MM, Vector
from posekit.text import exact, number, printable

MOST_LISTED, LONGEST_MM = 16, 1000.0
_RIGHT = "write lengths as 8,10,12.5 or as 8:20 for any between"


def typed_sizes(typed: str, least_mm: float = 1.0, subject: str = "") -> Sizes:
    """The lengths [mm] that a text stands for. Raises PosekitError, with `subject`, for what is none."""
    between = ":" in typed
    said = printable(typed.strip(), VALUE_LETTERS)
    words = [word for word in typed.split(":" if between else ",") if word.strip() or between]
    lengths = _typed_numbers(words)
    if not lengths:
        raise _wrong(f"'{said}': {_RIGHT}", subject)
    if not all(least_mm <= length <= LONGEST_MM for length in lengths):
        raise _wrong(f"'{said}': use {exact(least_mm)} to {exact(LONGEST_MM)} mm", subject)
    if not between and len(lengths) > MOST_LISTED:
        raise _wrong(f"{len(lengths)} lengths: give {MOST_LISTED} at most, or any between as 8:20", subject)
    if not between or lengths[0] == lengths[-1]:
        return one_of(*lengths)
    if len(lengths) != 2 or lengths[0] > lengths[1]:
        raise _wrong(f"'{said}': write any between as 8:20, the smaller first", subject)
    return Sizes(lengths[0], lengths[1])


def typed_vector(typed: str) -> Vector | None:
    """Three numbers [mm] as `0,35.5,30`; None where it is none, or farther than a kilometre away."""
    numbers = _typed_numbers(typed.split(","))
    if numbers is None or len(numbers) != 3 or not all(abs(each) <= KILOMETRE_MM for each in numbers):
        return None
    return numbers[0], numbers[1], numbers[2]


def _typed_numbers(words: list[str]) -> list[float] | None:
    """The numbers that words stand for; None where one of them is none."""
    found = [number(word) for word in words]
    numbers = [each for each in found if each is not None]
    return numbers if len(numbers) == len(words) else None


def _wrong(sentence: str, subject: str) -> PosekitError:
    return PosekitError([error("wrong-value", subject, sentence)])
