"""A linkage found, judged by the forward formulas of `posekit.linkage` alone, not by those that made it."""

from __future__ import annotations

from dataclasses import dataclass, fields
from math import pi
from typing import Any

import numpy as np

from posekit.arrays import Array
from posekit.authoring.synthesis.wish import Wish
from posekit.fields import Vector
from posekit.linkage import LINKAGES, FourBar, Hinge, Linkage, PushRod, SliderCrank
from posekit.linkage.advantage import mechanical_advantage
from posekit.transforms import unit

SAMPLES = 361
ROUNDING = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """A linkage and what it does between the end points.

    `reach` [deg | mm] is least and greatest position of the joint; `transmission_deg` the least angle between rod and
    arm, 90 where there is no rod; `straightness` [deg | mm] how far joint over shaft bends from the line between its
    ends; `dead_deg` how far [deg of the shaft] the nearest dead point lies beyond the end points, None if there is
    none; `torque` what the joint gets at value 0 and at full scale of each N*m of the shaft, friction left out: N*m, or
    N for a slide; `off` [deg | mm] the most that it misses a wanted position by; `horn_mm`, `arm_mm` and `rod_mm` what
    it is made of, 0 where it has none; `remark` how to make it.
    """

    linkage: Linkage
    reach: tuple[float, float]
    transmission_deg: float
    straightness: float
    dead_deg: float | None
    torque: tuple[float, float]
    off: float
    horn_mm: float
    arm_mm: float
    rod_mm: float
    remark: str = ""

    @property
    def type(self) -> str:
        """Its name in the prop file."""
        return next(name for name, kind in LINKAGES.items() if isinstance(self.linkage, kind))

    @property
    def dimensions(self) -> dict[str, Any]:
        """The keys of the prop file's linkage table, but `type`; with them the linkage is this one."""
        given = ((declared.name, getattr(self.linkage, declared.name)) for declared in fields(self.linkage))
        return {
            name: list(value) if isinstance(value, tuple) else value
            for name, value in given
            if value is not None
        }


def judged(linkage: Linkage, hinge: Hinge, wish: Wish, remark: str = "") -> Candidate | None:
    """What a linkage does over the span of a wish; None if it does not close or turns back there."""
    low, high = min(wish.span), max(wish.span)
    if linkage.problems(hinge):
        return None
    horn, arm, rod = _lengths(linkage, hinge)
    start, end = linkage.closes(hinge)
    if not start < low < high < end:
        return None
    shaft = np.linspace(*wish.span, SAMPLES)
    place = linkage.in_place(hinge)
    joint, rate = place(shaft), linkage.rate(shaft, hinge)
    steps = np.diff(joint) * np.sign(wish.span[1] - wish.span[0])
    if not ((steps * wish.way > 0.0).all() and (rate * wish.way > 0.0).all()):
        return None
    line = joint[0] + (joint[-1] - joint[0]) * np.linspace(0.0, 1.0, SAMPLES)
    angles = linkage.transmission_angle(shaft, hinge)
    least = angles[np.isfinite(angles)].min(initial=90.0)
    beyond = min(low - start, end - high)
    return Candidate(
        linkage=linkage,
        reach=(float(joint.min()), float(joint.max())),
        transmission_deg=float(least),
        straightness=float(np.abs(joint - line).max()),
        dead_deg=float(beyond) if np.isfinite(beyond) else None,
        torque=_torque(rate[[0, -1]], wish),
        off=float(np.abs(place(np.array(wish.shafts)) - wish.joints).max()),
        horn_mm=horn,
        arm_mm=arm,
        rod_mm=rod,
        remark=remark,
    )


def _lengths(linkage: Linkage, hinge: Hinge) -> tuple[float, float, float]:
    """Horn, arm and rod [mm], as they are drilled; 0 for what it has not."""
    if isinstance(linkage, FourBar):
        return linkage.crank, linkage.rocker, linkage.coupler
    if isinstance(linkage, SliderCrank):
        return linkage.crank, 0.0, linkage.coupler
    if isinstance(linkage, PushRod):
        horn = _off_axis(np.subtract(linkage.horn_ball, linkage.shaft_at), linkage.shaft_axis)
        arm = _off_axis(np.subtract(linkage.joint_ball, hinge.at), hinge.axis)
        rod = np.linalg.norm(np.subtract(linkage.joint_ball, linkage.horn_ball))
        return horn, arm, float(rod) if linkage.rod is None else linkage.rod
    return 0.0, 0.0, 0.0


def _off_axis(place: Array, axis: Vector) -> float:
    return round(float(np.linalg.norm(np.cross(place, unit(axis)))), 2)


def _torque(rate: Array, wish: Wish) -> tuple[float, float]:
    per_torque = np.abs(mechanical_advantage(rate))
    # mm per degree, to metres per radian
    first, last = (per_torque * 1000.0 * pi / 180.0 if wish.moves == "slide" else per_torque).tolist()
    return first, last


def fits(candidate: Candidate, wish: Wish) -> bool:
    """Whether it does all that is wished: range, hard stops, positions, transmission angle, straightness."""
    (low, high), (least, most) = candidate.reach, wish.contained
    first, last = wish.stops or (-np.inf, np.inf)
    return (
        first - ROUNDING <= low <= least + ROUNDING
        and most - ROUNDING <= high <= last + ROUNDING
        and candidate.off <= wish.within
        and candidate.transmission_deg >= wish.transmission_deg
        and (wish.bend is None or candidate.straightness <= wish.bend)
    )
