"""The offset slider-crank: crank on the servo shaft, coupler, slide along +x at height `offset`.

Convention and branch names of R. L. Norton, Design of Machinery, ch. 4: on the open branch the slide
lies ahead of the crank pin, on the crossed branch behind it.
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
from posekit.linkage.bodies import (
    ROD_MM,
    SHAFT_MM,
    Body,
    across,
    ball,
    bar,
    round_about,
    tenth,
    tenths,
)
from posekit.linkage.protocol import ALONE, Hinge, Keys, Problem, lies_across
from posekit.text import exact


@dataclass(frozen=True, slots=True, kw_only=True)
class SliderCrank:
    """A crank that pushes a slide through a coupler."""

    moves: ClassVar[Literal["turn", "slide"]] = "slide"
    partner_keys: ClassVar[tuple[str, ...]] = ()
    joint_keys: ClassVar[tuple[str, ...]] = ()
    efficiency: ClassVar[float] = 0.8  # pins and a plain slide

    crank: float = key("length of the arm on the servo", unit="mm", least=LEAST_MM)
    coupler: float = key("length of the rod from arm to slide", unit="mm", least=LEAST_MM)
    offset: float = key("height of the slide above the servo shaft", unit="mm", default=0.0)
    branch: Literal["open", "crossed"] = key("open: the slide lies ahead of the crank pin", default="open")
    shaft_zero: float = key("crank angle at shaft 0", unit="deg", default=0.0)
    joint_zero: float | None = key(
        "slide position at joint 0; default: where the slide stands at shaft 0", unit="mm", default=None
    )
    offset_along: Vector | None = key(
        "direction in which offset counts, in the part that carries the joint; to draw it there", default=None
    )
    slide_at: Vector | None = key(
        "the pin on the slide at joint 0, in the same part; default: the joint's point",
        unit="mm",
        default=None,
    )

    def problems(self, hinge: Hinge | None = None) -> tuple[Problem, ...]:
        """A slide out of reach, and an offset along the slide."""
        if hinge is not None and (wrong := lies_across(self.offset_along, hinge)):
            return (("offset_along", wrong),)
        reach = self.crank + self.coupler
        if abs(self.offset) < reach:
            return ()
        return (
            (
                "offset",
                f"= {exact(self.offset)}: crank and coupler reach {exact(reach)} mm; use an offset within that",
            ),
        )

    def closes(self, hinge: Hinge) -> tuple[float, float]:
        """From dead point to dead point: the coupler at right angles to the slide."""
        low, high = (self.offset - self.coupler) / self.crank, (self.offset + self.coupler) / self.crank
        # sin(crank angle) = cos(crank angle - 90 deg) lies between these two.
        return around(cosine_between(low, high), at=self.shaft_zero - 90.0)

    def mix(self) -> Array:
        """One joint, one coordinate."""
        return ALONE

    def position(self, shaft_deg: Array, hinge: Hinge) -> Array:
        """Slide position [mm]."""
        return self.in_place(hinge)(shaft_deg)

    def in_place(self, hinge: Hinge) -> Callable[[Array], Array]:
        """`position` in one place."""
        return partial(_joint, self, self._zero(hinge))

    def rate(self, shaft_deg: Array, hinge: Hinge) -> Array:
        """Slide per shaft [mm/deg]. Infinite at a dead point."""
        crank = np.radians(self.shaft_zero + shaft_deg)
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            slope = self._rise(crank) / self._ahead(crank)
        rate: Array = -self.crank * (np.sin(crank) + np.cos(crank) * slope) * (np.pi / 180)
        return rate

    def zero_at(self, position: float, hinge: Hinge) -> Mapping[str, float]:
        """Another slide position."""
        return {"joint_zero": self._zero(hinge) + position}

    def transmission_angle(self, shaft_deg: Array, hinge: Hinge) -> Array:
        """Angle [deg] between the coupler and the normal of the slide."""
        crank = np.radians(self.shaft_zero + shaft_deg)
        cosine = np.minimum(np.abs(self._rise(crank)) / self.coupler, 1.0)
        angle: Array = np.degrees(np.arccos(cosine))
        return angle

    def bodies(self, shaft_deg: Array, hinges: Sequence[Hinge]) -> tuple[Body, ...]:
        """Crank and coupler in a plane through the slide, their pins, and the way of the slide."""
        pivot, pin, slide = self._pins(shaft_deg, hinges[0])
        reach = (self.crank + self.coupler) / 2 * np.array(hinges[0].axis)
        return (
            bar("crank", pivot, pin),
            bar("coupler", pin, slide, ROD_MM),
            bar("way of the slide", slide - reach, slide + reach, ROD_MM / 2),
            ball("servo shaft", pivot, "shaft", SHAFT_MM),
            ball("crank pin", pin, "crank"),
            ball("slide pin", slide, "slide"),
        )

    def unplaced(self) -> tuple[str, ...]:
        """The direction of the offset."""
        return ("offset_along",) if self.offset_along is None else ()

    def plane(self, hinge: Hinge) -> Vector:
        """Through the slide, in the direction of the offset."""
        x, y, z = across(hinge.axis, self.offset_along)[1].tolist()
        return x, y, z

    def dragged(self, grip: str, to: Array, shaft_deg: float, hinge: Hinge) -> Keys:
        """Lengths, the offset and what they count from; the shaft takes the crank along, at its length."""
        x, at_shaft = np.array(hinge.axis), np.array([shaft_deg])
        up, _ = across(hinge.axis, self.offset_along)
        pivot, pin, slide = (each[0] for each in self._pins(at_shaft, hinge))
        stands = float(self.position(at_shaft, hinge)[0])
        keys: dict[str, Vector | float | None] = {}
        if grip == "shaft":
            pin, pivot = pin + (to - pivot), to
            keys["offset_along"] = _direction(up)
        elif grip == "crank":
            pin = to
            keys["crank"] = tenth(_length((to - pivot) @ x, (to - pivot) @ up))
            keys["shaft_zero"] = _near(_angle((to - pivot) @ x, (to - pivot) @ up) - shaft_deg)
        elif grip == "slide":
            slide = to
            keys["slide_at"] = tenths(to - stands * x)
        else:
            return {}
        away = slide - pivot
        return {
            **keys,
            "coupler": tenth(_length((slide - pin) @ x, (slide - pin) @ up)),
            "offset": round(float(away @ up), 1) + 0.0,
            "joint_zero": round(float(away @ x) - stands, 1) + 0.0,
        }

    def _pins(self, shaft_deg: Array, hinge: Hinge) -> tuple[Array, Array, Array]:
        """Crank pivot, crank pin and slide pin (P, 3) [mm]."""
        x = np.array(hinge.axis)
        up, _ = across(hinge.axis, self.offset_along)
        start = np.array(hinge.at if self.slide_at is None else self.slide_at)
        slide = start + self.position(shaft_deg, hinge)[..., None] * x
        zero = self._zero(hinge)
        pivot = start - zero * x - self.offset * up
        pin = pivot + self.crank * round_about(x, up, self.shaft_zero + shaft_deg)
        return np.broadcast_to(pivot, pin.shape), pin, slide

    def _zero(self, hinge: Hinge) -> float:
        """The slide's position at joint 0 [mm]."""
        if self.joint_zero is not None:
            return self.joint_zero
        return float(self._slide(np.array(nearest_angle(self.closes(hinge)))))

    def _slide(self, shaft_deg: Array) -> Array:
        """Slide position [mm] from the shaft."""
        crank = np.radians(self.shaft_zero + shaft_deg)
        position: Array = self.crank * np.cos(crank) + self._ahead(crank)
        return position

    def _rise(self, crank: Array) -> Array:
        """Height of the crank pin [mm] above the slide."""
        return self.crank * np.sin(crank) - self.offset

    def _ahead(self, crank: Array) -> Array:
        """Way [mm] from the crank pin to the slide along +x."""
        way = np.sqrt(np.maximum(self.coupler * self.coupler - self._rise(crank) ** 2, 0.0))
        return way if self.branch == "open" else -way


def _joint(linkage: SliderCrank, zero_mm: float, shaft_deg: Array) -> Array:
    return linkage._slide(shaft_deg) - zero_mm


def _length(along: float, up: float) -> float:
    return float(np.hypot(along, up))


def _angle(along: float, up: float) -> float:
    return float(np.degrees(np.arctan2(up, along)))


def _near(angle_deg: float) -> float:
    """An angle in (-180, 180], to a tenth of a degree, as a horn is turned."""
    return round(angle_deg - whole_turns(angle_deg), 1) + 0.0


def _direction(way: Array) -> Vector:
    x, y, z = (round(float(each), 4) + 0.0 for each in way)
    return x, y, z
