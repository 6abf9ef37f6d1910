"""The links of a prop as bodies that move against each other, each in the frame of the joint that carries it.

A body is what one joint moves: a link, and all that is fixed to it. Its frame stands at the joint, with the axis of the
joint as z, and turns or slides along with it. So all that stays as the figure moves is a matrix, found once: how a body
carries the next, and what force and moment its own mass and inertia take.

How a body moves stands in rows: the x of its turning w [rad/s], of the change of that dw [rad/s2] and of the
acceleration a [m/s2] of its origin, the same of y and of z; then the products of w by which centrifugal forces go. At
rest there are the three rows of a alone, in which gravity stands. Of force [N] and moment about the origin [N*m] the
rows are x and x, y and y, z and z.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from posekit.arrays import Array, Index
from posekit.mechanism.kinematics import with_z_along
from posekit.transforms import cross_matrix

M_PER_MM = 1e-3
TURNING, CHANGE, GAIN, PRODUCTS = slice(0, 9, 3), slice(1, 9, 3), slice(2, 9, 3), slice(9, 15)
MULTIPLIED = ((0, 0), (1, 1), (2, 2), (0, 1), (1, 2), (0, 2))  # the components of w in the products
MOVING, RESTING, PULL = 15, 3, 6  # how many rows
FORCE, MOMENT = slice(0, PULL, 2), slice(1, PULL, 2)
ROOT = -1


@dataclass(frozen=True, slots=True)
class Hung:
    """One joint on the way from the leaves to the root: it hangs row `child` of the links on row `parent`.

    `column` is that of the joints that move, -1 for a fixed one; `axis` (3,) its unit axis in the frame of the child;
    `place` (4, 4) [mm] the frame of the child in that of the parent where the joint is at 0.
    """

    parent: int
    child: int
    column: int
    slides: bool
    axis: Array
    place: Array


@dataclass(frozen=True, slots=True)
class Passing:
    """For n bodies, by matrices on rows: `into` (n, k, m) how each moves, before its own joint does, by how the body
    that carries it moves, and `takes` (n, 6, m) what force and moment its mass and inertia take to move so."""

    into: Array
    takes: Array


@dataclass(frozen=True, slots=True)
class Level:
    """The bodies `first` to `last`, all as many joints away from the root; those from `slides` on are at slides.

    `families` are (carrier, begin, end), counted from the first body of each level: that of the level before, or the
    root, that carries those from `begin` to `end`. `back` (n, 6, 6) makes force and moment on a body, before its joint
    moved, those on its carrier.
    """

    first: int
    slides: int
    last: int
    families: tuple[tuple[int, int, int], ...]
    moving: Passing
    resting: Passing
    back: Array


@dataclass(frozen=True, slots=True)
class Bodies:
    """All bodies but the root, a `Level` after the other; `column` (B,) is that of the joint of each.

    `home` (L,) is the body to which a link belongs, ROOT for the root. Each joint carries the link `link` (B,), whose
    vectors `turned` (B, 3, 3) brings into the frame of the body.
    """

    levels: tuple[Level, ...]
    column: Index
    home: tuple[int, ...]
    link: tuple[int, ...]
    turned: Array


def bodies_of(hung: Sequence[Hung], mass_kg: Array, centre_mm: Array, inertia_kgm2: Array) -> Bodies:
    """The bodies of a tree, leaves first; of its links masses (L,), centres (L, 3), inertias about those (L, 3, 3)."""
    levels = _levels(hung)
    joints = [joint for level in levels for _, joint in level]
    row = {joint.child: b for b, joint in enumerate(joints)}
    home, place = np.full(len(mass_kg), ROOT), np.tile(np.eye(4), (len(mass_kg), 1, 1))
    in_carrier = np.tile(np.eye(4), (len(joints), 1, 1))
    for joint in reversed(hung):  # from the root out
        there = place[joint.parent] @ joint.place
        if joint.column < 0:
            home[joint.child], place[joint.child] = home[joint.parent], there
            continue
        b = row[joint.child]
        home[joint.child], place[joint.child] = b, with_z_along(joint.axis).T
        in_carrier[b] = there @ with_z_along(joint.axis)
    turned, reach = in_carrier[:, :3, :3].swapaxes(1, 2), in_carrier[:, :3, 3] * M_PER_MM
    into, back = _into(turned, reach), _back(turned, reach)
    takes = _takes(*_weighed(len(joints), home, place, mass_kg, centre_mm, inertia_kgm2))
    moving, resting = (into, takes), (into[:, GAIN, GAIN].copy(), takes[:, :, GAIN].copy())
    made, first = [], 0
    for level in levels:
        own = slice(first, first + len(level))
        made.append(
            Level(
                first=first,
                slides=first + sum(not joint.slides for _, joint in level),
                last=own.stop,
                families=_families([carrier for carrier, _ in level]),
                moving=Passing(*(each[own] for each in moving)),
                resting=Passing(*(each[own] for each in resting)),
                back=back[own],
            )
        )
        first = own.stop
    column = np.array([joint.column for joint in joints], np.intp)
    return Bodies(tuple(made), column, tuple(home.tolist()), tuple(row), place[list(row), :3, :3])


def _levels(hung: Sequence[Hung]) -> list[list[tuple[int, Hung]]]:
    """The joints that move, by how many of them are between each and the root; with the place of what carries it in
    the level before. Those that slide come last, and those on one body together."""
    body: dict[int, Hung | None] = {}  # by link, the joint that moves it
    on: dict[int | None, list[Hung]] = {}  # by the child of such a joint, the joints on its body
    for joint in reversed(hung):  # from the root out
        carrier = body.get(joint.parent)
        body[joint.child] = joint if joint.column >= 0 else carrier
        if joint.column >= 0:
            on.setdefault(None if carrier is None else carrier.child, []).append(joint)
    levels: list[list[tuple[int, Hung]]] = []
    before: list[int | None] = [None]
    # Ends: with the joints, each of which hangs on one body.
    while level := [(i, joint) for i, child in enumerate(before) for joint in on.get(child, ())]:
        level.sort(key=lambda each: (each[1].slides, each[0]))
        levels.append(level)
        before = [joint.child for _, joint in level]
    return levels


def _families(carriers: Sequence[int]) -> tuple[tuple[int, int, int], ...]:
    """Runs of bodies that one body carries, as (carrier, begin, end)."""
    begins = [i for i, each in enumerate(carriers) if i == 0 or carriers[i - 1] != each]
    ends = [*begins[1:], len(carriers)]
    return tuple((carriers[begin], begin, end) for begin, end in zip(begins, ends, strict=True))


def _weighed(
    bodies: int, home: Index, place: Array, mass_kg: Array, centre_mm: Array, inertia_kgm2: Array
) -> tuple[Array, Array, Array]:
    """Mass (B,) [kg], first moment (B, 3) [kg*m] and inertia about its origin (B, 3, 3) [kg*m2] of each body."""
    turned = place[:, :3, :3]
    centre = ((turned @ centre_mm[..., None])[..., 0] + place[:, :3, 3]) * M_PER_MM
    off = cross_matrix(centre)
    # Huygens and Steiner: what lies aside turns with its whole mass about the origin.
    inertia = turned @ inertia_kgm2 @ turned.swapaxes(1, 2) - mass_kg[:, None, None] * (off @ off)
    whole, moment, all_inertia = np.zeros(bodies), np.zeros((bodies, 3)), np.zeros((bodies, 3, 3))
    moves = home != ROOT
    np.add.at(whole, home[moves], mass_kg[moves])
    np.add.at(moment, home[moves], (mass_kg[:, None] * centre)[moves])
    np.add.at(all_inertia, home[moves], inertia[moves])
    return whole, moment, all_inertia


def _into(turned: Array, reach: Array) -> Array:
    """From how a body moves to how a point at `reach` (n, 3) [m] of it does, in axes `turned` (n, 3, 3); (n, 9, 15)."""
    into = np.zeros((len(turned), 9, MOVING))
    for vector in (TURNING, CHANGE, GAIN):
        into[:, vector, vector] = turned
    into[:, GAIN, CHANGE] = -turned @ cross_matrix(reach)
    into[:, GAIN, PRODUCTS] = turned @ _by_products(_swirl(reach))
    return into


def _takes(mass: Array, moment: Array, inertia: Array) -> Array:
    """Force m a + dw x s + w x (w x s) and moment s x a + I dw + w x I w of a rigid body; (n, 6, 15).

    Its mass m (n,) [kg], first moment s (n, 3) [kg*m] and inertia I (n, 3, 3) [kg*m2] are about its origin. Any text
    book of mechanics.
    """
    takes = np.zeros((len(mass), PULL, MOVING))
    beside = cross_matrix(moment)
    takes[:, FORCE, GAIN] = mass[:, None, None] * np.eye(3)
    takes[:, FORCE, CHANGE] = -beside
    takes[:, FORCE, PRODUCTS] = _by_products(_swirl(moment))
    takes[:, MOMENT, GAIN] = beside
    takes[:, MOMENT, CHANGE] = inertia
    takes[:, MOMENT, PRODUCTS] = _by_products(np.einsum("iab,nbc->naic", cross_matrix(np.eye(3)), inertia))
    return takes


def _back(turned: Array, reach: Array) -> Array:
    """From force and moment at a point, in axes `turned` (n, 3, 3), to those at `reach` (n, 3) before; (n, 6, 6)."""
    back, before = np.zeros((len(turned), PULL, PULL)), turned.swapaxes(1, 2)
    back[:, FORCE, FORCE] = before
    back[:, MOMENT, MOMENT] = before
    back[:, MOMENT, FORCE] = cross_matrix(reach) @ before
    return back


def _swirl(vector: Array) -> Array:
    """w x (w x v) = w (w . v) - v (w . w) as a form in w twice, of vectors v (n, 3); (n, 3, 3, 3)."""
    one = np.eye(3)
    return np.einsum("ab,nc->nabc", one, vector) - np.einsum("bc,na->nabc", one, vector)


def _by_products(form: Array) -> Array:
    """A form in w twice (n, 3, 3, 3) as a matrix on the products of w; (n, 3, 6)."""
    both = [form[:, :, i, k] + (form[:, :, k, i] if i != k else 0.0) for i, k in MULTIPLIED]
    return np.stack(both, axis=2)
