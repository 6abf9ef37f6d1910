"""The units that files of others are drawn in: said by whoever brings them, else taken from kind and size."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from posekit.arrays import Array
from posekit.errors import Finding, note
from posekit.text import plain

MM_PER_UNIT = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "inch": 25.4}  # the inch is exact by definition (ISO 31-1)

SMALLEST_FIGURE_MM = 3.0  # smaller in mm than any figure is: such a file was drawn in metres
LARGEST_FIGURE_M = 30.0  # larger in metres than any figure is: such a GLB was drawn in mm


def taken_unit(endings: Sequence[str], reach: float) -> tuple[str, str]:
    """The unit that files of these endings are in, whose parts together are `reach` of it long, and why."""
    if set(endings) == {".glb"}:
        if reach > LARGEST_FIGURE_M:
            return "mm", f"a GLB should be in metres, and no figure is {plain(reach)} m large"
        return "m", "a GLB is in metres (glTF 2.0)"
    if reach < SMALLEST_FIGURE_MM:
        return "m", f"the file does not say, and {plain(reach)} mm would be too small for a figure"
    return "mm", "the file does not say, and most CAD programs write mm"


def size_words(low: Array, high: Array) -> str:
    """`120 x 80 x 200 mm`, of the corners (3,) of a box [mm]."""
    return " × ".join(map(plain, np.asarray(high - low).tolist())) + " mm"


def unit_finding(unit: str, why: str, largest: str, whole: str, largest_size: str, file: str = "") -> Finding:
    """What was taken, how large the figure and its largest part are then, and how to say otherwise.

    `file` names the files it is true of, where there are others.
    """
    others = " or ".join(name for name in MM_PER_UNIT if name != unit)
    sentence = (
        f"taken to be in {unit}: {why}. So it is {whole}, and its largest part, {largest}, {largest_size}; "
    )
    remedy = f"if that is wrong, choose {others} (--unit)"
    if file:
        remedy += ", which is then the unit of all files"
    return note("unit-taken", "", sentence + remedy, file=file or None)
