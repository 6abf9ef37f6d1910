"""Where nothing fits: each wish that stands in the way is named, and no other."""

from __future__ import annotations

from dataclasses import replace

import pytest

from posekit.authoring.synthesis import SEARCHES, Candidate, Sizes, Stock, Wish, in_the_way, one_of
from posekit.authoring.synthesis.loosened import SHARES
from posekit.linkage import Hinge

HINGE = Hinge()
TURN = Wish(
    moves="turn", span=(-40.0, 40.0), shafts=(-40.0, 40.0), joints=(-10.0, 35.0), travel=(-90.0, 90.0)
)
SLIDE = Wish(moves="slide", span=(-40.0, 40.0), shafts=(-40.0, 40.0), joints=(-5.0, 12.0))
THREE = replace(TURN, shafts=(-40.0, 0.0, 40.0), joints=(-10.0, 34.0, 35.0))
CASES = {
    "rods": ("four_bar", TURN, Stock(rods=Sizes(400.0, 450.0)), "the rods: one of "),
    "place": ("four_bar", TURN, Stock(grounds=one_of(400.0)), "where the servo may sit: "),
    "height": ("slider_crank", SLIDE, Stock(offsets=one_of(90.0), rods=Sizes(20.0, 50.0)), "where the servo may sit: "),
    "angle": ("four_bar", replace(TURN, transmission_deg=89.5), Stock(), "the least transmission angle: 89.5 degrees"),
    "straightness": ("four_bar", replace(TURN, bend=1e-4), Stock(), "straightness: 0.0001 degrees"),
    "positions": ("four_bar", THREE, Stock(), "the positions between the first and the last"),
    "teeth": ("gear", replace(TURN, within=0.05), Stock(teeth=(12, 13, 14)), "the teeth: "),
    "horn": ("slider_crank", SLIDE, Stock(horns=one_of(5.0)), "the horns: one of "),
}  # fmt: skip


@pytest.mark.parametrize("case", CASES)
def test_the_wish_in_the_way_is_named(case):
    kind, wish, stock, told = CASES[case]
    assert SEARCHES[kind](wish, stock, HINGE) == []
    said = in_the_way(wish, stock, HINGE, kind, SEARCHES[kind])
    assert any(each.startswith(told) for each in said)


def test_end_points_in_the_way_are_told_with_the_whole_travel():
    # 300 degrees at the joint from 40 at the shaft; the servo could turn 180.
    wish = replace(TURN, span=(-20.0, 20.0), shafts=(-20.0, 20.0), joints=(-60.0, 60.0))
    said = in_the_way(wish, Stock(), HINGE, "four_bar", SEARCHES["four_bar"])
    assert any(each.startswith("the end points: over the whole travel, -90 to 90 degrees") for each in said)


def test_a_range_that_fits_is_told_though_a_narrower_one_does_not():
    # A horn of 10 mm and an arm of 16 turn the joint by no less than some 40 degrees, for 100 of the shaft.
    wish = replace(
        TURN,
        span=(-50.0, 50.0),
        shafts=(-50.0, 50.0),
        joints=(-45.0, 45.0),
        travel=None,
        transmission_deg=40.0,
    )
    stock = Stock(horns=one_of(10.0), arms=one_of(16.0))
    narrowest = replace(wish, joints=(-13.5, 13.5))
    assert SEARCHES["four_bar"](narrowest, stock, HINGE) == [] == SEARCHES["four_bar"](wish, stock, HINGE)
    said = in_the_way(wish, stock, HINGE, "four_bar", SEARCHES["four_bar"])
    assert said[-1].startswith("the range of the joint: one that reaches ")


def test_a_servo_above_the_slide_is_told_to_sit_above_it():
    wish, stock = SLIDE, Stock(offsets=one_of(-90.0), rods=Sizes(20.0, 50.0))
    said = in_the_way(wish, stock, HINGE, "slider_crank", SEARCHES["slider_crank"])
    assert [
        each
        for each in said
        if each.startswith("where the servo may sit: ") and each.endswith(" mm above the slide fits")
    ]


def test_what_is_said_to_fit_does_fit():
    kind, wish, stock, _ = CASES["horn"]
    (said, *_) = in_the_way(wish, stock, HINGE, kind, SEARCHES[kind])
    horn = float(said.removeprefix("the horns: one of ").removesuffix(" mm fits"))
    assert SEARCHES[kind](wish, replace(stock, horns=one_of(horn)), HINGE)


def test_nothing_is_named_where_no_single_wish_helps():
    wish, stock = replace(TURN, bend=1e-4, transmission_deg=89.5), Stock(rods=Sizes(400.0, 450.0))
    assert in_the_way(wish, stock, HINGE, "four_bar", SEARCHES["four_bar"]) == []


@pytest.mark.parametrize("share", [*SHARES, 0.0])
def test_the_widest_of_the_narrower_ranges_that_fits_is_told_and_no_more_are_tried(share: float):
    """Any one of them may be the only one, and they are few: as many searches as SHARES where none fits."""
    asked: list[float] = []

    def search(wish: Wish, stock: Stock, hinge: Hinge) -> list[Candidate]:
        least, most = wish.wanted
        narrow = round((most - least) / 45.0, 6)
        if narrow < 1.0:
            asked.append(narrow)
        return [found] if narrow == share else []

    (found, *_) = SEARCHES["four_bar"](TURN, Stock(), HINGE)
    said = in_the_way(TURN, Stock(), HINGE, "four_bar", search)
    assert asked == [each for each in SHARES if each >= share]
    assert len(said) == (share in SHARES)
