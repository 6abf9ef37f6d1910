"""Where the pulses can take the joints, as independent coordinates and as intervals of position.

Each drive has one coordinate: the position of the joint that it alone moves or, where a linkage takes several
drives, the angle of its shaft. Every box of coordinates can be reached, which no box of joint positions can
where such a linkage or a follow joint ties several together.
"""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import dataclass

import numpy as np

from posekit.arrays import Array
from posekit.mechanism.joints import Train, coordinate_of, followers, stop_limits, train_of, trains
from posekit.mechanism.values import every_shaft
from posekit.prop.model import Prop
from posekit.stepwise import finished

SAMPLES = 721
ZOOMS = 5


@dataclass(frozen=True, slots=True)
class Coordinates:
    """The D independent coordinates of a prop and what they do to its J joints.

    Joint positions [deg | mm] are `clip(slope @ u + offset, *stops)`, joint by joint, for any coordinates
    u (D,) within `span` (D, 2): a joint's stops, its leader's stops and both together are one clip.
    """

    span: Array  # (D, 2)
    slope: Array  # (J, D)
    offset: Array  # (J,)
    stops: Array  # (J, 2)


def coordinates(prop: Prop) -> Coordinates:
    """The independent coordinates of a prop, over all that its end points, linkages and stops allow.

    A span holds every value of its drive exactly and whatever the shaft passes between two values: the
    turning points of a linkage that turns back inside the range, the dead points where it is held, the hard
    stops.
    """
    return finished(coordinate_steps(prop))


def coordinate_steps(prop: Prop) -> Generator[None, None, Coordinates]:
    """`coordinates` in small steps, of a drive each, for callers with other work to do."""
    J, D = len(prop.joints), len(prop.drives)
    span, slope, offset = np.zeros((D, 2)), np.zeros((J, D)), np.zeros(J)
    stops = stop_limits(prop)
    for train in trains(prop):
        for d in train.drives:
            yield
            span[d] = _span(prop, train, every_shaft(prop, d))
        slope[np.ix_(train.joints, train.drives)] = train.mix
    for follower, leader in followers(prop):
        follow = prop.joints[follower].follow
        assert follow is not None
        slope[follower] = follow.ratio * slope[leader]
        offset[follower] = follow.ratio * offset[leader] + follow.offset
        led = np.sort(follow.ratio * stops[leader] + follow.offset) if follow.ratio else follow.offset
        stops[follower] = np.clip(led, *stops[follower])
    return Coordinates(span, slope, offset, stops)


def _span(prop: Prop, train: Train, shafts_deg: Array) -> Array:
    """Least and greatest coordinate (2,) of one drive of a linkage over angles of its shaft [deg]."""
    if len(train.drives) > 1:
        return np.array([shafts_deg.min(), shafts_deg.max()])
    return np.clip(_extremes(train, shafts_deg), *stop_limits(prop)[train.joints[0]])


def _extremes(train: Train, shafts_deg: Array) -> Array:
    """Least and greatest joint position (2,) over all shaft angles from the least to the greatest given.

    One drive and one joint only. The shaft angles given count exactly, and so do turning points between them.
    """
    held = np.clip(shafts_deg, *train.closes)
    turns = turning_points(train, float(held.min()), float(held.max()))
    position = train.position(np.concatenate([held, turns]))
    return np.array([position.min(), position.max()])


def turning_points(train: Train, low_deg: float, high_deg: float) -> Array:
    """The shaft angles [deg] between two at which a linkage turns back, stops left aside; mostly none.

    The range is sampled, and wherever the rate changes its sign from one sample to the next the place
    between the two is zoomed in on, to where the position is flat to the last digit: a turning point need
    not fall on a value.
    """
    if low_deg == high_deg:
        return np.empty(0)
    ends = train.closes

    def position(shaft: Array) -> Array:
        return train.position(np.clip(shaft, *ends))

    grid = np.linspace(low_deg, high_deg, SAMPLES)
    way = np.sign(train.linkage.rate(np.clip(grid, *ends), train.hinge))
    found = []
    for i in np.flatnonzero(way[:-1] * way[1:] <= 0).tolist():
        low, high, sign = float(grid[i]), float(grid[i + 1]), way[i] - way[i + 1]
        for _ in range(ZOOMS):
            near = np.linspace(low, high, 101)
            best = int(np.argmax(sign * position(near)))
            low, high = float(near[max(best - 1, 0)]), float(near[min(best + 1, 100)])
        found.append((low + high) / 2)
    return np.array(found)


def coordinate_at(prop: Prop, d: int, shaft_deg: Array) -> Array:
    """The coordinate of drive `d` at each of its shaft angles [deg]; any shape, degrees | mm."""
    return coordinate_of(prop, train_of(prop, d), shaft_deg)


def every_coordinate(prop: Prop, d: int) -> Array:
    """The coordinate of drive `d` at each of its values; (V,) for V = 256 or 65,536."""
    return coordinate_at(prop, d, every_shaft(prop, d))


def coordinate_within(prop: Prop, train: Train, shaft_deg: Array, turns_deg: Array) -> Array:
    """Least and greatest coordinate of a drive of a linkage over ranges (N, 2) of its shaft angle [deg]; (N, 2).

    `turns_deg` are its `turning_shafts` over at least these ranges.
    """
    within = np.sort(coordinate_of(prop, train, shaft_deg), axis=1)
    for shaft, place in zip(turns_deg, coordinate_of(prop, train, turns_deg), strict=True):
        inside = (shaft_deg[:, 0] < shaft) & (shaft < shaft_deg[:, 1])
        within[:, 0] = np.where(inside, np.minimum(within[:, 0], place), within[:, 0])
        within[:, 1] = np.where(inside, np.maximum(within[:, 1], place), within[:, 1])
    return within


def turning_shafts(prop: Prop, d: int, low_deg: float, high_deg: float) -> Array:
    """The shaft angles [deg] between two at which the linkage of drive `d` turns back."""
    train = train_of(prop, d)
    return turning_points(train, low_deg, high_deg) if len(train.drives) == 1 else np.empty(0)


def joints_at(ways: Coordinates, u: Array) -> Array:
    """Joint positions at coordinates; (N, D) to (N, J) degrees | mm."""
    return np.clip(u @ ways.slope.T + ways.offset, ways.stops[:, 0], ways.stops[:, 1])


def joints_within(ways: Coordinates, low: Array, high: Array) -> Array:
    """Least and greatest position of each joint over boxes of coordinates; two (N, D) to (N, J, 2)."""
    middle, half = (low + high) / 2, (high - low) / 2
    centre = middle @ ways.slope.T + ways.offset
    aside = half @ np.abs(ways.slope).T
    return np.clip(np.stack([centre - aside, centre + aside], axis=-1), ways.stops[:, :1], ways.stops[:, 1:])


def reach(prop: Prop) -> Array:
    """Least and greatest position that the pulses can bring each joint to; (J, 2) degrees | mm.

    Exact at the values of each drive and safe in between. Joints of one linkage, and a follow joint
    and its leader, cannot take all combinations of these intervals: see `Coordinates`.
    """
    ways = coordinates(prop)
    return joints_within(ways, ways.span[None, :, 0], ways.span[None, :, 1])[0]
