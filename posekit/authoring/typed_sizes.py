"""What is typed: `8,10,12.5` are lengths that can be had, `8:20` any between, `0,35.5,30` is a point."""

from __future__ import annotations

from posekit.authoring.synthesis import Sizes, one_of
from posekit.budgets import SIZES_LISTED, VALUE_LETTERS
from posekit.errors import PosekitError, error
from posekit.fields import KILOMETRE_MM, Vector
from posekit.text import exact, numbers, printable

LONGEST_MM = 1000.0
_RIGHT = "write lengths as 8,10,12.5 or as 8:20 for any between"


def typed_sizes(
    typed: str, least: float = 1.0, subject: str = "", unit: str = " mm", several: bool = False
) -> Sizes:
    """The sizes that a text stands for, lengths in mm. Raises PosekitError, with `subject`, for what is none.

    `unit` is how messages call what is counted; `several` says that commas part sizes, as `posekit.text.numbers` does.
    """
    between = ":" in typed
    said = printable(typed.strip(), VALUE_LETTERS)
    lengths: list[float] = []
    for part in typed.split(":"):
        found = numbers(f"{part};" if between else part, several)
        if found.wrong:
            raise _wrong(found.wrong if found.either else f"{found.wrong}; {_RIGHT}", subject)
        lengths += found.numbers
    if not all(least <= length <= LONGEST_MM for length in lengths):
        raise _wrong(f"'{said}': use {exact(least)} to {exact(LONGEST_MM)}{unit}", subject)
    if not between and len(lengths) > SIZES_LISTED:
        raise _wrong(f"{len(lengths)} of them: give {SIZES_LISTED} at most, or any between as 8:20", subject)
    if not between or lengths[0] == lengths[-1]:
        return one_of(*lengths)
    if len(lengths) != 2 or lengths[0] > lengths[1]:
        raise _wrong(f"'{said}': write any between as 8:20, the smaller first", subject)
    return Sizes(lengths[0], lengths[1])


def typed_vector(typed: str) -> Vector | None:
    """Three numbers [mm] as `0,35.5,30`; None where it is none, or farther than a kilometre away."""
    found = numbers(typed, several=True).numbers
    if len(found) != 3 or not all(abs(each) <= KILOMETRE_MM for each in found):
        return None
    return found[0], found[1], found[2]


def _wrong(sentence: str, subject: str) -> PosekitError:
    return PosekitError([error("wrong-value", subject, sentence)])
