"""Two arms and the rod between them, many at a time: the horn's pin on one circle, the joint's on another.

A push-rod in space; with both axes parallel it is the planar four-bar. With w from the centre of the joint's circle to
the horn's pin, c the arm, b the unit vector along it and L the rod, the loop closes where

    |w|^2 - 2 c w.b + c^2 = L^2.

For a four-bar this is Freudenstein's equation (F. Freudenstein, Approximate synthesis of four-bar linkages, Trans. ASME
77, 1955; R. L. Norton, Design of Machinery, ch. 5, from memory). Turned by the wanted positions it is linear in
c cos(arm angle), c sin(arm angle) and L^2 - c^2: three positions give all three, more the nearest by least squares,
and two positions with the arm's length given leave one equation for the arm's angle.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from posekit.arrays import Array, Index, Truth

NOTHING = 1e-12


@dataclass(frozen=True, slots=True, eq=False)
class Planes:
    """The planes of both circles: unit vectors (2, 3) at 0 and at 90 degrees in each."""

    horn: Array
    arm: Array


@dataclass(frozen=True, slots=True, eq=False)
class Loops:
    """N loops. `between` (N, 3) goes from the centre of the joint's circle to that of the horn's; all else is (N,).

    `horn_deg` is the horn's angle at shaft 0; `side` +1 or -1 tells on which side of w the arm lies. Lengths in mm.
    """

    planes: Planes
    between: Array
    horn: Array
    arm: Array
    rod: Array
    horn_deg: Array
    side: Array

    def take(self, index: Index | Truth) -> Loops:
        """Those at `index`, or of a mask."""
        return Loops(
            self.planes,
            self.between[index],
            self.horn[index],
            self.arm[index],
            self.rod[index],
            self.horn_deg[index],
            self.side[index],
        )

    def motion(self, shafts_deg: Array) -> tuple[Array, Array]:
        """Direction of the arm and transmission angle at S shaft angles in order; two (N, S) [deg].

        The direction runs on without a jump of whole turns. nan where the loop does not close.
        """
        along, aside, square = _to_pin(self, shafts_deg)
        across = np.hypot(along, aside)
        arm, rod = self.arm[:, None], self.rod[:, None]
        with np.errstate(divide="ignore", invalid="ignore"):
            cosine = (square + arm * arm - rod * rod) / (2 * arm * across)
            # The part of the rod along the way of the arm's pin, over the rod: see PushRod.transmission_angle.
            sine = across * np.sqrt(np.maximum(1.0 - cosine * cosine, 0.0)) / rod
            away = np.where(np.abs(cosine) < 1.0, np.arccos(np.clip(cosine, -1.0, 1.0)), np.nan)
        direction = np.unwrap(np.arctan2(aside, along) + self.side[:, None] * away, axis=1)
        return np.degrees(direction), np.degrees(np.arcsin(np.minimum(sine, 1.0)))

    def apart(self, middle_deg: float) -> Array:
        """(N, 5) numbers that differ by 1 or more, one of them at least, where builders would call loops different.

        Not so for two that are each other's mirror image, as seen from the middle of the shaft's turn.
        """
        lengths = np.log(np.stack([self.horn, self.arm, self.rod], axis=-1)) / np.log([1.4, 1.5, 1.5])
        turn = np.radians(self.horn_deg + middle_deg)
        way = np.stack([np.cos(turn), np.abs(np.sin(turn))], axis=-1) / (2.0 * np.sin(np.radians(12.5)))
        return np.concatenate([lengths, way], axis=-1)


def joined(found: Sequence[Loops]) -> Loops:
    """All of one kind after the other."""
    return Loops(
        found[0].planes,
        np.concatenate([each.between for each in found]),
        np.concatenate([each.horn for each in found]),
        np.concatenate([each.arm for each in found]),
        np.concatenate([each.rod for each in found]),
        np.concatenate([each.horn_deg for each in found]),
        np.concatenate([each.side for each in found]),
    )


def through_two(
    planes: Planes,
    between: Array,
    horn: Array,
    arm: Array,
    horn_deg: Array,
    shafts_deg: Array,
    joints_deg: Array,
) -> Loops:
    """Loops of given arms whose joint turns as wanted between two angles of the shaft: both roots where there are any.

    `between` (N, 3), `horn`, `arm` and `horn_deg` (N,); shafts and joints (2,) [deg].
    """
    start = Loops(planes, between, horn, arm, arm, horn_deg, np.ones_like(arm))
    ahead, abeam, square = _turned_back(start, shafts_deg, joints_deg)
    # |w1|^2 - |w2|^2 = 2 c (w1.b1 - w2.b2), in which the arm's angle is the only unknown.
    first, second = ahead[:, 0] - ahead[:, 1], abeam[:, 0] - abeam[:, 1]
    size = np.maximum(np.hypot(first, second), NOTHING)
    cosine = (square[:, 0] - square[:, 1]) / (2 * arm * size)
    aim, away = np.arctan2(second, first), np.arccos(np.clip(cosine, -1.0, 1.0))
    reached = np.abs(cosine) < 1.0
    return joined([_closed(start, aim + way * away, shafts_deg, joints_deg, reached) for way in (1.0, -1.0)])


def through_all(
    planes: Planes, between: Array, horn: Array, horn_deg: Array, shafts_deg: Array, joints_deg: Array
) -> Loops:
    """Loops of any arm whose joint turns as wanted from each of n >= 3 angles of the shaft to the next.

    Exact for three; nearest by least squares for more. `between` (N, 3), `horn` and `horn_deg` (N,); shafts and joints
    (n,) [deg].
    """
    start = Loops(planes, between, horn, horn, horn, horn_deg, np.ones_like(horn))
    # |w|^2 = (2 c cos) ahead + (2 c sin) abeam + (L^2 - c^2): taken from their means, the last one drops out.
    ahead, abeam, square = (
        each - each.mean(axis=1, keepdims=True) for each in _turned_back(start, shafts_deg, joints_deg)
    )
    aa, ab, bb = (
        (one * other).sum(axis=1) for one, other in ((ahead, ahead), (ahead, abeam), (abeam, abeam))
    )
    as_, bs = (ahead * square).sum(axis=1), (abeam * square).sum(axis=1)
    determinant = aa * bb - ab * ab
    solvable = determinant > 1e-9 * (aa + bb) ** 2
    determinant = np.where(solvable, determinant, 1.0)
    cos, sin = (as_ * bb - bs * ab) / determinant, (bs * aa - as_ * ab) / determinant
    arms = np.maximum(np.hypot(cos, sin) / 2.0, NOTHING)
    return _closed(replace(start, arm=arms), np.arctan2(sin, cos), shafts_deg, joints_deg, solvable)


def _closed(start: Loops, arm_angle: Array, shafts_deg: Array, joints_deg: Array, there: Truth) -> Loops:
    """The loops that close at the first position with the arm at `arm_angle` [rad] at joint 0: their rods and sides."""
    along, aside, square = (each[:, 0] for each in _to_pin(start, shafts_deg[:1]))
    direction = arm_angle + np.radians(joints_deg[0])
    cos, sin = np.cos(direction), np.sin(direction)
    rods = np.sqrt(np.maximum(square + start.arm**2 - 2 * start.arm * (along * cos + aside * sin), 0.0))
    side = np.sign(along * sin - aside * cos)
    good = there & (side != 0.0) & (rods > NOTHING)
    return replace(start, rod=rods, side=side).take(good)


def _to_pin(loops: Loops, shafts_deg: Array) -> tuple[Array, Array, Array]:
    """w at S shaft angles: its parts along both directions of the joint's plane, and its square; three (N, S)."""
    angle = np.radians(loops.horn_deg[:, None] + shafts_deg)
    cos, sin = loops.horn[:, None] * np.cos(angle), loops.horn[:, None] * np.sin(angle)
    (p_u, p_v), (q_u, q_v) = (loops.planes.arm @ loops.planes.horn.T).tolist()
    p, q = (loops.between @ loops.planes.arm.T).T[..., None]
    u, v = (loops.between @ loops.planes.horn.T).T[..., None]
    constant = (loops.between**2).sum(axis=1)[:, None] + loops.horn[:, None] ** 2
    return p + p_u * cos + p_v * sin, q + q_u * cos + q_v * sin, constant + 2.0 * (u * cos + v * sin)


def _turned_back(loops: Loops, shafts_deg: Array, joints_deg: Array) -> tuple[Array, Array, Array]:
    """w as seen from the arm, turned back to joint 0: its parts along and across, and its square; three (N, n)."""
    along, aside, square = _to_pin(loops, shafts_deg)
    cos, sin = np.cos(np.radians(joints_deg)), np.sin(np.radians(joints_deg))
    return along * cos + aside * sin, aside * cos - along * sin, square
