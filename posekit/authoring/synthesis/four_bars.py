"""Planar four-bars for a movement."""

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
from posekit.authoring.synthesis.wish import Stock, Wish
from posekit.linkage import FourBar, Hinge
from posekit.linkage.arcs import whole_turns

FLAT = Planes(np.eye(3)[:2], np.eye(3)[:2])
SIDES = {"open": -1.0, "crossed": 1.0}
HORN_ANGLES = np.arange(-180.0, 180.0, 5.0)
ARMS, GROUNDS, MORE_GROUNDS = 12, 8, 24


def four_bars(wish: Wish, stock: Stock, hinge: Hinge) -> list[Candidate]:
    """Different four-bars that do what is wished, the best first; none if there is none of that stock."""
    found = [_two_positions(wish, stock)]
    if not stock.arms.listed:
        found.append(_all_positions(wish, stock))
    loops = joined(found)
    there = stock.rods.holds(loops.rod) & stock.arms.holds(loops.arm)
    if wish.branch is not None:
        there &= loops.side == SIDES[wish.branch]
    loops = polished(promising(loops.take(there), wish), wish, stock, grounds=True)
    rounded, owner = _rounded(loops, stock)
    return made(rounded, owner, wish, hinge, _linkage)


def _two_positions(wish: Wish, stock: Stock) -> Loops:
    """First and last position, over all that the stock has."""
    horns, arms, grounds = stock.horns.grid(8), stock.arms.grid(ARMS), stock.grounds.grid(GROUNDS)
    horn, arm, ground, angle = (each.ravel() for each in np.meshgrid(horns, arms, grounds, HORN_ANGLES))
    return through_two(FLAT, _between(ground), horn, arm, angle, *wish.ends)


def _all_positions(wish: Wish, stock: Stock) -> Loops:
    """All positions, over all horns and places, with whatever arm they take."""
    horns, grounds = stock.horns.grid(8), stock.grounds.grid(MORE_GROUNDS)
    horn, ground, angle = (each.ravel() for each in np.meshgrid(horns, grounds, HORN_ANGLES))
    return through_all(FLAT, _between(ground), horn, angle, *wish.with_middle)


def _between(ground: Array) -> Array:
    return np.stack([-ground, np.zeros_like(ground), np.zeros_like(ground)], axis=-1)


def _rounded(loops: Loops, stock: Stock) -> tuple[Loops, Index]:
    """Each with all lengths that can be had around its own and horn angles around its own, and whose each is."""
    arms, rods = stock.arms.near(loops.arm), stock.rods.near(loops.rod)
    grounds = stock.grounds.near(-loops.between[:, 0])
    angles, owner = turned(loops.horn_deg)
    base = replace(loops.take(owner), horn_deg=angles)
    found = [
        replace(base, between=_between(grounds[owner, g]), arm=arms[owner, a], rod=rods[owner, r])
        for a, r, g in product((0, 1), repeat=3)
    ]
    return joined(found), np.tile(owner, len(found))


def _linkage(one: Loops, zero_deg: float) -> FourBar:
    return FourBar(
        crank=tidy(one.horn[0]),
        coupler=tidy(one.rod[0]),
        rocker=tidy(one.arm[0]),
        ground=tidy(-one.between[0, 0]),
        branch="open" if one.side[0] < 0 else "crossed",
        shaft_zero=tidy(one.horn_deg[0]),
        joint_zero=tidy(zero_deg - whole_turns(zero_deg)),
    )
