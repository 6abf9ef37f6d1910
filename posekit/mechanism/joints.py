"""Shaft angles to joint positions: each linkage in its place, follow joints after their leaders, hard stops last."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from posekit.arrays import Array
from posekit.errors import Finding, error, warning
from posekit.linkage import Hinge, Linkage
from posekit.linkage.straight import Straight
from posekit.mechanism.abreast import Abreast, Follow, Round, abreast, rounds
from posekit.mechanism.kinematics import Tree, tree_of
from posekit.prop.model import Joint, Prop
from posekit.prop.placing import hinge, joints_moved, partners
from posekit.signal.batch import rows
from posekit.signal.calibration import Calibration, calibration_of, shafts
from posekit.text import exact, upward


@dataclass(frozen=True, slots=True)
class Train:
    """One linkage in place: columns of its n drives and of the n joints they move.

    `closes` are the angles [deg] of each shaft from dead point to dead point; `mix` (n, n) the joint positions
    for each coordinate; `position` gives the joint positions at shaft angles within `closes`.
    """

    drives: tuple[int, ...]
    joints: tuple[int, ...]
    linkage: Linkage
    hinge: Hinge
    closes: tuple[float, float]
    mix: Array
    position: Callable[[Array], Array]


@dataclass(frozen=True, slots=True)
class Mechanism:
    """What all poses of a prop have in common, found once and held by whoever poses often.

    `calibration` is that of its drives, `trains` are its linkages in their places, `closes` (2, D, 1) the shaft angles
    between which they close, `stops` (J, 2) its hard stops, `follows` (follower, leader, ratio, offset) its follow
    joints, each after its leader, and `tree` its links. `straight` are the trains in one proportion, `bent` the others,
    `rounds` the follow joints whose leaders are known by then: what is worked out at once.
    """

    calibration: Calibration
    trains: tuple[Train, ...]
    closes: Array
    stops: Array
    follows: tuple[Follow, ...]
    tree: Tree
    straight: Abreast
    bent: tuple[Train, ...]
    rounds: tuple[Round, ...]


def mechanism_of(prop: Prop, placed: Sequence[Train] | None = None) -> Mechanism:
    """The mechanism of a prop, or of these of its `trains` alone."""
    own = tuple(trains(prop) if placed is None else placed)
    stops, follows = stop_limits(prop), _follows(prop)
    return Mechanism(
        calibration=calibration_of(prop),
        trains=own,
        closes=_closing(len(prop.drives), own),
        stops=stops,
        follows=follows,
        tree=tree_of(prop),
        straight=abreast(
            (train.drives[0], train.joints[0], train.position)
            for train in own
            if isinstance(train.position, Straight)
        ),
        bent=tuple(train for train in own if not isinstance(train.position, Straight)),
        rounds=tuple(rounds(follows, stops)),
    )


@dataclass(frozen=True, slots=True)
class Solved:
    """Joint positions of P poses.

    `wanted` (P, J) is where the linkages would put the joints, `position` (P, J) where the hard stops
    hold them; `held` (P, D) is the shaft angle [deg] at which each linkage still closes.
    """

    position: Array
    wanted: Array
    held: Array


def positions(prop: Prop, pulses_us: ArrayLike) -> Array:
    """Joint positions at each pulse; (P, D) us to (P, J) degrees | mm, held at the hard stops."""
    return solve(prop, shafts(prop, rows(pulses_us, prop.drives, "pulses"))).position


def solve(prop: Prop, shafts_deg: ArrayLike, mechanism: Mechanism | None = None) -> Solved:
    """Joint positions at each shaft angle; (P, D) degrees to `Solved`.

    A linkage that cannot close holds at the last angle that closes. A joint with neither drive nor
    leader stays at 0. Who asks for one pose after the other gives the `mechanism_of` the prop: to find it
    takes longer than a pose.
    """
    shaft = rows(shafts_deg, prop.drives, "shaft angles")
    made = mechanism_of(prop) if mechanism is None else mechanism
    # Columns before rows: they are read and written one by one, or some at once.
    held = np.maximum(shaft.T, made.closes[0], order="C")
    held = np.minimum(held, made.closes[1], out=held)
    wanted = np.zeros((len(prop.joints), len(shaft)))
    wanted[made.straight.joints] = made.straight.position(held[made.straight.drives])
    for train in made.bent:
        drives, joints = _columns(train.drives), _columns(train.joints)
        wanted[joints] = _moved(train, held[drives].T).T
    low_stops, high_stops = made.stops.T[..., None]
    position = np.minimum(np.maximum(wanted, low_stops), high_stops)
    for each in made.rounds:
        asked = led(position[each.leaders], each.ratio, each.offset)
        wanted[each.followers] = asked
        position[each.followers] = np.minimum(np.maximum(asked, each.low), each.high)
    return Solved(position.T, wanted.T, held.T)


def solve_alone(prop: Prop, train: Train, d: int, shaft_deg: Array) -> tuple[tuple[int, ...], Array]:
    """What moves where drive `d` of a linkage alone turns, its partners at shaft 0, and where it is wanted.

    The columns of the M joints, each follower after its leader, and their `wanted` positions (P, M) at each shaft
    angle (P,), as `solve` has them: of a drive with 65,536 values the other joints would be most of the work.
    """
    column = train.drives.index(d)
    shaft = np.zeros((len(shaft_deg), len(train.drives)))
    shaft[:, column] = shaft_deg
    put = _moved(train, np.clip(shaft, *train.closes)).T
    goes = train.mix[:, column] != 0
    wanted = {j: path for j, path, own in zip(train.joints, put, goes.tolist(), strict=True) if own}
    stops = stop_limits(prop)
    for follower, leader, ratio, offset in _follows(prop):
        if leader in wanted:
            wanted[follower] = led(np.clip(wanted[leader], *stops[leader]), ratio, offset)
    return tuple(wanted), np.stack(list(wanted.values()), axis=1)


def led(leader: Array, ratio: float | Array, offset: float | Array) -> Array:
    """Where a follow joint is wanted, by where the hard stops hold its leader."""
    return ratio * leader + offset


def _moved(train: Train, held: Array) -> Array:
    """Where a linkage puts its joints (P, n) at shafts (P, n) at which it closes."""
    return train.position(held) if len(train.drives) == 1 else held @ train.mix.T


def _columns(which: tuple[int, ...]) -> slice | list[int]:
    """One column is looked at where it lies; several are copied."""
    return slice(which[0], which[0] + 1) if len(which) == 1 else list(which)


def _closing(drives: int, own: Sequence[Train]) -> Array:
    """The angles [deg] of each shaft between which these linkages close, (2, D, 1)."""
    closes = np.tile([[-np.inf], [np.inf]], (1, drives))
    for train in own:
        closes[:, list(train.drives)] = np.array(train.closes)[:, None]
    return closes[..., None]


def trains(prop: Prop) -> list[Train]:
    """Every linkage of the prop in its place; in the order of the drives."""
    return [_placed(prop, *columns) for columns in linked(prop)]


def train_of(prop: Prop, d: int) -> Train:
    """The linkage that drive `d` belongs to."""
    return next(_placed(prop, *columns) for columns in linked(prop) if d in columns[0])


def moved_by(prop: Prop, d: int) -> tuple[int, ...]:
    """Columns of the joints that drive `d` itself moves, in the order of its linkage; followers aside."""
    train = train_of(prop, d)
    share = train.mix[:, train.drives.index(d)]
    return tuple(j for j, each in zip(train.joints, share.tolist(), strict=True) if each)


def _placed(prop: Prop, drives: tuple[int, ...], joints: tuple[int, ...]) -> Train:
    linkage, place = prop.drives[drives[0]].linkage, hinge(prop.joints[joints[0]])
    return Train(
        drives, joints, linkage, place, linkage.closes(place), linkage.mix(), linkage.in_place(place)
    )


def coordinate_of(prop: Prop, train: Train, shaft_deg: Array) -> Array:
    """The coordinate of one drive of a linkage at each of its shaft's angles [deg]; any shape, degrees | mm.

    Held at dead points and, where the drive moves its joint alone, at the hard stops.
    """
    held = np.clip(shaft_deg, *train.closes)
    if len(train.drives) > 1:
        return held
    return np.clip(train.position(held), *stop_limits(prop)[train.joints[0]])


def linked(prop: Prop) -> list[tuple[tuple[int, ...], tuple[int, ...]]]:
    """Columns of the drives and of the joints of every linkage; in the order of the drives."""
    drive_column = {drive.name: d for d, drive in enumerate(prop.drives)}
    joint_column = {joint.name: j for j, joint in enumerate(prop.joints)}
    shared = {name for drive in prop.drives for name in partners(drive.linkage)}
    return [
        (
            (d, *(drive_column[name] for name in partners(drive.linkage))),
            tuple(joint_column[name] for _, name in joints_moved(drive)),
        )
        for d, drive in enumerate(prop.drives)
        if drive.name not in shared
    ]


def followers(prop: Prop) -> list[tuple[int, int]]:
    """(follower, leader) columns of the follow joints, each after its leader."""
    column = {joint.name: j for j, joint in enumerate(prop.joints)}
    waiting = {j: column[joint.follow.joint] for j, joint in enumerate(prop.joints) if joint.follow}
    ordered: list[tuple[int, int]] = []
    # Ends: each round takes those that are ready out of those that wait; what follows itself in a circle is left.
    while ready := [follower for follower, leader in waiting.items() if leader not in waiting]:
        ordered += [(follower, waiting.pop(follower)) for follower in ready]
    return ordered


def _follows(prop: Prop) -> tuple[Follow, ...]:
    follow = [joint.follow for joint in prop.joints]
    return tuple(
        (follower, leader, own.ratio, own.offset)
        for follower, leader in followers(prop)
        if (own := follow[follower]) is not None
    )


def stop_limits(prop: Prop) -> Array:
    """Hard stops (J, 2); (-inf, inf) for a joint without."""
    free = (-np.inf, np.inf)
    return np.array([joint.stops or free for joint in prop.joints]).reshape(-1, 2)


def unit_of(joint: Joint) -> str:
    """The unit of a joint's position: `deg` or `mm`."""
    return "mm" if joint.type == "prismatic" else "deg"


def joint_findings(prop: Prop, shafts_deg: Array, solved: Solved) -> list[Finding]:
    """What one pose (P = 1) has to tell: linkages that cannot close and joints past their hard stops."""
    (shaft,), (held,), (wanted,), (position,) = shafts_deg, solved.held, solved.wanted, solved.position
    found = [
        error(
            "linkage-open",
            prop.drives[d].name,
            f"the linkage cannot close at shaft angle {shaft[d]:.2f} deg; it is shown at {held[d]:.2f} deg, the last "
            "angle at which it closes",
        )
        for d in np.flatnonzero(shaft != held).tolist()
    ]
    beyond = np.abs(wanted - position)
    # A follow joint stands at the stop exactly when its numbers say so; rounding of the product is no push.
    for j in np.flatnonzero(beyond > 1e-9).tolist():
        joint, unit = prop.joints[j], unit_of(prop.joints[j])
        found.append(
            warning(
                "past-stop",
                joint.name,
                f"asked for {wanted[j]:.2f} {unit}, the hard stop is at {exact(position[j])} {unit}: the servo would "
                f"push {upward(beyond[j])} {unit} against it",
            )
        )
    return found
