"""What every batched function takes: rows of finite numbers, a column for each drive or each joint."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from posekit.arrays import Array
from posekit.errors import PosekitError, error
from posekit.prop.model import Drive, Joint


def columns(given: ArrayLike, parts: Sequence[Drive] | Sequence[Joint], what: str) -> Array:
    """`given` (..., N) as float64, N being the number of `parts`; `what` is its name for messages.

    Raises PosekitError for another number of columns and for what is no finite number.
    """
    try:
        array = np.asarray(given, np.float64)
    except (TypeError, ValueError) as problem:
        raise _refused(what, f"not an array of numbers ({problem})", parts) from problem
    if array.shape[-1:] != (len(parts),):
        raise _refused(what, f"has shape {array.shape}", parts)
    if not np.isfinite(array).all():
        raise _refused(what, "holds something that is not a finite number", parts)
    return array


def rows(given: ArrayLike, parts: Sequence[Drive] | Sequence[Joint], what: str) -> Array:
    """`given` (P, N), or one row of it, as float64 (P, N); raises PosekitError like `columns`."""
    array = np.atleast_2d(columns(given, parts, what))
    if array.ndim != 2:
        raise _refused(what, f"has shape {array.shape}", parts)
    return array


def _refused(what: str, found: str, parts: Sequence[Drive] | Sequence[Joint]) -> PosekitError:
    names = ", ".join(part.name for part in parts) or "none"
    right = f"give (P, {len(parts)}) finite numbers, a column for each of: {names}"
    return PosekitError([error("wrong-array", what, f"{found}; {right}")])
