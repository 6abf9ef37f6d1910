"""Arcs on which a linkage closes, against a dense sampling of what they describe."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from posekit.linkage.arcs import EVERYWHERE, around, cosine_between, nearest_angle, not_negative, whole_turns

FACTOR = st.floats(-3.0, 3.0)
FINE = np.linspace(-180.0, 180.0, 3601)


def covered(arcs, angles):
    """True where an angle lies in an arc, full turns apart."""
    inside = np.zeros(len(angles), bool)
    for start, end in arcs:
        if np.isinf(start):
            return ~inside
        inside |= (angles - start) % 360.0 <= end - start
    return inside


@given(low=st.floats(-2.0, 2.0), high=st.floats(-2.0, 2.0))
def test_a_cosine_lies_between_its_bounds_on_the_arcs_and_nowhere_else(low, high):
    cosine = np.cos(np.radians(FINE))
    sure = np.minimum(np.abs(cosine - low), np.abs(cosine - high)) > 1e-9
    expected = (low <= cosine) & (cosine <= high)
    np.testing.assert_array_equal(covered(cosine_between(low, high), FINE)[sure], expected[sure])


@given(constant=FACTOR, first=st.tuples(FACTOR, FACTOR), second=st.tuples(FACTOR, FACTOR))
def test_a_trigonometric_polynomial_is_positive_on_its_arcs_and_nowhere_else(constant, first, second):
    one, two = complex(*first), complex(*second)
    polynomial = np.array([two.conjugate(), one.conjugate(), constant, one, two])
    phase = np.exp(1j * np.radians(FINE))
    value = constant + 2 * (one * phase).real + 2 * (two * phase**2).real
    sure = np.abs(value) > 1e-9 * (1 + np.abs(polynomial).sum())
    np.testing.assert_array_equal(covered(not_negative(polynomial), FINE)[sure], value[sure] > 0)


def test_a_polynomial_that_only_touches_zero_ends_its_arc_there():
    one_minus_cosine = np.array([0.0, -0.5, 1.0, -0.5, 0.0], complex)
    ((start, end),) = not_negative(one_minus_cosine)
    assert (start, end) == pytest.approx((-360.0, 0.0), abs=1e-6) or (start, end) == pytest.approx(
        (0.0, 360.0), abs=1e-6
    )


def test_the_arc_around_an_angle_is_counted_from_that_angle():
    arcs = ((10.0, 50.0), (200.0, 300.0))
    assert around(arcs, at=30.0) == (-20.0, 20.0)
    assert around(arcs, at=30.0 + 720.0) == (-20.0, 20.0)
    assert around(arcs, at=-100.0) == (-60.0, 40.0)


def test_without_an_arc_around_an_angle_the_nearest_is_taken():
    arcs = ((10.0, 50.0), (200.0, 300.0))
    assert around(arcs, at=60.0) == (-50.0, -10.0)
    assert around(arcs, at=190.0) == (10.0, 110.0)
    assert around(arcs, at=-30.0) == (-130.0, -30.0)
    assert np.isnan(around((), at=0.0)).all()
    assert around((EVERYWHERE,), at=12.0) == EVERYWHERE


def test_the_nearest_angle_of_an_arc_is_zero_or_an_end():
    assert nearest_angle((-5.0, 9.0)) == 0.0
    assert nearest_angle((3.0, 9.0)) == 3.0
    assert nearest_angle((-9.0, -3.0)) == -3.0


@given(angle=st.floats(-1e6, 1e6))
def test_an_angle_less_its_whole_turns_lies_within_half_a_turn(angle):
    assert -180.0 < angle - whole_turns(angle) <= 180.0
    assert whole_turns(angle) % 360.0 == 0.0
