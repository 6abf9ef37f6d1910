"""From boxes of shaft angles to boxes of joint positions: what all servos of a prop share for the worst case."""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import dataclass

import numpy as np

from posekit.arrays import Array, Truth
from posekit.mechanism.joints import Train
from posekit.mechanism.reach import Coordinates, coordinate_steps, joints_at, joints_within, turning_points
from posekit.mechanism.values import every_shaft
from posekit.prop.model import Prop
from posekit.statics.burden import Burden
from posekit.statics.linkage_rates import RateTable, rate_table
from posekit.stepwise import finished


@dataclass(frozen=True, slots=True)
class Ways:
    """The shafts of a prop over everything its end points allow.

    `span` (D, 2) [deg] is where each shaft goes, `train` (D,) its linkage, `shaft` the angle [deg] at each of its
    values, `turns` the angles at which its linkage turns back, `table` the rates of a linkage of one drive.
    """

    span: Array
    train: tuple[Train, ...]
    shaft: tuple[Array, ...]
    turns: tuple[Array, ...]
    table: tuple[RateTable | None, ...]
    joints: Coordinates
    burden: Burden


@dataclass(frozen=True, slots=True)
class Within:
    """The joints over N boxes of shaft angles: in the middle (N, J) [deg | mm] and to either side (N, J) [rad | m].

    Where `free` (N, J), the half width is all by the coordinates' own, `half` (N, D) [deg | mm]; elsewhere the hard
    stops cut some of it off.
    """

    middle: Array
    delta: Array
    free: Truth
    half: Array


def ways_of(prop: Prop, burden: Burden) -> Ways:
    """The shafts of a prop, found once for the worst case of all its servos."""
    return finished(way_steps(prop, burden))


def way_steps(prop: Prop, burden: Burden) -> Generator[None, None, Ways]:
    """`ways_of` in small steps, of a drive each, for callers with other work to do."""
    count = len(prop.drives)
    trains = {d: train for train in burden.mechanism.trains for d in train.drives}
    shaft = [np.clip(every_shaft(prop, d), *trains[d].closes) for d in range(count)]
    span = np.array([(own.min(), own.max()) for own in shaft]).reshape(-1, 2)
    turns: list[Array] = []
    table: list[RateTable | None] = []
    for d, (low, high) in enumerate(span.tolist()):
        yield
        alone = len(trains[d].drives) == 1
        turns.append(turning_points(trains[d], low, high) if alone else np.empty(0))
        table.append(rate_table(trains[d], low, high) if alone else None)
    joints = yield from coordinate_steps(prop)
    return Ways(
        span=span,
        train=tuple(trains[d] for d in range(count)),
        shaft=tuple(shaft),
        turns=tuple(turns),
        table=tuple(table),
        joints=joints,
        burden=burden,
    )


def within(ways: Ways, low: Array, high: Array) -> Within:
    """The joints over boxes of shaft angles (N, D) and (N, D) [deg]."""
    least, most = low.copy(), high.copy()
    for d, (train, table, turns) in enumerate(zip(ways.train, ways.table, ways.turns, strict=True)):
        if table is None:
            continue
        stops = ways.burden.mechanism.stops[train.joints[0]]
        ends = np.clip(train.position(np.stack([low[:, d], high[:, d]])) * train.mix[0, 0], *stops)
        least[:, d], most[:, d] = ends.min(axis=0), ends.max(axis=0)
        for at, place in zip(turns, np.clip(train.position(turns) * train.mix[0, 0], *stops), strict=True):
            inside = (low[:, d] < at) & (at < high[:, d])
            least[:, d] = np.where(inside, np.minimum(least[:, d], place), least[:, d])
            most[:, d] = np.where(inside, np.maximum(most[:, d], place), most[:, d])
    own = ways.joints
    middle, half = (least + most) / 2, (most - least) / 2
    asked = middle @ own.slope.T + own.offset
    aside = half @ np.abs(own.slope).T
    free = (asked - aside >= own.stops[:, 0]) & (asked + aside <= own.stops[:, 1])
    centre = joints_at(own, middle)
    ends = joints_within(own, least, most)
    delta = np.maximum(ends[..., 1] - centre, centre - ends[..., 0]) * ways.burden.si
    return Within(centre, np.maximum(delta, 0.0), free, half)
