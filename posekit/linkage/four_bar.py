"""The planar four-bar: crank on the servo shaft, coupler, rocker on the joint.

The ground link lies along +x from crank pivot to rocker pivot; angles count from +x, counter-clockwise.
The diagonal from rocker pivot to crank pin splits the loop into two triangles; "open" and "crossed" are
the two sides of it on which the coupler can lie (R. L. Norton, Design of Machinery, ch. 4, says the same
with Freudenstein's equation).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import ClassVar, Literal

import numpy as np

from posekit.arrays import Array
from posekit.fields import LEAST_MM, Vector, key
from posekit.linkage.arcs import around, cosine_between, nearest_angle, whole_turns
from posekit.linkage.bodies import ROD_MM, SHAFT_MM, Body, across, ball, bar, round_about, tenth
from posekit.linkage.protocol import ALONE, Hinge, Keys, Problem, lies_across
from posekit.text import exact


@dataclass(frozen=True, slots=True, kw_only=True)
class FourBar:
    """Four bars in a plane, joined by four pins."""

    moves: ClassVar[Literal["turn", "slide"]] = "turn"
    partner_keys: ClassVar[tuple[str, ...]] = ()
    joint_keys: ClassVar[tuple[str, ...]] = ()
    efficiency: ClassVar[float] = 0.9  # three plain pins

    crank: float = key("length of the arm on the servo", unit="mm", least=LEAST_MM)
    coupler: float = key("length of the rod between the arms", unit="mm", least=LEAST_MM)
    rocker: float = key("length of the arm on the joint", unit="mm", least=LEAST_MM)
    ground: float = key("distance from the servo shaft to the joint axis", unit="mm", least=LEAST_MM)
    branch: Literal["open", "crossed"] = key("side of the diagonal on which the coupler lies", default="open")
    shaft_zero: float = key("crank angle at shaft 0", unit="deg", default=0.0)
    joint_zero: float | None = key(
        "rocker angle at joint 0; default: where the rocker stands at shaft 0", unit="deg", default=None
    )
    ground_along: Vector | None = key(
        "direction from the servo shaft to the joint axis, in the part that carries the joint; to draw it there",
        default=None,
    )
    height: float | None = key(
        "how far along the joint axis the bars lie from its point; default 0", unit="mm", default=None
    )

    def problems(self, hinge: Hinge | None = None) -> tuple[Problem, ...]:
        """A bar longer than the three others together, and a ground line along the joint axis."""
        if hinge is not None and (wrong := lies_across(self.ground_along, hinge)):
            return (("ground_along", wrong),)
        bars = {"crank": self.crank, "coupler": self.coupler, "rocker": self.rocker, "ground": self.ground}
        longest = max(bars, key=lambda name: bars[name])
        others = sum(bars.values()) - bars[longest]
        if bars[longest] < others:
            return ()
        reach = f"the three other bars reach {exact(others)} mm; use less, or lengthen them"
        return ((longest, f"= {exact(bars[longest])}: the four-bar closes at no angle: {reach}"),)

    def closes(self, hinge: Hinge) -> tuple[float, float]:
        """From dead point to dead point: coupler and rocker in line, stretched or folded."""
        a, b, c, d = self.crank, self.coupler, self.rocker, self.ground
        # Cosine rule: the diagonal may be no shorter than |b - c| and no longer than b + c.
        low, high = ((a * a + d * d - side * side) / (2 * a * d) for side in (b + c, b - c))
        return around(cosine_between(low, high), at=self.shaft_zero)

    def mix(self) -> Array:
        """One joint, one coordinate."""
        return ALONE

    def position(self, shaft_deg: Array, hinge: Hinge) -> Array:
        """Joint angle [deg], in (-180, 180] at shaft 0 and continuous from there."""
        return self.in_place(hinge)(shaft_deg)

    def in_place(self, hinge: Hinge) -> Callable[[Array], Array]:
        """`position` in one place."""
        at_rest = float(self._rocker(np.array(nearest_angle(self.closes(hinge)))))
        if self.joint_zero is None:
            return partial(_joint, self, at_rest)
        return partial(_joint, self, self.joint_zero + whole_turns(at_rest - self.joint_zero))

    def rate(self, shaft_deg: Array, hinge: Hinge) -> Array:
        """Rocker per crank: both pins have the same speed along the coupler. Infinite at a dead point."""
        crank, rocker = np.radians(self.shaft_zero + shaft_deg), np.radians(self._rocker(shaft_deg))
        crank_x, crank_y = self.crank * np.cos(crank), self.crank * np.sin(crank)
        rocker_x, rocker_y = self.rocker * np.cos(rocker), self.rocker * np.sin(rocker)
        coupler_x, coupler_y = self.ground + rocker_x - crank_x, rocker_y - crank_y
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            rate: Array = (crank_x * coupler_y - crank_y * coupler_x) / (
                rocker_x * coupler_y - rocker_y * coupler_x
            )
        return rate

    def zero_at(self, position: float, hinge: Hinge) -> Mapping[str, float]:
        """Another rocker angle."""
        at_rest = float(self._rocker(np.array(nearest_angle(self.closes(hinge)))))
        return {"joint_zero": (at_rest if self.joint_zero is None else self.joint_zero) + position}

    def transmission_angle(self, shaft_deg: Array, hinge: Hinge) -> Array:
        """Angle [deg] between coupler and rocker."""
        b, c = self.coupler, self.rocker
        cosine = np.abs(b * b + c * c - self._diagonal(shaft_deg) ** 2) / (2 * b * c)
        angle: Array = np.degrees(np.arccos(np.minimum(cosine, 1.0)))
        return angle

    def bodies(self, shaft_deg: Array, hinges: Sequence[Hinge]) -> tuple[Body, ...]:
        """Crank, coupler and rocker in the plane across the joint axis, and the pins between them."""
        pivot, pin, rocker_pin, rocker_pivot = self._pins(shaft_deg, hinges[0])
        return (
            bar("crank", pivot, pin),
            bar("coupler", pin, rocker_pin, ROD_MM),
            bar("rocker", rocker_pin, rocker_pivot),
            ball("servo shaft", pivot, "shaft", SHAFT_MM),
            ball("crank pin", pin, "crank"),
            ball("rocker pin", rocker_pin, "rocker"),
            ball("joint axis", rocker_pivot, radius=SHAFT_MM),
        )

    def unplaced(self) -> tuple[str, ...]:
        """The direction of the ground line."""
        return ("ground_along",) if self.ground_along is None else ()

    def plane(self, hinge: Hinge) -> Vector:
        """Across the joint axis."""
        return hinge.axis

    def dragged(self, grip: str, to: Array, shaft_deg: float, hinge: Hinge) -> Keys:
        """Lengths and the angles they count from; the shaft takes the crank along, at its length."""
        x, y = self._frame(hinge)
        at_shaft = np.array([shaft_deg])
        flat = [
            _flat(point, hinge, x, y) for point in (*(each[0] for each in self._pins(at_shaft, hinge)), to)
        ]
        pivot, pin, rocker_pin, _, place = flat
        if grip == "shaft":
            along = -place / max(float(np.linalg.norm(place)), LEAST_MM)
            ground = tenth(float(np.linalg.norm(place)))
            pivot, pin = -ground * along, pin - pivot - ground * along
            keys: dict[str, Vector | float | None] = {
                "ground": ground,
                "ground_along": _short(along[0] * x + along[1] * y),
            }
        elif grip == "crank":
            pin, along, keys = (
                place,
                np.array([1.0, 0.0]),
                {"crank": tenth(float(np.linalg.norm(place - pivot)))},
            )
        elif grip == "rocker":
            rocker_pin, along, keys = (
                place,
                np.array([1.0, 0.0]),
                {"rocker": tenth(float(np.linalg.norm(place)))},
            )
        else:
            return {}
        crank, rocker = _angle(pin - pivot, along), _angle(rocker_pin, along)
        stands = float(self.position(at_shaft, hinge)[0])
        return {
            **keys,
            "coupler": tenth(float(np.linalg.norm(rocker_pin - pin))),
            "shaft_zero": _near(crank - shaft_deg),
            "joint_zero": _near(rocker - stands),
        }

    def _frame(self, hinge: Hinge) -> tuple[Array, Array]:
        """The ground line and, a quarter turn on about the joint axis, what lies across it."""
        return across(hinge.axis, self.ground_along)

    def _pins(self, shaft_deg: Array, hinge: Hinge) -> tuple[Array, Array, Array, Array]:
        """Crank pivot, crank pin, rocker pin and rocker pivot (P, 3) [mm]."""
        x, y = self._frame(hinge)
        rocker_pivot = np.array(hinge.at) + (self.height or 0.0) * np.array(hinge.axis)
        pivot = rocker_pivot - self.ground * x
        pin = pivot + self.crank * round_about(x, y, self.shaft_zero + shaft_deg)
        rocker_pin = rocker_pivot + self.rocker * round_about(x, y, self._rocker(shaft_deg))
        here = np.broadcast_to
        return here(pivot, pin.shape), pin, rocker_pin, here(rocker_pivot, pin.shape)

    def _diagonal(self, shaft_deg: Array) -> Array:
        crank = np.radians(self.shaft_zero + shaft_deg)
        return np.hypot(self.ground - self.crank * np.cos(crank), self.crank * np.sin(crank))

    def _rocker(self, shaft_deg: Array) -> Array:
        """Rocker angle [deg] from +x, continuous; clamped at the dead points."""
        a, b, c, d = self.crank, self.coupler, self.rocker, self.ground
        crank = np.radians(self.shaft_zero + shaft_deg)
        # The direction of the diagonal goes round with the crank only if the rocker pivot lies inside the
        # crank's circle; each form turns by less than a quarter from its first term and so never jumps.
        if a <= d:
            aim = np.pi + np.arctan2(-a * np.sin(crank), d - a * np.cos(crank))
        else:
            aim = crank + np.arctan2(d * np.sin(crank), a - d * np.cos(crank))
        diagonal = self._diagonal(shaft_deg)
        cosine = diagonal / (2 * c)
        if b != c:  # else the diagonal of a kite may shrink to nothing
            with np.errstate(divide="ignore"):
                cosine += (c - b) * (c + b) / (2 * c * diagonal)
        aside = np.arccos(np.clip(cosine, -1.0, 1.0))
        return np.degrees(aim - aside if self.branch == "open" else aim + aside)


def _joint(linkage: FourBar, zero_deg: float, shaft_deg: Array) -> Array:
    return linkage._rocker(shaft_deg) - zero_deg


def _flat(point: Array, hinge: Hinge, x: Array, y: Array) -> Array:
    """A point (3,) in the plane of the bars (2,) [mm], from the joint's axis."""
    away = point - np.array(hinge.at)
    return np.array([away @ x, away @ y])


def _angle(way: Array, along: Array) -> float:
    """From `along` to a way, counter-clockwise, both (2,) [deg]."""
    return float(np.degrees(np.arctan2(along[0] * way[1] - along[1] * way[0], along @ way)))


def _near(angle_deg: float) -> float:
    """An angle in (-180, 180], to a tenth of a degree, as a horn is turned."""
    return round(angle_deg - whole_turns(angle_deg), 1) + 0.0


def _short(direction: Array) -> Vector:
    x, y, z = (round(float(each), 4) + 0.0 for each in direction)
    return x, y, z
