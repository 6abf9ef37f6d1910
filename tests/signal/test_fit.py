"""From measured pairs to servo points: against numpy's own least squares and pairs whose fault is known."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from posekit.errors import PosekitError
from posekit.prop.model import Servo
from posekit.signal.calibration import shaft_angle
from posekit.signal.fit import fit

PULSES = np.arange(600.0, 2401.0, 200.0)


def codes(found):
    return [(finding.level, finding.code) for finding in found.findings]


def test_pairs_on_a_line_give_that_line_themselves_and_nothing_to_tell():
    angles = 0.09 * (PULSES - 1500.0) + 2.5
    found = fit(np.stack([PULSES, angles], axis=-1))
    assert (found.slope, found.neutral_deg) == pytest.approx((0.09, 2.5), abs=1e-12)
    np.testing.assert_allclose(found.residuals_deg, 0.0, atol=1e-12)
    np.testing.assert_allclose(found.points, np.stack([PULSES, angles], axis=-1), rtol=1e-15)
    assert found.findings == () and found.outliers == ()


def test_the_line_is_the_least_squares_line_of_numpy():
    random = np.random.default_rng(3)
    pulses = random.uniform(600.0, 2400.0, 30)
    angles = -0.1 * (pulses - 1500.0) + random.normal(0.0, 0.8, 30)
    found = fit(np.stack([pulses, angles], axis=-1))
    assert found.outliers == ()
    slope, at_neutral = np.polyfit(pulses - 1500.0, angles, 1)
    assert (found.slope, found.neutral_deg) == pytest.approx((slope, at_neutral), rel=1e-10)
    off = angles - np.polyval((slope, at_neutral), pulses - 1500.0)
    np.testing.assert_allclose(found.residuals_deg, off, atol=1e-9)


@pytest.mark.parametrize("wrong", [0, 4, 9])
def test_a_misread_pair_is_told_and_moves_neither_line_nor_points(wrong):
    random = np.random.default_rng(wrong)
    good = 0.09 * (PULSES - 1500.0) + random.uniform(-0.4, 0.4, len(PULSES))
    misread = good.copy()
    misread[wrong] += 10.0
    found = fit(np.stack([PULSES, misread], axis=-1), subject="servos.standard.points")
    assert found.outliers == (wrong,)
    assert codes(found) == [("warning", "outlier")]
    assert found.findings[0].subject == "servos.standard.points"
    assert f"pair {wrong + 1}," in found.findings[0].message
    others = np.delete(np.stack([PULSES, good], axis=-1), wrong, axis=0)
    np.testing.assert_allclose(found.points, others, rtol=1e-15)
    assert found.slope == pytest.approx(fit(others).slope, rel=1e-12)
    assert found.residuals_deg[wrong] == pytest.approx(10.0, abs=1.0)


def test_a_gentle_bend_is_no_outlier():
    angles = 0.09 * (PULSES - 1500.0) + 4.0 * np.sin((PULSES - 1500.0) / 300.0)
    assert fit(np.stack([PULSES, angles], axis=-1)).findings == ()


def test_pairs_at_the_same_pulse_count_as_their_mean():
    found = fit([(1000, -46), (1000, -44), (1500, 1), (1500, -1), (2000, 45)])
    assert found.points == ((1000.0, -45.0), (1500.0, 0.0), (2000.0, 45.0))


def test_a_curve_that_turns_back_is_told_and_its_points_are_made_one():
    found = fit([(1000, -45), (1200, -30), (1400, -6), (1500, -9), (1600, 6), (1800, 30), (2000, 45)])
    assert codes(found) == [("warning", "turns-back")]
    assert "back by 3.0 degrees from 1400 to 1500 µs" in found.findings[0].message
    assert (1450.0, -7.5) in found.points
    assert len(found.points) == 6


def test_a_falling_curve_turns_back_where_it_rises():
    found = fit([(1000, 45), (1200, 30), (1400, 6), (1500, 9), (1600, -6), (1800, -30), (2000, -45)])
    assert codes(found) == [("warning", "turns-back")]
    assert (1450.0, 7.5) in found.points


def test_a_shaft_that_stands_still_for_a_while_is_noted():
    found = fit([(1000, -45), (1250, -22), (1490, 0), (1510, 0), (1750, 22), (2000, 45)])
    assert codes(found) == [("note", "stands-still")]
    assert (1500.0, 0.0) in found.points


def test_the_worst_of_several_places_is_told_once():
    found = fit([(1000, -42), (1100, -43), (1400, -6), (1500, -9), (1600, 6), (1800, 30), (2000, 45)])
    assert codes(found) == [("warning", "turns-back")]
    assert "back by 3.0 degrees from 1400 to 1500 µs (2 places in all" in found.findings[0].message


def test_few_pairs_are_noted_and_none_is_called_wrong():
    found = fit([(1000, -45), (1500, 30), (2000, 45)])
    assert codes(found) == [("note", "too-few-points")]
    assert found.outliers == ()
    assert len(found.points) == 3


@pytest.mark.parametrize(
    ("measured", "code"),
    [
        ([], "too-few-points"),
        ([(1500, 0)], "too-few-points"),
        ([(1500, 0), (1500, 1)], "too-few-points"),
        ([(1000, 1, 2), (2000, 2, 3)], "wrong-points"),
        ([(1000, 0), (2000, float("nan"))], "wrong-points"),
        ([("a", "b"), ("c", "d")], "wrong-points"),
        ([(1000, 0), (2000,)], "wrong-points"),
        (7.0, "wrong-points"),
        ([(1000, 5), (1500, 5), (2000, 5)], "no-turn"),
        ([(1500, 0), (1500, 0), (1500, 0), (2000, 90), (2000, -90)], "no-turn"),
    ],
)
def test_pairs_that_give_no_line_are_an_error(measured, code):
    with pytest.raises(PosekitError) as caught:
        fit(measured)
    assert [(finding.level, finding.code) for finding in caught.value.findings] == [("error", code)]


@pytest.mark.parametrize(
    "pair",
    [(-2000, 0), (0, 0), (1e308, 0), (10_001, 0), (float("nan"), 0), (1500, float("inf")), (1500, 1e308)],
)
def test_a_pair_no_bench_gives_is_told_by_its_place(pair):
    with pytest.raises(PosekitError, match=r"points: pair 2: found a(n angle| pulse) of .*; use "):
        fit([(1000, -45), pair, (2000, 45)])


@given(st.lists(st.tuples(st.integers(500, 2500), st.integers(-135, 135)), min_size=2, max_size=40))
def test_the_points_of_any_fit_are_ones_a_servo_takes(measured):
    try:
        found = fit(measured)
    except PosekitError as problem:
        assert problem.findings[0].code in ("too-few-points", "no-turn")
        return
    pulses, angles = np.array(found.points).T
    assert (np.diff(pulses) > 0).all()
    steps = np.diff(angles)
    assert (steps > 0).all() or (steps < 0).all()
    servo = Servo(name="measured", points=found.points)
    np.testing.assert_allclose(shaft_angle(pulses, servo), angles, atol=1e-9)
    assert len(found.residuals_deg) == len(measured)


@given(order=st.permutations(range(10)))
def test_the_order_in_which_one_measures_does_not_matter(order):
    random = np.random.default_rng(1)
    measured = np.stack([PULSES, 0.09 * (PULSES - 1500.0) + random.normal(0.0, 0.3, 10)], axis=-1)
    measured[3, 1] += 20.0
    plain, shuffled = fit(measured), fit(measured[list(order)])
    assert shuffled.points == plain.points
    assert shuffled.slope == pytest.approx(plain.slope, rel=1e-12)
    np.testing.assert_allclose(shuffled.residuals_deg, plain.residuals_deg[list(order)], atol=1e-9)
