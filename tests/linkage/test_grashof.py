"""Grashof's rule: which bars of a four-bar turn fully, from the lengths and from the motion itself."""

from __future__ import annotations

from itertools import permutations

import numpy as np
import pytest

from posekit.linkage import FourBar, Hinge
from posekit.linkage.grashof import motion

HINGE = Hinge()


def test_the_published_four_bar_is_a_crank_rocker(mechanisms):
    bars = {name: mechanisms["four_bar"][name] for name in ("crank", "coupler", "rocker", "ground")}
    assert motion(FourBar(**bars)) == "crank-rocker"


@pytest.mark.parametrize("case", [0, 1])
def test_the_published_four_bars_with_dead_points_are_triple_rockers(mechanisms, case):
    lengths = mechanisms["four_bar"]["dead_points"][case]["lengths"]
    bars = dict(zip(("crank", "coupler", "rocker", "ground"), lengths, strict=True))
    assert motion(FourBar(**bars)) == "triple-rocker"


def test_equal_sums_are_a_change_point():
    assert motion(FourBar(crank=20.0, coupler=60.0, rocker=20.0, ground=60.0)) == "change-point"
    assert motion(FourBar(crank=0.1, coupler=0.4, rocker=0.3, ground=0.2)) == "change-point"


# Crank and rocker turn fully, or not, by the name of the motion (shortest bar: crank, coupler, rocker, ground).
TURNS_FULLY = {
    "crank-rocker": (True, False),
    "double-rocker": (False, False),
    "rocker-crank": (False, True),
    "double-crank": (True, True),
    "triple-rocker": (False, False),
}


@pytest.mark.parametrize(
    "lengths", [*permutations((30.0, 70.0, 80.0, 100.0)), *permutations((60.0, 62.0, 70.0, 100.0))]
)
def test_the_name_says_which_of_crank_and_rocker_turn_fully(lengths):
    crank, coupler, rocker, ground = lengths
    four_bar = FourBar(crank=crank, coupler=coupler, rocker=rocker, ground=ground)
    turned_about = FourBar(crank=rocker, coupler=coupler, rocker=crank, ground=ground)
    crank_turns, rocker_turns = (bool(np.isinf(bars.closes(HINGE)[1])) for bars in (four_bar, turned_about))
    assert (crank_turns, rocker_turns) == TURNS_FULLY[motion(four_bar)]
