"""The offset slider-crank against Norton's worked example, its stroke and its own loop."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from posekit.linkage import Hinge, SliderCrank

HINGE = Hinge()
LENGTH = st.floats(5.0, 200.0)


def norton(mechanisms: dict[str, Any], **changes: Any) -> SliderCrank:
    """The published slider-crank; its shaft angle is the crank angle, its joint the slide position."""
    bars = {name: mechanisms["slider_crank"][name] for name in ("crank", "coupler", "offset")}
    return SliderCrank(**bars | {"joint_zero": 0.0} | changes)


@pytest.mark.parametrize("branch", ["open", "crossed"])
def test_the_published_slider_crank_stands_at_the_solved_slide_position(mechanisms, branch):
    known = mechanisms["slider_crank"]
    slide = norton(mechanisms, branch=branch).position(np.array([known["crank_angle"]]), HINGE)
    assert slide == pytest.approx([known[branch]], abs=1e-8)


def test_a_slide_in_line_with_the_shaft_stands_at_the_solved_position(mechanisms):
    known = mechanisms["slider_crank"]
    slide = norton(mechanisms, offset=0.0).position(np.array([known["crank_angle"]]), HINGE)
    assert slide == pytest.approx([known["in_line_open"]], abs=1e-9)


def test_the_stroke_of_a_full_turn_ends_where_crank_and_coupler_are_in_line(mechanisms):
    slider = norton(mechanisms)
    assert slider.closes(HINGE) == (-np.inf, np.inf)
    slide = slider.position(np.linspace(0.0, 360.0, 36001), HINGE)
    assert [slide.min(), slide.max()] == pytest.approx(mechanisms["slider_crank"]["stroke_ends"], abs=1e-5)


def test_shaft_zero_and_joint_zero_shift_the_motion_and_nothing_else(mechanisms):
    shaft = np.linspace(-90.0, 90.0, 37)
    shifted = norton(mechanisms, shaft_zero=60.0, joint_zero=126.8).position(shaft, HINGE)
    plain = norton(mechanisms).position(shaft + 60.0, HINGE)
    np.testing.assert_allclose(shifted, plain - 126.8, atol=1e-11, rtol=0)


@pytest.mark.parametrize("branch", ["open", "crossed"])
def test_a_slider_crank_without_joint_zero_has_its_joint_at_zero_at_shaft_zero(mechanisms, branch):
    left_out = {"joint_zero": None, "shaft_zero": 60.0, "branch": branch}
    shaft = np.linspace(-90.0, 90.0, 37)
    by_itself = norton(mechanisms, **left_out).position(shaft, HINGE)
    assert by_itself[18] == 0.0
    given = norton(mechanisms, **left_out | {"joint_zero": mechanisms["slider_crank"][branch]})
    np.testing.assert_allclose(by_itself, given.position(shaft, HINGE), atol=1e-8, rtol=0)


def test_the_transmission_angle_is_ninety_where_the_coupler_lies_along_the_slide():
    slider = SliderCrank(crank=40.0, coupler=120.0)
    angles = slider.transmission_angle(np.array([0.0, 90.0, 180.0]), HINGE)
    assert angles == pytest.approx([90.0, np.degrees(np.arccos(40.0 / 120.0)), 90.0], abs=1e-9)


def test_a_short_coupler_closes_between_its_dead_points():
    slider = SliderCrank(crank=50.0, coupler=30.0, offset=0.0, joint_zero=0.0)
    start, end = slider.closes(HINGE)
    limit = np.degrees(np.arcsin(30.0 / 50.0))
    assert (start, end) == pytest.approx((-limit, limit))
    at_the_ends = slider.position(np.array([start, end]), HINGE)
    np.testing.assert_allclose(at_the_ends, 40.0, atol=1e-5)
    assert (
        abs(slider.crank * np.sin(np.radians(end + 0.1))) > slider.coupler
    )  # beyond, the coupler is too short
    np.testing.assert_allclose(slider.transmission_angle(np.array([start, end]), HINGE), 0.0, atol=1e-5)


def test_the_other_interval_is_taken_where_the_crank_points_away():
    slider = SliderCrank(crank=50.0, coupler=30.0, shaft_zero=170.0)
    limit = np.degrees(np.arcsin(30.0 / 50.0))
    assert slider.closes(HINGE) == pytest.approx((10.0 - limit, 10.0 + limit))


def test_an_offset_out_of_reach_is_a_problem_and_closes_nowhere():
    assert SliderCrank(crank=20.0, coupler=30.0, offset=-49.9).problems() == ()
    for offset in (50.0, -51.0):
        slider = SliderCrank(crank=20.0, coupler=30.0, offset=offset)
        assert [where for where, _ in slider.problems()] == ["offset"]
    assert np.isnan(slider.closes(HINGE)).all()


@given(
    crank=LENGTH,
    coupler=LENGTH,
    offset=st.floats(-200.0, 200.0),
    zero=st.floats(-180.0, 180.0),
    branch=st.sampled_from(["open", "crossed"]),
)
def test_every_slider_crank_closes_its_loop_on_its_branch(crank, coupler, offset, zero, branch):
    bars = {"crank": crank, "coupler": coupler, "offset": offset}
    slider = SliderCrank(**bars, shaft_zero=zero, branch=branch, joint_zero=0.0)
    assume(not slider.problems())
    start, end = np.clip(slider.closes(HINGE), -400.0, 400.0)
    shaft = np.linspace(start, end, 500)
    slide = slider.position(shaft, HINGE)
    pin = crank * np.exp(1j * np.radians(zero + shaft))
    np.testing.assert_allclose(np.abs(slide + 1j * offset - pin), coupler, atol=1e-4)
    ahead = slide - pin.real
    assert (ahead >= 0).all() if branch == "open" else (ahead <= 0).all()


@given(crank=LENGTH, coupler=LENGTH, offset=st.floats(-200.0, 200.0), along=st.floats(0.05, 0.95))
def test_the_rate_of_every_slider_crank_is_the_slope_of_its_position(crank, coupler, offset, along):
    slider = SliderCrank(crank=crank, coupler=coupler, offset=offset)
    assume(not slider.problems())
    start, end = np.clip(slider.closes(HINGE), -180.0, 180.0)
    shaft = np.array([start + along * (end - start)])
    assume(slider.transmission_angle(shaft, HINGE)[0] > 5.0)
    step = 1e-4
    slope = (slider.position(shaft + step, HINGE) - slider.position(shaft - step, HINGE)) / (2 * step)
    np.testing.assert_allclose(slider.rate(shaft, HINGE), slope, rtol=1e-4, atol=1e-6)
