"""Slider-cranks for a movement."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import numpy as np

from posekit.arrays import Index
from posekit.authoring.synthesis.candidate import Candidate
from posekit.authoring.synthesis.four_bars import HORN_ANGLES
from posekit.authoring.synthesis.rounding import tidy, turned
from posekit.authoring.synthesis.search import made, promising
from posekit.authoring.synthesis.slides import Slides, joined, through_all, through_two
from posekit.authoring.synthesis.wish import Stock, Wish
from posekit.linkage import Hinge, SliderCrank

OFFSETS = 25
SIDES = {"open": 1.0, "crossed": -1.0}


def slider_cranks(wish: Wish, stock: Stock, hinge: Hinge) -> list[Candidate]:
    """Different slider-cranks that do what is wished, the best first; none if there is none of that stock."""
    horns = stock.horns.grid(12)
    horn, offset, angle = (
        each.ravel() for each in np.meshgrid(horns, stock.offsets.grid(OFFSETS), HORN_ANGLES)
    )
    found = [through_two(horn, offset, angle, *wish.ends)]
    horn, angle = (each.ravel() for each in np.meshgrid(horns, HORN_ANGLES))
    found.append(through_all(horn, angle, *wish.with_middle))
    slides = joined(found)
    there = stock.rods.holds(slides.rod) & stock.offsets.holds(slides.offset)
    if wish.branch is not None:
        there &= slides.side == SIDES[wish.branch]
    rounded, owner = _rounded(promising(slides.take(there), wish), stock)
    return made(rounded, owner, wish, hinge, _linkage)


def _rounded(slides: Slides, stock: Stock) -> tuple[Slides, Index]:
    """Each with all lengths that can be had around its own and crank angles around its own, and whose each is."""
    rods, offsets = stock.rods.near(slides.rod), stock.offsets.near(slides.offset)
    angles, owner = turned(slides.horn_deg)
    base = replace(slides.take(owner), horn_deg=angles)
    found = [
        replace(base, rod=rods[owner, r], offset=offsets[owner, e]) for r, e in product((0, 1), repeat=2)
    ]
    return joined(found), np.tile(owner, len(found))


def _linkage(one: Slides, zero_mm: float) -> SliderCrank:
    return SliderCrank(
        crank=tidy(one.horn[0]),
        coupler=tidy(one.rod[0]),
        offset=tidy(one.offset[0]),
        branch="open" if one.side[0] > 0 else "crossed",
        shaft_zero=tidy(one.horn_deg[0]),
        joint_zero=tidy(zero_mm),
    )
