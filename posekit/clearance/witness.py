"""Values at which two links really strike or come nearest: found downhill, then checked by posing them."""

from __future__ import annotations

from collections.abc import Callable, Generator

import numpy as np

from posekit.arrays import Array
from posekit.clearance.cells import A_GO
from posekit.clearance.pair_model import PairModel, coordinates_of, distance_steps, poses_of
from posekit.mechanism.joints import solve
from posekit.mechanism.kinematics import forward
from posekit.mechanism.reach import every_coordinate
from posekit.mechanism.values import values
from posekit.signal.calibration import pulses, shafts
from posekit.stepwise import finished

MOST_STEPS = 80

Heights = Callable[[Array], Generator[None, None, Array]]


def nearest_steps(model: PairModel, starts: Array) -> Generator[None, None, tuple[Array, float]]:
    """Values (C,) at which the links are nearest, downhill from coordinates (S, C), and how far apart: mm.

    First over coordinates, then over whole values near the best places. The distance is that of posing the
    values through the whole flow: 0 is a strike. That no other values are nearer is not proved. In small steps, for
    callers with other work to do.
    """
    low, high = model.box.T
    some = max(A_GO // max(len(model.piece_a), 1), 1)
    wide = high - low
    at, _ = yield from _downhill(
        lambda own: distance_steps(model, poses_of(model, own)[0]),
        some,
        starts,
        wide / 32,
        wide / 1e4,
        low,
        high,
    )
    full = np.array([model.prop.drives[d].full_scale for d in model.chain.drives], float)
    ones = np.ones(len(full))
    at, distance = yield from _downhill(
        lambda own: _distance_of(model, own), some, values_at(model, at), ones, ones, 0 * full, full
    )
    best = int(np.argmin(distance))
    return at[best], float(distance[best])


def _downhill(
    height: Heights,
    some: int,
    at: Array,
    step: Array,
    least_step: Array,
    low: Array,
    high: Array,
) -> Generator[None, None, tuple[Array, Array]]:
    """Where each start (S, C) comes to by steps of one coordinate, halved where none helps; places and heights.

    `step`, `least_step`, `low` and `high` are (C,). Ends at the first place with height 0. Heights are asked for `some`
    at a time.
    """
    S, C = at.shape
    reached = yield from _heights(height, some, at)
    size = np.ones(S)
    smallest = (least_step / np.where(step > 0, step, 1.0)).max(initial=0.0)
    rows = np.arange(S)
    directions = np.concatenate([np.eye(C), -np.eye(C)])
    for _ in range(MOST_STEPS):
        if C == 0 or reached.min() <= 0.0 or (size < smallest).all():
            break
        tried = np.clip(at[:, None] + size[:, None, None] * step * directions, low, high)
        around = (yield from _heights(height, some, tried.reshape(-1, C))).reshape(S, -1)
        best = np.argmin(around, axis=1)
        better = around[rows, best] < reached
        at = np.where(better[:, None], tried[rows, best], at)
        reached = np.where(better, around[rows, best], reached)
        size = np.where(better, size, size / 2)
    return at, reached


def _heights(height: Heights, some: int, places: Array) -> Generator[None, None, Array]:
    """The heights (N,) of places (N, C), so many at a time."""
    found = np.empty(len(places))
    for begin in range(0, len(places), some):
        found[begin : begin + some] = yield from height(places[begin : begin + some])
        yield
    return found


def values_at(model: PairModel, own: Array) -> Array:
    """Nearest values (S, C) of the drives that matter, at coordinates (S, C)."""
    ways = model.ways
    wanted = coordinates_of(model, own) @ ways.slope.T + ways.offset
    return values(model.prop, wanted, model.trains)[:, list(model.chain.drives)]


def coordinates_at(model: PairModel, at: Array) -> Array:
    """Coordinates (C,) at values (C,) of the drives that matter."""
    tables = [every_coordinate(model.prop, d) for d in model.chain.drives]
    return np.array([table[int(value)] for table, value in zip(tables, at, strict=True)])


def distance_of(model: PairModel, at: Array) -> Array:
    """Distance [mm] of the two links at values (N, C) of the drives that matter; through the whole flow."""
    return finished(_distance_of(model, at))


def _distance_of(model: PairModel, at: Array) -> Generator[None, None, Array]:
    """`distance_of` in small steps."""
    prop, made = model.prop, model.mechanism
    every = np.repeat([[drive.rest_value for drive in prop.drives]], len(at), axis=0).astype(float)
    every[:, list(model.chain.drives)] = at
    shaft = shafts(prop, pulses(prop, every, made.calibration), made.calibration)
    return (yield from distance_of_shafts(model, shaft))


def distance_of_shafts(model: PairModel, shafts_deg: Array) -> Generator[None, None, Array]:
    """Distance [mm] of the two links at shaft angles (N, D) of the whole prop; (N,). In small steps."""
    position = solve(model.prop, shafts_deg, model.mechanism).position
    chain = model.chain
    by_column = np.empty((len(position), len(chain.joint)))
    by_column[:, list(chain.column)] = position[:, list(chain.joint)]
    return (yield from distance_steps(model, forward(chain.part, by_column, chain.tree)))
