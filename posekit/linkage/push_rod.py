"""A push-rod with ball ends between a servo horn and an arm on the joint, the two axes anyhow in space.

Kinematicians call it RSSR. The horn ball A goes round the shaft; the joint ball B, on its own circle, must
keep the rod's length from A. With p = A - joint point, the arm's part along the joint axis and its part r
across it, this is P cos(phi) + Q sin(phi) = S for the joint angle phi, where P, Q and S are constants plus
a cosine and a sine of the shaft angle.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import atan2, copysign, degrees, hypot
from typing import ClassVar, Literal

import numpy as np
from numpy.typing import NDArray

from posekit.arrays import Array
from posekit.fields import LEAST_MM, Vector, key
from posekit.linkage.arcs import around, not_negative, whole_turns
from posekit.linkage.bodies import ROD_MM, SHAFT_MM, Body, ball, bar, tenth, tenths
from posekit.linkage.protocol import ALONE, Hinge, Keys, Problem
from posekit.text import downward, exact, upward
from posekit.transforms import cross_matrix, has_direction, rotation_about, unit

ROUNDING_DEG = 1e-9
_Circle = tuple[Array, Array, Array]


@dataclass(frozen=True, slots=True, kw_only=True)
class PushRod:
    """All points in the joint's parent link frame, at shaft 0 and joint 0."""

    moves: ClassVar[Literal["turn", "slide"]] = "turn"
    partner_keys: ClassVar[tuple[str, ...]] = ()
    joint_keys: ClassVar[tuple[str, ...]] = ()
    efficiency: ClassVar[float] = 0.9  # two ball ends and a pin

    shaft_at: Vector = key("a point on the servo shaft", unit="mm")
    shaft_axis: Vector = key("direction of the servo shaft; its length does not matter")
    horn_ball: Vector = key("ball on the servo horn", unit="mm")
    joint_ball: Vector = key("ball on the joint's arm", unit="mm")
    rod: float | None = key(
        "length between the balls; default: their distance", unit="mm", default=None, least=LEAST_MM
    )

    def problems(self, hinge: Hinge | None = None) -> tuple[Problem, ...]:
        """Balls on their axes, and a rod that cannot reach or cannot push at shaft 0."""
        if not has_direction(self.shaft_axis):
            said = f"= {list(self.shaft_axis)}: has no direction; use for example [0, 1, 0]"
            return (("shaft_axis", said),)
        horn_ball, joint_ball = list(self.horn_ball), list(self.joint_ball)
        found: list[Problem] = []
        if np.linalg.norm(_horn(self)[1]) < LEAST_MM:
            found.append(("horn_ball", f"= {horn_ball}: lies on the servo shaft; place it off the axis"))
        if hinge is not None and np.linalg.norm(_arm(self, hinge)[1]) < LEAST_MM:
            found.append(("joint_ball", f"= {joint_ball}: lies on the joint axis; place it off the axis"))
        if self.rod is None and np.linalg.norm(_from_shaft(self, self.joint_ball)[1]) < LEAST_MM:
            said = "lies on the servo shaft, so the horn cannot move it; place it off the axis"
            found.append(("joint_ball", f"= {joint_ball}: {said}"))
        elif _rod(self) < LEAST_MM:
            found.append(("joint_ball", f"= {joint_ball}: is where horn_ball is; leave room for the rod"))
        if found or hinge is None:
            return tuple(found)
        p, q, s = _loop(self, hinge) @ (1.0, 1.0, 0.0)
        reach, rod = hypot(p, q), _rod(self)
        shortest, longest = (float(np.sqrt(max(s + rod * rod + side, 0.0))) for side in (-reach, reach))
        if not shortest <= rod <= longest:
            reaches = f"{upward(shortest, 3)} to {downward(longest, 3)} mm"
            return (("rod", f"= {exact(rod)}: does not reach at shaft 0; use {reaches}"),)
        if reach - abs(s) <= 1e-9 * reach:
            return (("rod", f"= {exact(rod)}: shaft 0 is a dead point; move a ball or change the rod"),)
        return ()

    def closes(self, hinge: Hinge) -> tuple[float, float]:
        """From dead point to dead point: the rod at right angles to the way of the joint ball."""
        return around(not_negative(_margin(_loop(self, hinge))), at=0.0)

    def mix(self) -> Array:
        """One joint, one coordinate."""
        return ALONE

    def position(self, shaft_deg: Array, hinge: Hinge) -> Array:
        """Joint angle [deg] on the branch that is nearest to 0 at shaft 0, continuous from there."""
        return self.in_place(hinge)(shaft_deg)

    def in_place(self, hinge: Hinge) -> Callable[[Array], Array]:
        """`position` in one place."""
        return _placed(self, hinge)[2]

    def rate(self, shaft_deg: Array, hinge: Hinge) -> Array:
        """Joint per shaft: both balls have the same speed along the rod. Infinite at a dead point."""
        horn_way, joint_way, rod = self._ways(shaft_deg, hinge)
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            rate: Array = np.sum(horn_way * rod, axis=-1) / np.sum(joint_way * rod, axis=-1)
        return rate

    def zero_at(self, position: float, hinge: Hinge) -> Mapping[str, Vector | float]:
        """The joint's ball where it stands then, and the rod as long as it is."""
        along, out, aside = _arm(self, hinge)
        cos, sin = _cos_sin(np.array(position))
        x, y, z = (hinge.at + along + out * cos + aside * sin).tolist()
        return {"joint_ball": (x, y, z), "rod": _rod(self)}

    def transmission_angle(self, shaft_deg: Array, hinge: Hinge) -> Array:
        """90 deg less the angle between the rod and the way of the joint ball; in a plane, rod to arm."""
        _, way, rod = self._ways(shaft_deg, hinge)
        sine = np.abs(np.sum(way * rod, axis=-1)) / np.linalg.norm(way, axis=-1) / _rod(self)
        angle: Array = np.degrees(np.arcsin(np.minimum(sine, 1.0)))
        return angle

    def bodies(self, shaft_deg: Array, hinges: Sequence[Hinge]) -> tuple[Body, ...]:
        """Horn, rod and arm between the two axes, with the balls."""
        hinge = hinges[0]
        centre, horn_ball, foot, joint_ball = self._balls(shaft_deg, hinge)
        shaft = np.array(self.shaft_at)
        return (
            bar("servo shaft to the horn", shaft, centre, SHAFT_MM / 2),
            bar("horn", centre, horn_ball),
            bar("rod", horn_ball, joint_ball, ROD_MM),
            bar("arm", foot, joint_ball),
            ball("servo shaft", np.broadcast_to(shaft, horn_ball.shape), "shaft", SHAFT_MM),
            ball("horn ball", horn_ball, "horn"),
            ball("joint ball", joint_ball, "joint"),
        )

    def unplaced(self) -> tuple[str, ...]:
        """None: all its points are keys."""
        return ()

    def plane(self, hinge: Hinge) -> None:
        """None: its balls move in space."""

    def dragged(self, grip: str, to: Array, shaft_deg: float, hinge: Hinge) -> Keys:
        """Another place of a ball, or of the shaft with its horn; a rod whose length is given is cut anew to fit."""
        at = np.array([shaft_deg])
        _, (horn_ball,), _, (joint_ball,) = self._balls(at, hinge)
        keys: dict[str, Vector | float | None] = {}
        if grip == "shaft":
            shift = np.array(tenths(to)) - self.shaft_at
            keys = {"shaft_at": tenths(to), "horn_ball": tenths(np.add(self.horn_ball, shift))}
            horn_ball = horn_ball + shift
        elif grip == "horn":
            back = rotation_about(unit(self.shaft_axis), -shaft_deg)
            keys = {"horn_ball": tenths(self.shaft_at + back @ np.subtract(to, self.shaft_at))}
            horn_ball = to
        elif grip == "joint":
            back = rotation_about(hinge.axis, -float(self.position(at, hinge)[0]))
            keys = {"joint_ball": tenths(hinge.at + back @ np.subtract(to, hinge.at))}
            joint_ball = to
        if keys and self.rod is not None:
            keys["rod"] = tenth(float(np.linalg.norm(joint_ball - horn_ball)))
        return keys

    def _balls(self, shaft_deg: Array, hinge: Hinge) -> tuple[Array, Array, Array, Array]:
        """Middle of the horn (3,), horn ball (P, 3), foot of the arm (3,) and joint ball (P, 3) [mm]."""
        (centre, out, aside), (along, arm, arm_aside), branch = _placed(self, hinge)
        cos, sin = _cos_sin(shaft_deg)
        horn_ball, foot = centre + out * cos + aside * sin, hinge.at + along
        cos, sin = _cos_sin(branch(shaft_deg))
        return centre, horn_ball, foot, foot + arm * cos + arm_aside * sin

    def _ways(self, shaft_deg: Array, hinge: Hinge) -> tuple[Array, Array, Array]:
        """Ways (..., 3) that horn ball and joint ball go per radian, and the rod between them."""
        (centre, out, aside), arm, branch = _placed(self, hinge)
        cos, sin = _cos_sin(shaft_deg)
        horn_ball, horn_way = centre + out * cos + aside * sin, aside * cos - out * sin
        along, out, aside = arm
        cos, sin = _cos_sin(branch(shaft_deg))
        joint_ball, joint_way = hinge.at + along + out * cos + aside * sin, aside * cos - out * sin
        return horn_way, joint_way, joint_ball - horn_ball


def _cos_sin(angle_deg: Array) -> tuple[Array, Array]:
    angle = np.radians(angle_deg)[..., None]
    return np.cos(angle), np.sin(angle)


def _rod(linkage: PushRod) -> float:
    if linkage.rod is not None:
        return linkage.rod
    return float(np.linalg.norm(np.subtract(linkage.joint_ball, linkage.horn_ball)))


def _split(axis: Array, point: Array) -> tuple[Array, Array, Array]:
    """`point` along a unit axis and across it, and the latter a quarter turn on."""
    along = axis * np.dot(axis, point)
    return along, point - along, cross_matrix(axis) @ point


def _from_shaft(linkage: PushRod, point: Vector) -> tuple[Array, Array, Array]:
    return _split(unit(linkage.shaft_axis), np.subtract(point, linkage.shaft_at))


def _horn(linkage: PushRod) -> _Circle:
    """The horn ball's circle [mm]: its centre, and the ball from there at shaft 0 and at 90 degrees."""
    along, out, aside = _from_shaft(linkage, linkage.horn_ball)
    return linkage.shaft_at + along, out, aside


def _arm(linkage: PushRod, hinge: Hinge) -> _Circle:
    """The joint's arm [mm]: along the joint axis, across it at joint 0, and at 90 degrees."""
    return _split(np.array(hinge.axis), np.subtract(linkage.joint_ball, hinge.at))


def _loop(linkage: PushRod, hinge: Hinge) -> Array:
    """P, Q and S (rows) [mm2] as factors of 1, cos and sin of the shaft angle."""
    centre, out, aside = _horn(linkage)
    along, arm, arm_aside = _arm(linkage, hinge)
    rod = _rod(linkage)
    start = centre - hinge.at
    to_horn = np.stack([start, out, aside])  # from the joint's point to the horn ball: p
    # |p|^2 has no second-order term, because the ball stays on a circle.
    constant = out @ out - start @ start + along @ along + arm @ arm - rod * rod
    s = 2 * to_horn @ (start - along) + np.array([constant, 0.0, 0.0])
    return np.stack([2 * to_horn @ arm, 2 * to_horn @ arm_aside, s])


@dataclass(frozen=True, slots=True, eq=False)
class _Branch:
    """The side of the two roots on which the joint stays, and what of its angle no shaft angle changes.

    `loop` as `_loop` gives it; `aim_deg` is the direction of (P, Q) at shaft 0 less whole turns of the joint, and
    `way` that in which it goes round, or 0.
    """

    loop: Array
    side: float
    aim_deg: float
    way: float

    def __call__(self, shaft_deg: Array) -> Array:
        """Joint angle [deg] at each shaft angle [deg]."""
        p, q, s = _at(self.loop, shaft_deg)
        return self.aim_deg + _turned(self.loop, self.way, p, q, shaft_deg) + self.side * _aside(p, q, s)


@lru_cache(maxsize=64)  # whoever asks for its rates asks again, at other angles
def _placed(linkage: PushRod, hinge: Hinge) -> tuple[_Circle, _Circle, _Branch]:
    """Circles of horn ball and joint ball, and the branch: what no shaft angle changes."""
    return _horn(linkage), _arm(linkage, hinge), _branch(_loop(linkage, hinge))


def _branch(loop: Array) -> _Branch:
    """The branch whose joint is nearest to 0 at shaft 0."""
    p, q, s = loop @ (1.0, 1.0, 0.0)
    aim, aside = degrees(atan2(q, p)), float(_aside(p, q, s))
    # One root of the cosine is the side aim + aside, the other aim - aside: a choice made once, at shaft 0.
    sides = [(side, aim + side * aside) for side in (1.0, -1.0)]
    side, joint = min(sides, key=lambda root: abs(root[1] - whole_turns(root[1])))
    return _Branch(loop, side, aim - whole_turns(joint), _way_round(loop))


def _margin(loop: Array) -> NDArray[np.complex128]:
    """P^2 + Q^2 - S^2, which no closing angle makes negative, as factors of exp(-2ix) .. exp(+2ix)."""
    one, cos, sin = loop.T
    p, q, s = np.stack([(cos + 1j * sin) / 2, one, (cos - 1j * sin) / 2], axis=-1)
    return np.convolve(p, p) + np.convolve(q, q) - np.convolve(s, s)


def _at(loop: Array, shaft_deg: Array) -> Array:
    """P, Q and S (3, ...) at each shaft angle."""
    shaft = np.radians(shaft_deg)
    one, cos, sin = loop.T.reshape(3, 3, *(1,) * shaft.ndim)
    terms: Array = one + cos * np.cos(shaft) + sin * np.sin(shaft)
    return terms


def _aside(p: Array, q: Array, s: Array) -> Array:
    """How far [deg] both roots lie from the direction of (P, Q): 0 or 180 at a dead point."""
    reach = np.maximum(np.hypot(p, q), np.finfo(np.float64).tiny)  # 0 with the horn ball on the joint axis
    aside: Array = np.degrees(np.arccos(np.clip(s / reach, -1.0, 1.0)))
    return aside


def _turned(loop: Array, way: float, p: Array, q: Array, shaft_deg: Array) -> Array:
    """How far [deg] the direction of (P, Q) has turned since shaft 0, continuous from there."""
    p_rest, q_rest, _ = (loop @ (1.0, 1.0, 0.0)).tolist()
    turned: Array = np.degrees(np.arctan2(p_rest * q - q_rest * p, p_rest * p + q_rest * q))
    if way:
        # It turns one way all the time, so the sign of the shaft's part turn tells -90 from 270.
        turns = 360.0 * np.round(shaft_deg / 360.0)
        onward, turned = shaft_deg - turns, way * turned
        turned = turned + np.where((onward > 0) & (turned < -ROUNDING_DEG), 360.0, 0.0)
        turned = turned - np.where((onward < 0) & (turned > ROUNDING_DEG), 360.0, 0.0)
        turned = way * (turned + turns)
    return turned


def _way_round(loop: Array) -> float:
    """The way, +1 or -1, in which the ellipse of (P, Q) goes round the origin; 0 if the origin lies outside.

    Seen from outside, no two points of an ellipse are half a turn apart.
    """
    (p, p_cos, p_sin), (q, q_cos, q_sin), _ = loop
    area = p_cos * q_sin - p_sin * q_cos
    inside = hypot(q_sin * p - p_sin * q, p_cos * q - q_cos * p) < abs(area)
    return copysign(1.0, area) if inside else 0.0
