"""The planar four-bar against Norton's worked example, Freudenstein's equation and its own loop."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from posekit.linkage import FourBar, Hinge

HINGE = Hinge()
LENGTH = st.floats(5.0, 200.0)
ANGLE = st.floats(-180.0, 180.0)


def norton(mechanisms: dict[str, Any], **changes: Any) -> FourBar:
    """The published four-bar; its shaft angle is the crank angle, its joint the rocker angle."""
    bars = {name: mechanisms["four_bar"][name] for name in ("crank", "coupler", "rocker", "ground")}
    return FourBar(**bars | {"joint_zero": 0.0} | changes)


def coupler_length(four_bar: FourBar, shaft_deg: np.ndarray, joint_deg: np.ndarray) -> np.ndarray:
    """Distance [mm] from crank pin to rocker pin, from the two angles alone."""
    crank = np.radians(four_bar.shaft_zero + shaft_deg)
    rocker = np.radians(four_bar.joint_zero + joint_deg)
    crank_pin = four_bar.crank * np.exp(1j * crank)
    return np.abs(four_bar.ground + four_bar.rocker * np.exp(1j * rocker) - crank_pin)


@pytest.mark.parametrize("branch", ["open", "crossed"])
def test_the_published_four_bar_stands_at_the_published_rocker_angle(mechanisms, branch):
    published = mechanisms["four_bar"]
    rocker = norton(mechanisms, branch=branch).position(np.array([published["crank_angle"]]), HINGE)
    assert rocker == pytest.approx([published[branch]], abs=1e-11)


def test_the_published_four_bar_follows_its_table_through_a_full_turn(mechanisms):
    table = np.array(mechanisms["four_bar"]["recomputed"]["table"])
    rocker = norton(mechanisms).position(table[:, 0], HINGE)
    np.testing.assert_allclose(rocker, table[:, 2], atol=6e-7, rtol=0)


def test_the_crossed_branch_mirrors_the_open_one(mechanisms):
    crank = np.linspace(0.0, 360.0, 73)
    opened = norton(mechanisms).position(crank, HINGE)
    crossed = norton(mechanisms, branch="crossed").position(360.0 - crank, HINGE)
    np.testing.assert_allclose(crossed, -opened, atol=1e-11, rtol=0)


def test_the_published_four_bar_has_the_published_rate_torque_and_transmission_angle(mechanisms):
    known = mechanisms["four_bar"]["recomputed"]
    four_bar, crank = norton(mechanisms), np.array([mechanisms["four_bar"]["crank_angle"]])
    assert four_bar.rate(crank, HINGE) == pytest.approx([known["rate_open"]], abs=1e-10)
    assert 1 / four_bar.rate(crank, HINGE) == pytest.approx([known["torque_ratio_open"]], abs=1e-9)
    assert four_bar.transmission_angle(crank, HINGE) == pytest.approx([known["transmission_angle"]], abs=1e-6)
    at_the_ground_line = four_bar.transmission_angle(np.array([0.0, 180.0]), HINGE)
    assert at_the_ground_line == pytest.approx(
        [known["transmission_at_0"], known["transmission_at_180"]], abs=1e-6
    )


def test_three_points_give_back_freudensteins_constants(mechanisms):
    known = mechanisms["four_bar"]["recomputed"]["freudenstein"]
    crank = np.array([45.0, 90.0, 135.0])
    rocker = norton(mechanisms).position(crank, HINGE)
    in_out = np.radians(np.stack([crank, rocker]))
    terms = np.stack([np.cos(in_out[1]), -np.cos(in_out[0]), np.ones(3)], axis=-1)
    constants = np.linalg.solve(terms, np.cos(in_out[0] - in_out[1]))
    np.testing.assert_allclose(constants, known, rtol=1e-12)


def test_the_rocker_turns_back_at_its_published_limits(mechanisms):
    limits = np.array(mechanisms["four_bar"]["recomputed"]["rocker_limits"])
    four_bar = norton(mechanisms)
    np.testing.assert_allclose(four_bar.position(limits[:, 0], HINGE), limits[:, 1], atol=1e-6, rtol=0)
    np.testing.assert_allclose(four_bar.rate(limits[:, 0], HINGE), 0.0, atol=1e-7)
    everywhere = four_bar.position(np.linspace(0.0, 360.0, 7201), HINGE)
    assert everywhere.min() == pytest.approx(limits[:, 1].min(), abs=1e-6)
    assert everywhere.max() == pytest.approx(limits[:, 1].max(), abs=1e-6)


@pytest.mark.parametrize("case", [0, 1])
@pytest.mark.parametrize("branch", ["open", "crossed"])
def test_a_triple_rocker_closes_up_to_its_dead_points(mechanisms, case, branch):
    dead = mechanisms["four_bar"]["dead_points"][case]
    four_bar = FourBar(
        **dict(zip(("crank", "coupler", "rocker", "ground"), dead["lengths"], strict=True)),
        branch=branch,
        joint_zero=0.0,
    )
    start, end = four_bar.closes(HINGE)
    assert (start, end) == pytest.approx((-dead["limit"], dead["limit"]), abs=1e-8)
    inside = four_bar.position(np.array([start, end]), HINGE)
    assert np.isfinite(inside).all()
    beyond = np.array([start - 0.1, end + 0.1])  # where no answer of the rocker keeps the coupler's length
    assert (
        np.abs(coupler_length(four_bar, beyond, four_bar.position(beyond, HINGE)) - four_bar.coupler) > 1e-3
    ).all()
    at_the_dead_points = four_bar.transmission_angle(np.array([start, end]), HINGE)
    np.testing.assert_allclose(at_the_dead_points, 0.0, atol=1e-5)


def test_shaft_zero_and_joint_zero_shift_the_angles_and_nothing_else(mechanisms):
    plain = norton(mechanisms)
    shifted = norton(mechanisms, shaft_zero=40.0, joint_zero=57.0)
    shaft = np.linspace(-90.0, 90.0, 37)
    expected = plain.position(shaft + 40.0, HINGE) - 57.0
    np.testing.assert_allclose(shifted.position(shaft, HINGE), expected, atol=1e-11, rtol=0)


@pytest.mark.parametrize("branch", ["open", "crossed"])
def test_a_four_bar_without_joint_zero_has_its_joint_at_zero_at_shaft_zero(mechanisms, branch):
    left_out, shaft = {"joint_zero": None, "shaft_zero": 40.0, "branch": branch}, np.linspace(-90.0, 90.0, 37)
    by_itself = norton(mechanisms, **left_out).position(shaft, HINGE)
    assert by_itself[18] == 0.0
    given = norton(mechanisms, **left_out | {"joint_zero": mechanisms["four_bar"][branch]})
    np.testing.assert_allclose(by_itself, given.position(shaft, HINGE), atol=1e-11, rtol=0)


def test_without_joint_zero_a_crank_that_cannot_close_at_shaft_zero_has_joint_zero_where_it_first_does():
    four_bar = FourBar(crank=60.0, coupler=40.0, rocker=50.0, ground=100.0, shaft_zero=100.0)
    start, end = four_bar.closes(HINGE)
    assert end < 0.0
    assert four_bar.position(np.array([end]), HINGE) == pytest.approx([0.0], abs=1e-9)
    assert abs(four_bar.position(np.array([start]), HINGE)[0]) > 1.0


def test_a_drag_link_turns_its_rocker_through_full_turns_without_a_jump():
    drag_link = FourBar(crank=80.0, coupler=60.0, rocker=70.0, ground=25.0, shaft_zero=30.0)
    shaft = np.linspace(-720.0, 720.0, 14401)
    joint = drag_link.position(shaft, HINGE)
    assert np.abs(np.diff(joint)).max() < 0.5
    assert joint[-1] - joint[0] == pytest.approx(4 * 360.0, abs=1e-9)


def test_a_parallelogram_copies_the_crank_up_to_its_change_points():
    parallelogram = FourBar(
        crank=20.0, coupler=60.0, rocker=20.0, ground=60.0, shaft_zero=90.0, joint_zero=90.0
    )
    start, end = parallelogram.closes(HINGE)
    assert (start, end) == pytest.approx((-90.0, 90.0))
    shaft = np.linspace(-89.0, 89.0, 179)
    np.testing.assert_allclose(parallelogram.position(shaft, HINGE), shaft, atol=1e-9, rtol=0)


def test_a_kite_closes_between_the_two_angles_at_which_its_rocker_is_free():
    kite = FourBar(crank=50.0, coupler=30.0, rocker=30.0, ground=50.0, shaft_zero=30.0, joint_zero=0.0)
    start, end = kite.closes(HINGE)
    reach = np.degrees(2 * np.arcsin(60.0 / 100.0))  # the diagonal is 2 x 30 mm there
    assert (start, end) == pytest.approx((-30.0, reach - 30.0))
    shaft = np.linspace(start + 1e-6, end, 200)
    joint = kite.position(shaft, HINGE)
    np.testing.assert_allclose(coupler_length(kite, shaft, joint), 30.0, atol=1e-9)


def test_a_crank_at_an_angle_that_does_not_close_is_told_the_nearest_that_does():
    four_bar = FourBar(crank=60.0, coupler=40.0, rocker=50.0, ground=100.0, shaft_zero=100.0)
    start, end = four_bar.closes(HINGE)
    assert end == pytest.approx(62.720387264 - 100.0, abs=1e-8)
    assert start == pytest.approx(-62.720387264 - 100.0, abs=1e-8)


@pytest.mark.parametrize("longest", ["crank", "coupler", "rocker", "ground"])
def test_a_bar_longer_than_all_others_together_is_a_problem_of_that_bar(longest):
    lengths = dict.fromkeys(("crank", "coupler", "rocker", "ground"), 20.0)
    assert FourBar(**lengths).problems() == ()
    too_long = FourBar(**lengths | {longest: 60.0})
    assert [where for where, _ in too_long.problems()] == [longest]
    assert "= 60: " in too_long.problems()[0][1]
    assert FourBar(**lengths | {longest: 59.9}).problems() == ()
    out_of_reach = FourBar(**lengths | {longest: 61.0})
    assert np.isnan(out_of_reach.closes(HINGE)).all()


@given(a=LENGTH, b=LENGTH, c=LENGTH, d=LENGTH, zero=ANGLE, branch=st.sampled_from(["open", "crossed"]))
def test_every_four_bar_closes_its_loop_without_a_jump(a, b, c, d, zero, branch):
    four_bar = FourBar(
        crank=a, coupler=b, rocker=c, ground=d, shaft_zero=zero, joint_zero=90.0, branch=branch
    )
    assume(not four_bar.problems())
    start, end = np.clip(four_bar.closes(HINGE), -400.0, 400.0)
    shaft = np.linspace(start, end, 2001)
    joint = four_bar.position(shaft, HINGE)
    assert np.isfinite(joint).all()
    np.testing.assert_allclose(coupler_length(four_bar, shaft, joint), b, atol=1e-5)
    inside = shaft[(shaft > start) & (shaft < end)]
    rate = np.abs(four_bar.rate(inside, HINGE))
    # A step of the rocker is its rate times the step of the shaft; near a dead point that is a square root.
    step = np.abs(np.diff(four_bar.position(inside, HINGE)))
    allowed = (shaft[1] - shaft[0]) * np.maximum(rate[:-1], rate[1:]) * 3 + 1.0
    assert (step <= allowed).all()
    at_rest = four_bar.position(np.array(min(max(start, 0.0), end)), HINGE)
    assert -180.0 <= at_rest <= 180.0


@given(a=LENGTH, b=LENGTH, c=LENGTH, d=LENGTH, along=st.floats(0.05, 0.95))
def test_the_rate_of_every_four_bar_is_the_slope_of_its_position(a, b, c, d, along):
    four_bar = FourBar(crank=a, coupler=b, rocker=c, ground=d)
    assume(not four_bar.problems())
    start, end = np.clip(four_bar.closes(HINGE), -180.0, 180.0)
    shaft = np.array([start + along * (end - start)])
    assume(four_bar.transmission_angle(shaft, HINGE)[0] > 5.0)
    step = 1e-4
    slope = (four_bar.position(shaft + step, HINGE) - four_bar.position(shaft - step, HINGE)) / (2 * step)
    np.testing.assert_allclose(four_bar.rate(shaft, HINGE), slope, rtol=1e-4, atol=1e-6)
