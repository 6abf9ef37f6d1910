"""How far the torque of a straight spring can differ, within a box of joint positions, from what its middle tells.

Of first order: for joints j and k between its two ends, whose ends lie r from them, the torque at j changes with k by
at most K r_j r_k + F r of the inner one: F is the most force in the box and K the stiffness, its rate, and where it is
pushed together to less than half its free length more across its line. Nor can it differ by more than 2 F r_j.

Of second order, where the spring does not go slack within the box: the torque asked about is f d . D with d the line
from end to end, D how d moves with the joints, by their weights, and f = rate (1 - free / L). On the way from the
middle to any place in the box d changes by at most w, the sum of r_j times half widths, and its change by q, the sum
over two joints of r of the inner times both half widths. D is at most R, the sum of r_j times weights; its change P,
the sum of r of the inner times a weight and a half width; the change of that V = T P, T the sum of the half widths of
what turns, or twice that where a joint slides, which may be the innermost of three. L changes by at most w, its change
by q + w w / L. So by Leibniz the second derivative is at most
free rate (R q / L + 5 R w w / L^2 + 2 w P / L) + F (R q / L + 2 w P / L + V).

Where a spring that pushes comes to no length its line may point any way and all that fails. Yet F is bounded there, so
whichever way it points the torque itself is at most F |D|, with |D| at most P more than in the middle.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from posekit.arrays import Array
from posekit.mechanism.tree import way_to_root
from posekit.prop.model import Prop
from posekit.statics.bodies import M_PER_MM, Hung
from posekit.statics.burden import Burden, Coil
from posekit.statics.vectors import at, cross


@dataclass(frozen=True, slots=True)
class Hold:
    """One spring and the joints between its ends: `arm` (J,) [mm, 1 for slides, 0 elsewhere], the most over all poses.

    `inner` (J, J) [mm] is the arm of the inner of two joints at one end, 0 for any others. `ways` are the joints before
    either end, the nearest first.
    """

    coil: Coil
    arm: Array
    inner: Array
    ways: tuple[tuple[Hung, ...], ...]


@dataclass(frozen=True, slots=True)
class Play:
    """How far a torque can differ in N boxes from what is known: `most` (N,) [N*m], by joint `share` (N, J).

    Known is the torque in the middle, of which `out` (N,) [N*m] is to be left out, none or all that the spring asks for
    there; and, where it is not 0, its `slope` (N, J) [N*m by rad].
    """

    out: Array
    most: Array
    share: Array
    slope: Array


def holds_of(prop: Prop, burden: Burden, far: Array) -> tuple[Hold, ...]:
    """The springs of a prop whose slides stand no further than `far` (J,) [mm] from 0."""
    hung = {each.column: each for each in burden.hung}
    return tuple(_hold(prop, coil, far, hung) for coil in burden.coils)


def _hold(prop: Prop, coil: Coil, far: Array, hung: Mapping[int, Hung]) -> Hold:
    column = {joint.name: j for j, joint in enumerate(prop.joints)}
    ways = [way_to_root(prop, prop.links[i].name) for i in coil.links.tolist()]
    # Ends: both ways grow shorter.
    while ways[0] and ways[1] and ways[0][-1] is ways[1][-1]:
        ways[0].pop()
        ways[1].pop()
    arm, inner = np.zeros(len(prop.joints)), np.zeros((len(prop.joints),) * 2)
    moving = [[hung[column[joint.name]] for joint in way if joint.name in column] for way in ways]
    for way, end in zip(ways, coil.ends, strict=True):
        length = float(np.linalg.norm(end))
        passed: list[int] = []
        for joint in way:
            j = column.get(joint.name, -1)
            if j >= 0:
                turns = joint.type == "revolute"
                arm[j] = length if turns else 1.0 / M_PER_MM
                passed.append(j)
                for k in passed:
                    inner[j, k] = inner[k, j] = arm[k] if turns else 0.0
                length += 0.0 if turns else float(far[j])
            length += float(np.linalg.norm(joint.at))
    return Hold(coil, arm, inner, tuple(tuple(way) for way in moving))


def spring_play(hold: Hold, world: Array, delta: Array, weight: Array) -> Play:
    """How far the torque can differ from what is known: of first or second order, or of nothing, whichever is less.

    `world` (L, 4, 4, N) is the middle of each box, `delta` (N, J) are the half widths [rad | m] and `weight` (J,) is
    how much of each joint's torque is asked about.
    """
    line, moves, twice = _moves(hold, world, weight)
    length = np.sqrt((line**2).sum(axis=0))
    whole = sum((weight[j] * move for j, move in moves.items()), np.zeros(line.shape))
    with np.errstate(divide="ignore", invalid="ignore"):
        force = hold.coil.rate_n_mm * np.nan_to_num(1.0 - hold.coil.free_mm / length, neginf=0.0)
    force = force if hold.coil.pushes else np.maximum(force, 0.0)
    known = force * (line * whole).sum(axis=0) * M_PER_MM
    most, share = _first(hold, length, delta, weight)
    slope, rest = _second(hold, line, moves, twice, length, delta, weight)
    nearer = (np.abs(slope) * delta).sum(axis=1) + rest < most
    by_arm = delta * hold.arm
    by_arm = by_arm / np.maximum(by_arm.sum(axis=1, keepdims=True), 1e-300)
    with np.errstate(invalid="ignore"):
        share = np.where(nearer[:, None], rest[:, None] * by_arm, share)
    most, slope = np.where(nearer, rest, most), np.where(nearer[:, None], slope, 0.0)
    any_way = _any_way(hold, np.sqrt((whole**2).sum(axis=0)), length, delta, weight)
    unknown = any_way < np.abs(known) + (np.abs(slope) * delta).sum(axis=1) + most
    return Play(
        np.where(unknown, known, 0.0),
        np.where(unknown, any_way, most),
        np.where(unknown[:, None], any_way[:, None] * by_arm, share),
        np.where(unknown[:, None], 0.0, slope),
    )


def _any_way(hold: Hold, moved: Array, length_mm: Array, delta: Array, weight: Array) -> Array:
    """The most of the torque itself (N,) [N*m], whichever way the line of the spring points.

    `moved` (N,) [mm by rad] is how much that moves in the middle with the joints, by their weights.
    """
    wander, turned = delta @ hold.arm, delta @ hold.inner @ np.abs(weight)
    stretch = length_mm - hold.coil.free_mm
    if hold.coil.pushes:
        # Between no length and the longest in the box the force is most at one of the two ends.
        shortest = np.maximum(length_mm - wander, 0.0)
        most = np.maximum(hold.coil.free_mm - shortest, stretch + wander)
    else:
        most = np.maximum(stretch + wander, 0.0)
    reach = np.minimum(moved + turned, np.abs(weight) @ hold.arm)
    return np.asarray(hold.coil.rate_n_mm * np.maximum(most, 0.0) * reach * M_PER_MM)


def _first(hold: Hold, length_mm: Array, delta: Array, weight: Array) -> tuple[Array, Array]:
    """Of first order: how far the torque can differ from that in the middle (N,), and what each joint adds (N, J)."""
    wander = delta @ hold.arm  # mm
    most = hold.coil.rate_n_mm * (np.abs(length_mm - hold.coil.free_mm) + wander)
    stiff = np.full(len(length_mm), hold.coil.rate_n_mm)
    if hold.coil.pushes:
        with np.errstate(divide="ignore"):
            squeezed = hold.coil.free_mm / np.maximum(length_mm - wander, 0.0) - 1.0
        stiff = hold.coil.rate_n_mm * np.maximum(1.0, squeezed)
    bends = np.abs(weight) @ hold.inner
    reach = float(np.abs(weight) @ hold.arm)
    with np.errstate(invalid="ignore"):
        by_joint = (stiff[:, None] * (reach * hold.arm) + most[:, None] * bends) * delta * M_PER_MM
    whole = 2.0 * most * reach * M_PER_MM
    by_joint = np.where(np.isfinite(by_joint), by_joint, whole[:, None])
    return np.minimum(by_joint.sum(axis=1), whole), by_joint


def _second(
    hold: Hold,
    line: Array,
    moves: Mapping[int, Array],
    twice: Mapping[int, Array],
    length_mm: Array,
    delta: Array,
    weight: Array,
) -> tuple[Array, Array]:
    """Of second order: the slopes in the middle (N, J), and how far the torque can differ from what they tell (N,).

    A spring that is slack all over a box gives nothing there; where it might go slack there is no bound: infinite.
    """
    rate, free, pushes = hold.coil.rate_n_mm, hold.coil.free_mm, hold.coil.pushes
    columns = [each.column for way in hold.ways for each in way if not each.slides]
    slides = any(each.slides for way in hold.ways for each in way)
    wander, whole = delta @ hold.arm, np.abs(weight) @ hold.arm
    bends = ((delta @ hold.inner) * delta).sum(axis=1)
    turned = delta @ hold.inner @ np.abs(weight)
    again = (2.0 if slides else 1.0) * delta[:, columns].sum(axis=1) * turned
    least = np.maximum(length_mm - wander, 0.0)
    force = rate * (np.abs(length_mm - free) + wander)
    with np.errstate(divide="ignore", invalid="ignore"):
        bent, moved, squared = whole * bends / least, 2.0 * wander * turned / least, (wander / least) ** 2
        rest = free * rate * (bent + 5.0 * whole * squared + moved) + force * (bent + moved + again)
        rest = np.where(least > 0.0, rest / 2.0 * M_PER_MM, np.inf)
        slope = _slopes(hold.coil, line, moves, twice, length_mm, weight)
    slack = np.zeros(len(rest), bool) if pushes else length_mm + wander <= free
    rest[slack] = 0.0
    if not pushes:
        rest[~slack & (least < free)] = np.inf
    slope[slack | ~np.isfinite(rest)] = 0.0
    return slope, rest


def _moves(hold: Hold, world: Array, weight: Array) -> tuple[Array, dict[int, Array], dict[int, Array]]:
    """The line of a spring in the middle of boxes (3, N) [mm]; how it moves with each joint, by its column [mm by rad];
    and how the move by all of them, by their weights, changes with each.
    """
    places = [at(world[i], end) for i, end in zip(hold.coil.links, hold.coil.ends, strict=True)]
    line = places[1] - places[0]
    moves: dict[int, Array] = {}
    twice: dict[int, Array] = {}
    for sign, place, way in zip((-1.0, 1.0), places, hold.ways, strict=True):
        axes = [np.einsum("ijp,j->ip", world[each.child, :3, :3], each.axis) for each in way]
        own = [
            sign * (axis / M_PER_MM if each.slides else cross(axis, place - world[each.child, :3, 3]))
            for axis, each in zip(axes, way, strict=True)
        ]
        for k, each in enumerate(way):
            moves[each.column] = own[k]
            twice[each.column] = sum(
                (
                    weight[other.column] * cross(axes[max(k, j)], own[min(k, j)])
                    for j, other in enumerate(way)
                    if not way[max(k, j)].slides
                ),
                np.zeros(line.shape),
            )
    return line, moves, twice


def _slopes(
    coil: Coil,
    line: Array,
    moves: Mapping[int, Array],
    twice: Mapping[int, Array],
    length_mm: Array,
    weight: Array,
) -> Array:
    """How the torque asked about changes with each joint in the middle of boxes (N, J) [N*m by rad], not slack."""
    whole = sum((weight[j] * move for j, move in moves.items()), np.zeros(line.shape))
    along = (line * whole).sum(axis=0)
    factor = coil.rate_n_mm * (1.0 - coil.free_mm / length_mm)
    slope = np.zeros((len(length_mm), len(weight)))
    for j, move in moves.items():
        grows = coil.rate_n_mm * coil.free_mm / length_mm**3 * (line * move).sum(axis=0)
        slope[:, j] = grows * along + factor * ((move * whole).sum(axis=0) + (line * twice[j]).sum(axis=0))
    return slope * M_PER_MM
