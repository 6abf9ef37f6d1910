"""End points that make pairs clear: proved ones only, and the cheapest of them."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

import posekit
from posekit.clearance import envelope
from posekit.clearance.fixes import Option, cheapest_set, option_steps, suggestions_from, with_end_points
from tests.conftest import demo_prop

HERON = Path(__file__).parents[2] / "models" / "heron"


def past_post(wand_text, at, low, high):
    """The wand with its post at another place, between these end points."""
    return wand_text.replace("at = [60, 0, 0]", f"at = {at}") + f"pulse = {{low = {low}, high = {high}}}\n"


def options_of(prop, pairs):
    return [option for each in option_steps(prop, pairs, 2.0, 1.0) for option in each or ()]


@pytest.mark.parametrize(("low", "high", "end"), [(1000, 2500, "high"), (2500, 1000, "low")])
def test_the_end_point_that_clears_a_post_keeps_the_margin_from_the_tangent(
    make_prop, wand_text, low, high, end
):
    """The wand may turn to 90 deg less the angle at which it is 2 mm from the post: asin((5 + 2 + 2) / 60)."""
    prop = make_prop(past_post(wand_text, [0, 60, 0], low, high))
    (option,) = options_of(prop, posekit.clearance.pairs(prop))
    limit_deg = 90 - np.degrees(np.arcsin(9 / 60))
    assert (option.drive, option.end) == ("wand", end)
    assert 1500 + (limit_deg - 3) / 0.09 <= option.pulse_us <= 1500 + limit_deg / 0.09
    assert option.cost == pytest.approx((2500 - option.pulse_us) / 1500)
    (verdict,) = envelope(with_end_points(prop, {("wand", end): option.pulse_us})).pairs
    assert verdict.verdict == "clear"
    assert verdict.nearest_mm >= 2.0


def test_no_end_point_is_told_that_the_trim_would_carry_past_the_limit(make_prop, wand_text):
    """745 µs of trim bring the middle to 2495 µs, and to 2445 µs with the high end point at 2400: past the post."""
    prop = make_prop(
        past_post(wand_text, [0, 60, 0], 1000, 2500).replace("high = 2500", "high = 2500, trim = 745")
    )
    assert envelope(prop).of("strikes")
    for option in options_of(prop, posekit.clearance.pairs(prop)):
        (verdict,) = envelope(with_end_points(prop, {("wand", option.end): option.pulse_us})).pairs
        assert verdict.verdict == "clear", option


def test_both_ends_of_one_drive_are_not_moved_in_past_each_other():
    """Cheapest alone would be both ends of d, which together leave it no range; d and another drive do."""
    x, y = ("arm", "x"), ("arm", "y")
    options = [
        Option(x, "d", "low", 1664.0, 0.58),
        Option(y, "d", "high", 1338.0, 0.58),
        Option(x, "x", "low", 1645.0, 0.72),
        Option(y, "y", "low", 1645.0, 0.72),
    ]
    assert set(cheapest_set(options)) in ({("d", "low"), ("y", "low")}, {("d", "high"), ("x", "low")})
    apart = [Option(x, "d", "low", 1100.0, 0.3), Option(y, "d", "high", 1900.0, 0.3)]
    assert set(cheapest_set(apart)) == {("d", "low"), ("d", "high")}


def test_what_strikes_everywhere_has_no_end_point_that_helps(make_prop, wand_text):
    """The post stands about the wand's own axis."""
    text = past_post(wand_text, [0, 0, 0], 1000, 2000)
    prop = make_prop(text.replace("radius = 5", "radius = 11"))
    (verdict,) = envelope(prop).pairs
    assert verdict.verdict == "strikes"
    assert options_of(prop, [verdict.pair]) == []


def test_every_suggestion_for_a_heron_bent_too_far_is_kept_by_the_envelope():
    prop, pair = bent_heron(), ("neck_low", "jaw")
    assert envelope(prop, pairs=[pair]).of("strikes")
    options = options_of(prop, [pair])
    assert options
    for option in options:
        changed = with_end_points(prop, {(option.drive, option.end): option.pulse_us})
        (verdict,) = envelope(changed, pairs=[pair]).pairs
        assert verdict.verdict == "clear", option
        assert verdict.nearest_mm >= 2.0 - 1e-6, option


def bent_heron():
    prop = demo_prop("heron")
    return with_end_points(prop, {("neck_middle", "high"): 2241.0, ("neck_top", "high"): 2111.0})


def option(pair, drive, end, pulse_us, cost):
    return Option((pair, "other"), drive, end, pulse_us, cost)


def test_the_cheapest_set_takes_one_end_point_for_two_pairs_over_two_for_one_each():
    options = [
        option("a", "neck", "high", 1800, 0.3),
        option("b", "neck", "high", 1700, 0.4),
        option("a", "wing", "low", 1100, 0.25),
        option("b", "jaw", "low", 1200, 0.2),
    ]
    assert cheapest_set(options) == {("neck", "high"): 1700}


def test_the_cheapest_set_takes_two_end_points_where_they_cost_less():
    options = [
        option("a", "neck", "high", 1800, 0.3),
        option("b", "neck", "high", 1700, 0.4),
        option("a", "wing", "low", 1100, 0.15),
        option("b", "jaw", "low", 1200, 0.2),
    ]
    assert cheapest_set(options) == {("wing", "low"): 1100, ("jaw", "low"): 1200}


def test_the_cheapest_set_of_nothing_is_nothing():
    assert cheapest_set([]) == {}


def test_a_stricter_end_point_is_told_with_all_the_pairs_that_it_clears():
    options = [option("a", "neck", "high", 1800, 0.3), option("b", "neck", "high", 1700, 0.4)]
    first, second = suggestions_from(options)
    assert (first.pulse_us, first.clears) == (1700, (("a", "other"), ("b", "other")))
    assert (second.pulse_us, second.clears) == (1800, (("a", "other"),))
