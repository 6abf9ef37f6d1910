"""The zone of a joint: where its two links may touch, because the bearing is there.

A zone is a cylinder about the joint's axis, of a radius and from one height to another along it. A turn about
the axis leaves it where it is, so it is one place in both links, and a strike lies outside of it or within.
(A ball about the joint's point would take in half a jaw for a hinge of some width; a cylinder without ends
all of a neck that turns about its own length.) A slide moves along the axis: its zone is as much longer in
the parent as the child travels, so that whatever of the child has left the zone is judged again.

Without a zone in the prop file it is the least that holds what touches, or is nearer than the margin (2 mm at
most), at position 0: what hangs together with the contact nearest to the axis. Where that would take in more
than half of the smaller link and what touches alone does not, only what touches counts. A contact far from the
axis is no bearing.

The links are cut with the planes of a prism inside the cylinder, so whatever is left out lies in the zone and
what remains holds all that lies outside of it: "clear" stays a proof of everything outside the zone.
"""

from __future__ import annotations

from collections.abc import Generator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import ceil, cos, floor, pi

import numpy as np

from posekit.arrays import Array, Index, Truth
from posekit.clearance.bounds import piece_pairs, placed_pieces
from posekit.clearance.clip import beyond_steps
from posekit.clearance.covers import Cover
from posekit.clearance.gjk import Placed, gap_steps
from posekit.clearance.overlap import reach_steps
from posekit.clearance.solids import Solids
from posekit.mechanism.reach import coordinates, joints_within
from posekit.prop.model import Joint, Prop
from posekit.text import exact
from posekit.transforms import placement, unit

SIDES = 8
INSIDE = cos(pi / SIDES)  # from the axis to a side of the prism, for radius 1
AROUND = 2 * pi * np.arange(SIDES) / SIDES
# The planes of the prism: sides, then the end up the axis and the end down.
NORMALS = np.array([(*side, 0.0) for side in zip(np.cos(AROUND), np.sin(AROUND), strict=True)]
                   + [(0.0, 0.0, 1.0), (0.0, 0.0, -1.0)])  # fmt: skip
TOUCH_MM = 1e-6
TINY_MM = 1e-9
NEAR_MM = 2.0  # a wider margin must not make a zone wider, or less would be judged for asking more
BEYOND_MM = 1e-3  # so that no side of a piece lies in a plane that cuts it
GAP_MM = 0.1  # left between what remains of two links outside a zone that holds what touches
TOO_FAR = 0.5  # a contact that begins further out than this share of where it ends is no bearing
TOO_WIDE = 0.5  # share of the smaller link's reach from the axis


@dataclass(frozen=True, slots=True)
class Zone:
    """A cylinder of `radius` [mm] about a joint's axis, from `low` to `high` [mm] along it, at position 0.

    `travel` [mm] is how far a slide takes the child each way, (0, 0) for a turn. `share` is the radius over
    the smaller link's reach from the axis; `given` tells a radius that the prop file names.
    """

    joint: str
    radius: float
    low: float
    high: float
    travel: tuple[float, float]
    share: float
    given: bool

    def heights(self, *, of_child: bool) -> Array:
        """Heights (F,) [mm] of the planes NORMALS about the axis, in the frame of the parent or the child."""
        back, forth = (0.0, 0.0) if of_child else self.travel
        ends = (self.high + forth, -(self.low + back))
        return np.array([self.radius * INSIDE] * SIDES + list(ends))

    def __str__(self) -> str:
        """As people are told it."""
        along = f"{exact(self.low)} to {exact(self.high)} mm along it"
        return f"{exact(self.radius)} mm about the axis of {self.joint}, {along}"


@dataclass(frozen=True, slots=True)
class _Contacts:
    """Pairs of pieces (N,) of two neighbours that touch or are near at position 0, pieces seen from core A.

    `touching` (N,) tells contact from nearness. `along`
    (3, N, F) are the NORMALS about the joint's axis and `origin` (N, F) [mm] the heights along them at which
    core A has its centre.
    """

    pair: Placed
    touching: Truth
    radius_a: Array
    radius_b: Array
    near_mm: Array
    touch_mm: Array
    over: Array
    along: Array
    origin: Array

    def heights(self, rows: Index, *, near: bool) -> Generator[None, None, Array]:
        """Heights (n, F) [mm] along NORMALS that contacts do not pass; of what is `near`, or what touches."""
        F = len(NORMALS)
        more = self.near_mm[rows] if near else self.touch_mm[rows]
        found = yield from reach_steps(
            self.pair.take(np.repeat(rows, F)),
            np.repeat(self.radius_a[rows] + more, F),
            np.repeat(self.radius_b[rows], F),
            self.along[:, rows].reshape(3, -1),
        )
        return np.asarray(found.reshape(-1, F) + self.origin[rows] + self.over[rows, None] + BEYOND_MM)


def zone_steps(
    prop: Prop, parts: Solids, covers: Mapping[int, Cover], joints: Sequence[Joint]
) -> Generator[None, None, list[Zone | None]]:
    """The zone of each of these joints; None where nothing touches that could be a bearing. In small steps."""
    near_mm, travels = _near_mm(prop), _travel(prop, joints)
    told: list[Zone | None] = []
    for j, joint in enumerate(joints):
        yield
        found = yield from _contacts(prop, parts, covers, joint)
        own = np.arange(len(found.touching))
        near = yield from found.heights(own, near=True)
        reach = max(_smaller_reach(parts, covers, joint), TINY_MM)
        outer, inner, (low, high) = _bearing(near)
        if joint.zone is not None:
            radius = joint.zone
            low, high = (min(low, -radius), max(high, radius)) if inner <= radius else (-radius, radius)
            told.append(
                Zone(joint.name, radius, _outwards(low), _outwards(high), travels[j], radius / reach, True)
            )
            continue
        if outer > TOO_WIDE * reach:
            touching = _bearing((yield from found.heights(own[found.touching], near=False)))
            if touching[0] <= TOO_WIDE * reach:
                outer, inner, (low, high) = touching
        if inner > TOO_FAR * outer:
            told.append(None)
            continue
        if outer > INSIDE * reach:
            outer = (
                reach / INSIDE
            )  # all of the smaller link: what a prism leaves of its rim is no part to judge
        if joint.type == "prismatic":  # more of the child comes to where the bearing is
            outer += near_mm / INSIDE
        radius = _outwards(outer)
        # Of either link: what of the other one is near ends no further along than that.
        low, high = _outwards(low - near_mm), _outwards(high + near_mm)
        told.append(Zone(joint.name, radius, low, high, travels[j], radius / reach, False))
    return told


def _near_mm(prop: Prop) -> float:
    """What counts as near at position 0: the margin, but no more than a bearing has play, whatever the margin."""
    return min(prop.clearance.margin, NEAR_MM)


def _bearing(heights: Array) -> tuple[float, float, tuple[float, float]]:
    """Outer and inner radius and both ends [mm] of what hangs together with the contact nearest to the axis.

    `heights` (N, F) [mm] are those of the contacts; without any the inner radius is infinite.
    """
    heights = heights[np.isfinite(heights).all(axis=1)]
    if not len(heights):
        return 0.0, np.inf, (0.0, 0.0)
    sides, high, low = heights[:, :SIDES], heights[:, SIDES], -heights[:, SIDES + 1]
    outer = sides.max(axis=1) / INSIDE
    # What no side is beyond is on the other side of the axis: it begins there.
    inner = np.maximum((-sides).max(axis=1), 0.0)
    held = np.zeros(len(heights), bool)
    held[np.argmin(inner)] = True
    for _ in range(len(heights)):
        joins = (inner <= outer[held].max()) & (low <= high[held].max()) & (high >= low[held].min())
        if (held | joins).sum() == held.sum():
            break
        held |= joins
    return (
        float(outer[held].max()),
        float(inner[held].min()),
        (float(low[held].min()), float(high[held].max())),
    )


def _outwards(mm: float) -> float:
    """A length at least as long, in whole mm, or in tenths where it is short."""
    step = 1.0 if abs(mm) >= 10.0 else 0.1
    return (ceil(mm / step - 1e-9) if mm >= 0 else floor(mm / step + 1e-9)) * step


def _contacts(
    prop: Prop, parts: Solids, covers: Mapping[int, Cover], joint: Joint
) -> Generator[None, None, _Contacts]:
    """The pieces that touch, or are nearer than the margin, at position 0 of a joint."""
    sides = np.array([[parts.links.index(joint.parent), parts.links.index(joint.child)]], np.intp)
    parent_from_child = placement(joint.at, joint.turn)[None]
    over = np.zeros(len(parts.owner))
    over[list(covers)] = [cover.over for cover in covers.values()]
    pairs = piece_pairs(parts, sides[:, 0], sides[:, 1], parent_from_child, np.inf)
    near_mm = _near_mm(prop) + over[pairs.piece_a] + over[pairs.piece_b]
    close = np.flatnonzero(pairs.lower <= near_mm)
    placed = replace(placed_pieces(parts, pairs, close), group=np.arange(close.size))
    mm = (yield from gap_steps(placed, np.full(close.size, np.inf))).upper - placed.rounding
    some = np.flatnonzero(mm <= near_mm[close])
    rows = close[some]
    a, b = pairs.piece_a[rows], pairs.piece_b[rows]
    axis = np.repeat(_parent_from_axis(joint)[None], len(rows), axis=0)
    normal = np.einsum("nij,fj->nfi", axis[:, :3, :3], NORMALS)
    return _Contacts(
        pair=placed.take(some),
        touching=mm[some] <= TOUCH_MM,
        radius_a=parts.radius[a],
        radius_b=parts.radius[b],
        near_mm=near_mm[rows],
        touch_mm=near_mm[rows] - _near_mm(prop) + GAP_MM,
        over=np.maximum(over[a], over[b]),
        along=np.einsum("nji,nfj->inf", parts.rotation[a], normal),
        origin=np.einsum("nfi,ni->nf", normal, parts.centre[a] - axis[:, :3, 3]),
    )


def outside_steps(
    parts: Solids, covers: Mapping[int, Cover], link: int, zone: Zone, joint: Joint, *, of_child: bool
) -> Generator[None, None, tuple[list[int], list[tuple[Array, float]]]]:
    """What of a link stands outside a zone: pieces that do so whole, and of the others (points, radius).

    The points (V, 3) [mm] are in the frame of the link. A hull grown by a radius is cut that radius before
    the plane, so that all that is beyond the plane is held. In small steps, of a cut each.
    """
    frame = _axis_in_child(joint) if of_child else _parent_from_axis(joint)
    heights = zone.heights(of_child=of_child)
    whole: list[int] = []
    cut: list[tuple[Array, float]] = []
    for s in range(parts.first[link], parts.first[link + 1]):
        cover = covers[s]
        about_axis = (cover.points - frame[:3, 3]) @ frame[:3, :3]
        kept, reaches_in = yield from beyond_steps(about_axis, NORMALS, heights - cover.radius)
        if reaches_in:
            cut += [(part @ frame[:3, :3].T + frame[:3, 3], cover.radius) for part in kept]
        else:
            whole.append(s)
    return whole, cut


def _parent_from_axis(joint: Joint) -> Array:
    """The frame (4, 4) [mm] about a joint's axis, which is its z, in that of the parent link."""
    return np.asarray(placement(joint.at, joint.turn) @ _axis_in_child(joint))


def _axis_in_child(joint: Joint) -> Array:
    """The frame (4, 4) about a joint's axis in that of the child link, at position 0."""
    z = unit(joint.axis)
    x = unit(np.cross(z, np.eye(3)[int(np.argmin(np.abs(z)))]))
    frame = np.eye(4)
    frame[:3, :3] = np.stack([x, np.cross(z, x), z], axis=1)
    return frame


def _travel(prop: Prop, joints: Sequence[Joint]) -> list[tuple[float, float]]:
    """How far each joint takes its child along its axis, back and forth of position 0 [mm]; 0 for a turn."""
    slides = [joint for joint in joints if joint.type == "prismatic"]
    spans = {joint.name: joint.stops for joint in slides if joint.stops is not None}
    if len(spans) < len(slides):
        ways = coordinates(prop)
        reached = joints_within(ways, ways.span[None, :, 0], ways.span[None, :, 1])[0]
        row = {joint.name: j for j, joint in enumerate(prop.joints)}
        spans |= {joint.name: tuple(reached[row[joint.name]]) for joint in slides if joint.stops is None}
    ends = [spans.get(joint.name, (0.0, 0.0)) for joint in joints]
    return [(min(0.0, low), max(0.0, high)) for low, high in ends]


def _smaller_reach(parts: Solids, covers: Mapping[int, Cover], joint: Joint) -> float:
    """How far [mm] the smaller of a joint's links reaches from its axis."""
    reaches = []
    for name, frame in ((joint.parent, _parent_from_axis(joint)), (joint.child, _axis_in_child(joint))):
        link = parts.links.index(name)
        own = [covers[s] for s in range(parts.first[link], parts.first[link + 1])]
        reaches.append(max(
            float(np.hypot(*((each.points - frame[:3, 3]) @ frame[:3, :2]).T).max()) + each.radius for each in own
        ))  # fmt: skip
    return min(reaches)
