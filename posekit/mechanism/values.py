"""The inverse of patch to joint: which slot values bring the joints nearest to given positions.

A drive has 256 or 65,536 values and no others, so the nearest one is found among where they all
lead, whatever the linkage. That is exact by construction and needs no second formula per linkage.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from posekit.arrays import Array
from posekit.mechanism.joints import Train, coordinate_of, positions, stop_limits, trains
from posekit.prop.model import Drive, Prop
from posekit.signal.batch import rows
from posekit.signal.calibration import asked_pulse, pulses, servo_of, shaft_angle


def values(prop: Prop, wanted: ArrayLike, placed: Sequence[Train] | None = None) -> Array:
    """Slot values that bring each joint nearest to its wanted position; (P, J) degrees | mm to (P, D).

    Whole numbers as float64. Where several values lead to one position (a stop, a dead point, a
    crank past its turn) the one nearest the middle value is taken. Joints without a drive of their own,
    such as those that follow, are not looked at. `residual` tells what is left. With some of its `trains` only their
    drives are looked at; the others get 0.
    """
    own = trains(prop) if placed is None else placed
    position = np.clip(rows(wanted, prop.joints, "positions"), *stop_limits(prop).T)
    coordinate = np.zeros((len(position), len(prop.drives)))
    for train in own:
        coordinate[:, train.drives] = position[:, train.joints] @ np.linalg.inv(train.mix).T
    return values_at(prop, coordinate, own)


def values_at(prop: Prop, coordinate: Array, placed: Sequence[Train] | None = None) -> Array:
    """Slot values nearest to coordinates of the drives, one by one; (P, D) degrees | mm to (P, D).

    Of all its `trains`, or of these alone.
    """
    found = np.zeros_like(coordinate)
    for train in trains(prop) if placed is None else placed:
        for d in train.drives:
            reached = coordinate_of(prop, train, every_shaft(prop, d))
            found[:, d] = _nearest(prop.drives[d], coordinate[:, d], reached)
    return found


def residual(prop: Prop, wanted: ArrayLike, found: ArrayLike) -> Array:
    """What is left between wanted positions (P, J) and those that values (P, D) lead to; (P, J) degrees | mm."""
    return positions(prop, pulses(prop, found)) - rows(wanted, prop.joints, "positions")


def every_shaft(prop: Prop, d: int) -> Array:
    """Shaft angle [deg] of drive `d` at each of its values; (V,) for V = 256 or 65,536."""
    drive = prop.drives[d]
    servo = servo_of(prop, drive)
    return shaft_angle(asked_pulse(np.arange(drive.full_scale + 1), drive), servo)


def _nearest(drive: Drive, target: Array, reached: Array) -> Array:
    """The value (P,) whose place among `reached` (V,) is nearest to each target (P,)."""
    from_middle = np.abs(np.arange(len(reached)) - drive.middle)
    order = np.lexsort((from_middle, reached))
    first = np.concatenate(([True], np.diff(reached[order]) > 0))
    order = order[first]
    places = reached[order]
    if len(places) == 1:
        return np.full(len(target), float(order[0]))
    above = np.clip(np.searchsorted(places, target), 1, len(places) - 1)
    below_is_nearer = target - places[above - 1] <= places[above] - target
    return order[np.where(below_is_nearer, above - 1, above)].astype(float)
