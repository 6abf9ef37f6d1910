"""The offset slider-crank: crank on the servo shaft, coupler, slide along +x at height `offset`.

Convention and branch names of R. L. Norton, Design of Machinery, ch. 4: on the open branch the slide
lies ahead of the crank pin, on the crossed branch behind it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from typing import ClassVar, Literal

import numpy as np

from posekit.arrays import Array
from posekit.fields import LEAST_MM, key
from posekit.linkage.arcs import around, cosine_between, nearest_angle
from posekit.linkage.protocol import ALONE, Hinge, Problem


@dataclass(frozen=True, slots=True, kw_only=True)
class SliderCrank:
    """A crank that pushes a slide through a coupler."""

    moves: ClassVar[Literal["turn", "slide"]] = "slide"
    partner_keys: ClassVar[tuple[str, ...]] = ()
    joint_keys: ClassVar[tuple[str, ...]] = ()

    crank: float = key("length of the arm on the servo", unit="mm", least=LEAST_MM)
    coupler: float = key("length of the rod from arm to slide", unit="mm", least=LEAST_MM)
    offset: float = key("height of the slide above the servo shaft", unit="mm", default=0.0)
    branch: Literal["open", "crossed"] = key("open: the slide lies ahead of the crank pin", default="open")
    shaft_zero: float = key("crank angle at shaft 0", unit="deg", default=0.0)
    joint_zero: float | None = key(
        "slide position at joint 0; default: where the slide stands at shaft 0", unit="mm", default=None
    )

    def problems(self, hinge: Hinge | None = None) -> tuple[Problem, ...]:
        """A slide out of reach."""
        reach = self.crank + self.coupler
        if abs(self.offset) < reach:
            return ()
        return (
            ("offset", f"= {self.offset:g}: crank and coupler reach {reach:g} mm; use an offset within that"),
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
        if self.joint_zero is not None:
            return partial(_joint, self, self.joint_zero)
        return partial(_joint, self, float(self._slide(np.array(nearest_angle(self.closes(hinge))))))

    def rate(self, shaft_deg: Array, hinge: Hinge) -> Array:
        """Slide per shaft [mm/deg]. Infinite at a dead point."""
        crank = np.radians(self.shaft_zero + shaft_deg)
        with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
            slope = self._rise(crank) / self._ahead(crank)
        rate: Array = -self.crank * (np.sin(crank) + np.cos(crank) * slope) * (np.pi / 180)
        return rate

    def zero_at(self, position: float, hinge: Hinge) -> Mapping[str, float]:
        """Another slide position."""
        at_rest = float(self._slide(np.array(nearest_angle(self.closes(hinge)))))
        return {"joint_zero": (at_rest if self.joint_zero is None else self.joint_zero) + position}

    def transmission_angle(self, shaft_deg: Array, hinge: Hinge) -> Array:
        """Angle [deg] between the coupler and the normal of the slide."""
        crank = np.radians(self.shaft_zero + shaft_deg)
        cosine = np.minimum(np.abs(self._rise(crank)) / self.coupler, 1.0)
        angle: Array = np.degrees(np.arccos(cosine))
        return angle

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
