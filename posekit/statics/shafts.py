"""From the joints to the servo shafts: followers on their leaders, then each linkage by its rates, and what it loses.

By virtual work: what the shafts do, turned by a little, is what the joints then take, so that with the rates of a
linkage as a matrix (a row a joint, a column a shaft) the torques at the shafts are its transpose times those at the
joints. That holds without losses. A linkage that loses some asks more of a servo that lifts, work / efficiency. At rest
friction helps to hold, but by how much nobody knows, and a figure that is held was lifted there before. So posekit
divides always: an efficiency never makes a servo's share smaller. A hard stop is no help either: what leans on one is
told as though the servo held it alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from posekit.arrays import Array
from posekit.mechanism.joints import Mechanism, Train, solve
from posekit.prop.model import Prop
from posekit.signal.calibration import pulses, shafts
from posekit.statics.burden import TURN, Burden, burden_of
from posekit.statics.dynamics import torques

MOST_NM = 1e6  # more is no load but rounding, of a linkage that all but stands at its dead point


# What is divided by nothing there is told as infinite. Once for all linkages: it takes as long as a call of NumPy.
AT_DEAD_POINTS = np.errstate(divide="ignore", invalid="ignore")


def shaft_torques(prop: Prop, values: ArrayLike, burden: Burden | None = None) -> Array:
    """What gravity, loads and springs ask of each servo at rest; (P, D) values to (P, D) N*m.

    Positive where the servo must push its shaft forward. Infinite at a dead point at which the linkage cannot be held.
    Who asks often gives the `burden_of` the prop. PosekitError for values that are none and meshes that cannot be read.
    """
    made = burden_of(prop) if burden is None else burden
    solved = solve(prop, shafts(prop, pulses(prop, values)), made.mechanism)
    return to_shafts(prop, made, torques(prop, solved.position, made), solved.held)


@AT_DEAD_POINTS
def shaft_torque(prop: Prop, values: ArrayLike, burden: Burden, d: int) -> Array:
    """`shaft_torques` of the servo of drive `d` alone; (P,) N*m. What other linkages do with theirs is not found."""
    mechanism = burden.mechanism
    solved = solve(prop, shafts(prop, pulses(prop, values)), mechanism)
    led = on_leaders(mechanism, torques(prop, solved.position, burden), burden.si)
    train = next(train for train in mechanism.trains if d in train.drives)
    given = _given(train, rates(train, solved.held[:, list(train.drives)]), burden, led)
    return _at_most(given[train.drives.index(d)] / efficiencies(prop, mechanism)[d])


@AT_DEAD_POINTS
def to_shafts(prop: Prop, burden: Burden, asked: Array, held_deg: Array) -> Array:
    """What the servos give (P, D) [N*m] for what the joints' holders give (P, J) [N*m | N], losses included.

    `held_deg` (P, D) are the angles of the shafts, each within what its linkage closes at. Infinite at a dead point,
    be the joint balanced there or not.
    """
    rate = [rates(train, held_deg[:, list(train.drives)]) for train in burden.mechanism.trains]
    return by_rates(prop, burden, asked, rate)


@AT_DEAD_POINTS
def by_rates(prop: Prop, burden: Burden, asked: Array, rate: Sequence[Array]) -> Array:
    """The same where the `rates` of every linkage are known."""
    led = on_leaders(burden.mechanism, asked, burden.si)
    given = np.zeros((len(prop.drives), len(asked)))
    for train, own in zip(burden.mechanism.trains, rate, strict=True):
        given[list(train.drives)] = _given(train, own, burden, led)
    return _at_most(given / efficiencies(prop, burden.mechanism)[:, None]).T


def _given(train: Train, rate: Array, burden: Burden, led: Array) -> Array:
    """What the servos of one linkage give (n, P) [N*m] without losses, for what all joints that lead ask (P, J)."""
    given = np.zeros((len(train.drives), len(led)))
    for j, joint in enumerate(train.joints):
        at_joint = led[:, joint] * (burden.si[joint] / TURN)
        for d in range(len(train.drives)):
            given[d] += rate[:, j, d] * at_joint
    return given


def _at_most(given: Array) -> Array:
    """Torques [N*m] as they are told: infinite beyond MOST_NM, and where they are no number."""
    dead = ~(np.abs(given) <= MOST_NM)
    given[dead] = np.where(given[dead] < 0.0, -np.inf, np.inf)
    return given


@dataclass(frozen=True, slots=True)
class Rates:
    """The `rates` of each linkage at one pose, at which its shafts are held (1, D) [deg]."""

    held: Array
    rate: tuple[Array, ...]


@AT_DEAD_POINTS
def rates_since(burden: Burden, held_deg: Array, last: Rates | None) -> Rates:
    """The rates at a pose (1, D) [deg]; linkages that stand since the `last` one, of the same burden, keep theirs."""
    moved = np.ones(held_deg.shape[1], bool) if last is None else held_deg[0] != last.held[0]
    turned = set(np.flatnonzero(moved).tolist())
    rate = tuple(
        last.rate[i]
        if last is not None and turned.isdisjoint(train.drives)
        else rates(train, held_deg[:, list(train.drives)])
        for i, train in enumerate(burden.mechanism.trains)
    )
    return Rates(held_deg, rate)


def rates(train: Train, held_deg: Array) -> Array:
    """Joint motion per degree of shaft (P, n, n) [deg | mm], a row a joint, a column a shaft; shafts (P, n) [deg]."""
    if len(train.drives) > 1:
        return train.linkage.rate(held_deg, train.hinge)
    return train.linkage.rate(held_deg, train.hinge)[..., None] * train.mix


def on_leaders(mechanism: Mechanism, asked: Array, si: Array) -> Array:
    """Torques at the joints (P, J) with those of each follower put on its leader, by how it goes along."""
    led = asked.copy(order="K")
    for follower, leader, ratio, _ in reversed(mechanism.follows):
        led[:, leader] += led[:, follower] * (ratio * si[follower] / si[leader])
    return led


def efficiencies(prop: Prop, mechanism: Mechanism) -> Array:
    """The share of its work that each servo's linkage passes on, (D,): the file's, or what is common for its kind."""
    usual = np.ones(len(prop.drives))
    for train in mechanism.trains:
        usual[list(train.drives)] = train.linkage.efficiency
    given = np.array([np.nan if drive.efficiency is None else drive.efficiency for drive in prop.drives])
    return np.where(np.isnan(given), usual, given)
