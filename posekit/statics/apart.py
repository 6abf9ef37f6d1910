"""The most of the first moment of a part and of all that hangs on it, along any direction, every joint by itself.

From the leaves inward: along a direction it is the part's own, and of each part on it the most over the positions of
the joint between. So it takes as long as there are joints, not as there are poses. Joints that one drive moves together
are counted as though each moved alone: then it may be above what a pose has, never below. As the largest of many linear
functions it is kept on the grid of `sphere`.
"""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import dataclass, field

import numpy as np

from posekit.arrays import Array
from posekit.statics.bodies import M_PER_MM, Hung
from posekit.statics.burden import TURN
from posekit.statics.sphere import at_most, corners, portions
from posekit.statics.vectors import cross
from posekit.statics.ways import Ways, within

STEP = 4.0 * TURN  # of a joint between two angles at which it is looked at
TOP = 1.002  # what a bound at a unit vector is above its largest value at corners, at most


@dataclass(frozen=True, slots=True)
class Apart:
    """What a bound by single joints needs of a prop, found once for all of its servos.

    `range` (J, 2) [rad | m] is where each joint goes; `carrier` the joint that carries a link, `place` (4, 4) [m] how
    it stands there, and `mass` (L,) [kg] is of a link and all on it. `rigid` (3,) [kg*m] is the moment of a link on
    which nothing moves, about its origin and in its frame; of any other `most` has the most of it along each corner of
    the grid. All of them by row of the link. `most` grows as it is asked for.
    """

    ways: Ways
    range: Array
    carrier: dict[int, Hung]
    place: dict[int, Array]
    mass: Array
    rigid: dict[int, Array]
    most: dict[int, Array] = field(default_factory=dict)


def apart(ways: Ways) -> Apart:
    """What bounds by single joints need of a prop."""
    burden = ways.burden
    found = within(ways, ways.span[None, :, 0], ways.span[None, :, 1])
    middle, delta = found.middle[0] * burden.si, found.delta[0]
    place = {hung.child: hung.place.copy() for hung in burden.hung}
    for frame in place.values():
        frame[:3, 3] *= M_PER_MM
    mass = burden.mass_kg.copy()
    rigid = dict(enumerate(burden.mass_kg[:, None] * burden.centre_mm * M_PER_MM))
    for hung in burden.hung:
        mass[hung.parent] += mass[hung.child]
        if not mass[hung.child] or hung.parent not in rigid:
            continue
        if hung.column >= 0 or hung.child not in rigid:
            del rigid[hung.parent]
        else:
            frame = place[hung.child]
            rigid[hung.parent] = (
                rigid[hung.parent] + frame[:3, :3] @ rigid[hung.child] + mass[hung.child] * frame[:3, 3]
            )
    carrier = {hung.child: hung for hung in burden.hung}
    return Apart(ways, np.stack([middle - delta, middle + delta], axis=1), carrier, place, mass, rigid)


def moment(known: Apart, link: int, along: Array) -> Array:
    """The most of the moment of a link and all on it along vectors (3, M) of its frame; (M,) [kg*m]."""
    if link in known.rigid:
        return np.asarray(known.rigid[link] @ along)
    return at_most(known.most[link], along)


def find_steps(known: Apart, link: int) -> Generator[None, None, None]:
    """Find the most of the moment of a link, and of all on it, at the corners of the grid; in small steps."""
    burden, wanted = known.ways.burden, {link}
    for hung in reversed(burden.hung):  # from the root out
        if hung.parent in wanted:
            wanted.add(hung.child)
    own = {i: known.ways.burden.mass_kg[i] * burden.centre_mm[i] * M_PER_MM for i in wanted}
    wanted = {i for i in wanted if i not in known.rigid and i not in known.most}
    found = {i: own[i] @ corners() for i in wanted}
    for hung in burden.hung:
        if hung.parent in wanted and known.mass[hung.child]:
            if hung.child in wanted:
                known.most[hung.child] = found[hung.child]
            frame = known.place[hung.child]
            at = known.mass[hung.child] * (frame[:3, 3] @ corners())
            beyond = yield from _beyond(known, hung, frame[:3, :3].T @ corners())
            found[hung.parent] += at + beyond
            yield
    known.most.update({i: found[i] for i in wanted})


def _beyond(known: Apart, hung: Hung, along: Array) -> Generator[None, None, Array]:
    """The most of the moment of what a joint carries, wherever it stands, along the corners (3, N) in its frame."""
    if hung.column < 0:
        return moment(known, hung.child, along)
    low, high = known.range[hung.column]
    if hung.slides:
        out = hung.axis @ along
        return moment(known, hung.child, along) + known.mass[hung.child] * np.maximum(low * out, high * out)
    angles = angles_of(low, high)
    most = np.empty(along.shape[1])
    for part in portions(len(angles)):
        turned = moment(known, hung.child, turned_by(along[:, part], hung.axis, angles))
        most[part] = turned.reshape(-1, len(angles)).max(axis=1)
        yield
    return np.asarray(most + longest(known, hung.child) * bulge(angles) * across(hung.axis, along))


def longest(known: Apart, link: int) -> float:
    """What the moment of a link is at most, along any direction [kg*m]."""
    if link in known.rigid:
        return float(np.linalg.norm(known.rigid[link]))
    return TOP * float((known.most[link] / np.linalg.norm(corners(), axis=0)).max())


def angles_of(low: float, high: float) -> Array:
    """Angles [rad] from one to another at which a joint is looked at (K,)."""
    return np.linspace(low, high, int(np.ceil((high - low) / STEP)) + 1)


def bulge(angles: Array) -> float:
    """By how much an arc from one angle to the next bulges over its chord, of its radius: so much more of its longest
    may a moment be between the two than at either.
    """
    return float(1.0 - np.cos((angles[1] - angles[0]) / 2)) if len(angles) > 1 else 0.0


def turned_by(vectors: Array, axis: Array, angles: Array) -> Array:
    """Vectors (3, M) in the frame of what turns about an axis, at angles (K,); (3, M K)."""
    along, across = axis[:, None] * (axis @ vectors), cross(axis[:, None], vectors)
    turned = (
        along[:, :, None]
        + (vectors - along)[:, :, None] * np.cos(angles)
        - across[:, :, None] * np.sin(angles)
    )
    return turned.reshape(3, -1)


def across(axis: Array, vectors: Array) -> Array:
    """The length of the part of vectors (3, M) across an axis; (M,)."""
    across = cross(axis[:, None], vectors)
    return np.asarray(np.sqrt(np.einsum("im,im->m", across, across)))
