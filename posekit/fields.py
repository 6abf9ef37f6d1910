"""How a data class describes a key of the prop file: its meaning, unit and limits.

The reader, the JSON Schema and the page's types are all made from these descriptions, so a key
is described once, where it is declared.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import MISSING, Field, field
from functools import cache
from typing import Any, get_type_hints

Vector = tuple[float, float, float]

KILOMETRE_MM = 1e6
# Finer than any caliper reads, and far above where float32 pictures and products of lengths lose their digits.
LEAST_MM = 1e-3
# Pulses come 50 times a second, so that 20,000 µs are a whole frame (common practice). Half a frame is far above
# what any servo takes: a longer pulse is a slip of the pen.
LONGEST_PULSE_US = 10_000.0
MOST_TURN_DEG = 36_000.0  # a hundred turns of a shaft, more than a winch makes
# A thousand tonnes in grams, a thousand kilometres in millimetres: beyond what stands in any prop, and small enough
# that products of a few such numbers are numbers still.
MOST = 1e9


def key(
    doc: str,
    *,
    unit: str = "",
    default: Any = MISSING,
    above: float | None = None,
    least: float | None = None,
    most: float | None = None,
    names: str = "",
) -> Any:
    """A dataclass field that is a key of the prop file.

    `above` is an exclusive lower limit, `least` and `most` are inclusive ones; for a list they hold
    for each entry. Without `default` the key is required. `names` is the table of the prop file in which a
    text must be a name. A length is at most a kilometre, so that a slip of the pen is told where it stands
    and not as a picture without a figure; any other number at most MOST.
    """
    if unit == "mm":
        most = KILOMETRE_MM if most is None else most
        least = -KILOMETRE_MM if above is None and least is None else least
    most = MOST if most is None else most
    least = -MOST if above is None and least is None else least
    description = {"doc": doc, "unit": unit, "above": above, "least": least, "most": most, "names": names}
    return field(default=default, metadata=description)


def is_key(declared: Field[Any]) -> bool:
    """True for a field made by `key`: one that stands in the prop file."""
    return "doc" in declared.metadata


@cache  # Python reads them out of the text of the annotations, which takes longer than all else of a table
def types_of(cls: type) -> Mapping[str, Any]:
    """The type of each field of a data class, by its name."""
    return get_type_hints(cls)
