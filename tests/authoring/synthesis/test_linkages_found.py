"""Linkages found for a movement, retraced with scipy from their pins and rods alone."""

from __future__ import annotations

import numpy as np
import pytest

from posekit.authoring.synthesis import SLIDES, TURNS, Place, Sizes, Stock, Wish, linkages_for, one_of
from posekit.authoring.synthesis.candidate import fits, judged
from posekit.linkage import Hinge
from tests.authoring.synthesis.retraced import retraced

HINGE = Hinge((10.0, 60.0, 20.0), (0.6, 0.0, 0.8))
STOCK = Stock(
    places=(Place(shaft_at=(0.0, 0.0, 0.0), shaft_axis=(0.0, 0.6, 0.8), horn_along=4.0, arm_along=-3.0),)
)
DRILLED = Stock(horns=one_of(10.0, 12.5), arms=one_of(12.0, 15.0, 18.0, 24.0), places=STOCK.places)


def turn(*joints: float, span: tuple[float, float] = (-40.0, 40.0), **more) -> Wish:
    return Wish(moves="turn", span=span, shafts=tuple(np.linspace(*span, len(joints))), joints=joints, **more)


WISHES = {
    "a range": (turn(-10.0, 35.0), STOCK),
    "a range that falls while the shaft turns back": (turn(35.0, -10.0, span=(45.0, -35.0)), STOCK),
    "a range away from shaft 0": (turn(20.0, 50.0, span=(-70.0, -20.0)), STOCK),
    "three positions": (turn(-10.0, 8.0, 35.0), STOCK),
    "five positions": (turn(-20.0, -11.0, -1.0, 9.5, 21.0), STOCK),
    "a range from stop to stop": (turn(-10.0, 35.0, stops=(-10.0, 35.0)), STOCK),
    "arms from a list": (turn(-15.0, 30.0), DRILLED),
    "a straight one": (turn(-30.0, 30.0, span=(-45.0, 45.0), bend=1.0), STOCK),
    "a slide": (Wish(moves="slide", span=(-40.0, 40.0), shafts=(-40.0, 40.0), joints=(-5.0, 12.0)), STOCK),
    "a slide of three positions": (
        Wish(moves="slide", span=(50.0, -40.0), shafts=(50.0, 0.0, -40.0), joints=(14.0, 2.0, -8.0)), STOCK
    ),
}  # fmt: skip


@pytest.fixture(scope="module", params=WISHES)
def asked(request):
    wish, stock = WISHES[request.param]
    found = linkages_for(wish, stock, HINGE, SLIDES if wish.moves == "slide" else TURNS)
    return wish, stock, found


def rods(found):
    return [each for each in found if each.rod_mm]


def test_every_type_is_found_and_the_list_begins_with_what_pushes_best(asked):
    wish, _, found = asked
    wanted = {"slider_crank"} if wish.moves == "slide" else {"four_bar", "push_rod"}
    if (
        len(wish.joints) > 3
    ):  # more than three are met only nearly, which the place of the servo may not allow
        wanted -= {"push_rod"}
    assert wanted <= {each.type for each in found}
    angles = [each.transmission_deg for each in found]
    assert angles == sorted(angles, reverse=True)
    assert min(angles) >= wish.transmission_deg


def test_a_linkage_retraced_by_its_rod_goes_where_it_is_said_to(asked):
    wish, _, found = asked
    for each in rods(found):
        joint, angle = retraced(each, HINGE, wish.span)
        line = np.linspace(joint[0], joint[-1], len(joint))
        assert (np.diff(joint) * (wish.joints[-1] - wish.joints[0]) > 0.0).all()
        assert [joint.min(), joint.max()] == pytest.approx(each.reach, abs=1e-6)
        assert angle.min() == pytest.approx(each.transmission_deg, abs=0.05)
        assert np.abs(joint - line).max() == pytest.approx(each.straightness, abs=0.01)
        at = np.interp(np.abs(np.array(wish.shafts) - wish.span[0]), *_along(wish, joint))
        np.testing.assert_allclose(at, wish.joints, atol=wish.within + 0.02)


def _along(wish, joint):
    return np.linspace(0.0, abs(wish.span[1] - wish.span[0]), len(joint)), joint


def test_the_reach_contains_the_range_wanted_and_passes_no_hard_stop(asked):
    wish, _, found = asked
    low, high = wish.wanted
    for each in found:
        if wish.stops is None:
            assert each.reach[0] <= low and each.reach[1] >= high
        else:
            assert wish.stops[0] <= each.reach[0] <= low + 0.1 + 1e-9
            assert high - 0.1 - 1e-9 <= each.reach[1] <= wish.stops[1]
        assert each.off <= wish.within
        assert wish.bend is None or each.straightness <= wish.bend


def test_all_lengths_can_be_had_and_are_whole_tenths(asked):
    _, stock, found = asked
    for each in rods(found):
        lengths = {"horns": each.horn_mm, "rods": each.rod_mm}
        lengths |= {"arms": each.arm_mm} if each.type != "slider_crank" else {"offsets": each.linkage.offset}
        lengths |= {"grounds": each.linkage.ground} if each.type == "four_bar" else {}
        for name, length in lengths.items():
            # A push-rod's balls are written to a thousandth of a millimetre.
            assert length == pytest.approx(round(length, 1), abs=2e-3)
            assert getattr(stock, name).away(round(length, 1)) < 1e-9


def test_what_is_offered_is_not_the_same_twice(asked):
    _, _, found = asked
    said = [
        (each.type, each.horn_mm, each.arm_mm, each.rod_mm, round(each.straightness, 2), each.remark)
        for each in found
    ]
    assert len(set(said)) == len(said)


def test_torque_at_the_ends_is_what_the_shaft_turns_through_over_what_the_joint_does(asked):
    wish, _, found = asked
    for each in found:
        joint = each.linkage.position(np.array([wish.span[0], wish.span[0] + 1e-4]), HINGE)
        slope = abs(joint[1] - joint[0]) / 1e-4  # power in is power out
        per = 1.0 / slope if wish.moves == "turn" else 1000.0 / np.degrees(slope)
        assert each.torque[0] == pytest.approx(per, rel=2e-3)


def test_a_linkage_that_stops_short_of_an_end_point_is_none_at_all():
    wish = turn(-10.0, 35.0)
    kept = linkages_for(wish, Stock(), HINGE, ("four_bar",))
    near = [each for each in kept if each.dead_deg is not None]
    assert near
    for each in near:
        beyond = each.dead_deg + 1.0
        wider = turn(-10.0, 35.0, span=(-40.0 - beyond, 40.0 + beyond))
        assert judged(each.linkage, HINGE, wider) is None


def test_a_candidate_that_misses_a_wish_does_not_fit():
    wish = turn(-10.0, 35.0)
    best = linkages_for(wish, Stock(), HINGE, ("four_bar",))[0]
    assert fits(best, wish)
    for other in (
        turn(-10.6, 35.0), turn(-10.0, 35.6), turn(-10.0, 35.0, stops=(-9.9, 90.0)), turn(-10.0, 35.0, bend=0.01),
        turn(-10.0, 35.0, transmission_deg=best.transmission_deg + 0.1), turn(-10.0, 30.0),
    ):  # fmt: skip
        assert not fits(judged(best.linkage, HINGE, other), other)


def test_lengths_are_those_listed_or_any_between():
    listed, between = one_of(8.0, 10.0, 12.5), Sizes(8.0, 20.0)
    np.testing.assert_array_equal(listed.holds(np.array([8.0, 9.0, 12.5])), [True, False, True])
    np.testing.assert_array_equal(
        between.holds(np.array([7.9, 8.0, 13.33, 20.0, 20.1])), [False, True, True, True, False]
    )
    np.testing.assert_allclose(between.near(np.array([13.33, 20.0])), [[13.3, 13.4], [20.0, 20.0]])
    assert between.grid(5)[0] == 8.0 and between.grid(5)[-1] == 20.0
    assert (Sizes(-30.0, 30.0).grid(7) == np.arange(-30.0, 31.0, 10.0)).all()
