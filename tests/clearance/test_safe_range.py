"""How much of a range can stay: by proof alone, without the places that probing knows beforehand."""

from __future__ import annotations

import numpy as np
import pytest

from posekit.clearance import watch
from posekit.clearance.pair_model import pair_model
from posekit.clearance.safe_range import limits_that_clear, widest_steps
from posekit.mechanism.reach import coordinates

NOWHERE = np.empty((0, 1))


def widest(*asked):
    """What the steps come to."""
    steps = widest_steps(*asked)
    while True:
        try:
            next(steps)
        except StopIteration as end:
            return end.value


@pytest.fixture
def model(make_prop, wand_text):
    """The wand from -45 to 90 deg with its post at 90 deg."""
    text = wand_text.replace("at = [60, 0, 0]", "at = [0, 60, 0]") + "pulse = {low = 1000, high = 2500}\n"
    prop = make_prop(text)
    return pair_model(prop, coordinates(prop), watch(prop), ("base", "wand"))


@pytest.mark.parametrize("margin_mm", [0.5, 2.0, 5.0, 10.0, 20.0, 30.0, 40.0])
def test_a_limit_that_proof_alone_finds_keeps_the_margin(model, margin_mm):
    """The wand is `margin_mm` from the post where it is asin((5 + 2 + margin) / 60) short of it."""
    true_deg = 90 - np.degrees(np.arcsin((7 + margin_mm) / 60))
    at, bad = widest(model, 0, "top", margin_mm, 1.0, NOWHERE)
    assert true_deg - 2.5 <= at <= true_deg
    assert (bad > true_deg).all()


def test_what_is_too_near_the_margin_to_tell_does_not_stay(make_prop, wand_text):
    """The wand passes its post by the margin and a ten-thousandth, too little to prove in steps of 5 deg."""
    prop = make_prop(wand_text.replace("at = [60, 0, 0]", "at = [98, 0, 0]"))
    passing = pair_model(prop, coordinates(prop), watch(prop), ("base", "wand"))
    at, bad = widest(passing, 0, "top", 1.0 - 1e-4, 5.0, NOWHERE)
    assert not len(bad)
    assert -30.0 < at < 0.0


def test_a_side_with_the_post_on_it_cannot_stay(model):
    assert widest(model, 0, "bottom", 2.0, 1.0, NOWHERE)[0] is None


def test_a_range_without_any_room_has_no_limit(model):
    assert widest(model, 0, "top", 110.0, 1.0, NOWHERE)[0] is None


def test_a_search_for_limits_that_has_no_time_left_gives_none(model):
    assert limits_that_clear(model, 2.0, 1.0, until_s=0.0) is None
    assert [limit.side for limit in limits_that_clear(model, 2.0, 1.0)] == ["top"]
