"""Push-rods in space for a movement, with the servo where it can sit."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import numpy as np

from posekit.arrays import Array, Index
from posekit.authoring.synthesis.candidate import Candidate
from posekit.authoring.synthesis.loops import Loops, Planes, joined, through_all, through_two
from posekit.authoring.synthesis.polish import polished
from posekit.authoring.synthesis.rounding import tidy, turned
from posekit.authoring.synthesis.search import made, promising
from posekit.authoring.synthesis.wish import Place, Stock, Wish
from posekit.fields import Vector
from posekit.linkage import Hinge, PushRod
from posekit.transforms import unit

HORN_ANGLES = np.arange(-180.0, 180.0, 2.0)
ARMS = 24
# Balls are written to a thousandth of a millimetre, which turns the shortest arm by this much at most.
MARGIN = 0.04


def push_rods(wish: Wish, stock: Stock, hinge: Hinge) -> list[Candidate]:
    """Different push-rods that do what is wished, the best first; none if there is none of that stock."""
    found = [each for place in stock.places for each in _at(place, wish, stock, hinge)]
    return sorted(found, key=lambda each: -each.transmission_deg)


def _at(place: Place, wish: Wish, stock: Stock, hinge: Hinge) -> list[Candidate]:
    planes, centres = _planes(place, hinge)
    apart = centres[0] - centres[1]
    horns = stock.horns.grid(8)
    horn, arm, angle = (each.ravel() for each in np.meshgrid(horns, stock.arms.grid(ARMS), HORN_ANGLES))
    found = [through_two(planes, np.tile(apart, (len(horn), 1)), horn, arm, angle, *wish.ends)]
    if not stock.arms.listed:
        horn, angle = (each.ravel() for each in np.meshgrid(horns, HORN_ANGLES))
        found.append(through_all(planes, np.tile(apart, (len(horn), 1)), horn, angle, *wish.with_middle))
    loops = joined(found)
    loops = promising(loops.take(stock.rods.holds(loops.rod) & stock.arms.holds(loops.arm)), wish)
    loops = polished(loops, wish, stock)
    rounded, owner = _rounded(loops, stock)

    def linkage(one: Loops, zero_deg: float) -> PushRod:
        balls = (_ball(one.horn[0], one.horn_deg[0], planes.horn), _ball(one.arm[0], zero_deg, planes.arm))
        return PushRod(
            shaft_at=place.shaft_at,
            shaft_axis=_axis(place, hinge),
            horn_ball=_point(centres[0] + balls[0]),
            joint_ball=_point(centres[1] + balls[1]),
            rod=tidy(one.rod[0]),
        )

    return made(rounded, owner, wish, hinge, linkage, MARGIN)


def _axis(place: Place, hinge: Hinge) -> Vector:
    return hinge.axis if place.shaft_axis is None else place.shaft_axis


def _planes(place: Place, hinge: Hinge) -> tuple[Planes, Array]:
    """The planes of both balls, and the centres (2, 3) of their circles."""
    shaft, joint = unit(_axis(place, hinge)), unit(hinge.axis)
    centres = np.stack([place.shaft_at + place.horn_along * shaft, hinge.at + place.arm_along * joint])
    return Planes(_across(shaft), _across(joint)), centres


def _across(axis: Array) -> Array:
    """Two unit vectors (2, 3) across a unit axis, the second a quarter turn on from the first."""
    first = np.cross(axis, np.eye(3)[int(np.argmin(np.abs(axis)))])
    first /= np.linalg.norm(first)
    return np.stack([first, np.cross(axis, first)])


def _rounded(loops: Loops, stock: Stock) -> tuple[Loops, Index]:
    """Each with all lengths that can be had around its own and horn angles around its own, and whose each is."""
    arms, rods = stock.arms.near(loops.arm), stock.rods.near(loops.rod)
    angles, owner = turned(loops.horn_deg)
    base = replace(loops.take(owner), horn_deg=angles)
    found = [replace(base, arm=arms[owner, a], rod=rods[owner, r]) for a, r in product((0, 1), repeat=2)]
    return joined(found), np.tile(owner, len(found))


def _ball(radius: float, angle_deg: float, plane: Array) -> Array:
    angle = np.radians(angle_deg)
    return np.asarray(radius * (np.cos(angle) * plane[0] + np.sin(angle) * plane[1]))


def _point(place: Array) -> Vector:
    x, y, z = (tidy(each) for each in place)
    return x, y, z
