"""Direct, gear and differential: linkages that are a sum and a factor."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from posekit.linkage import Differential, Direct, Gear, Hinge

HINGE = Hinge()
SHAFTS = np.array([[-90.0], [0.0], [12.5], [180.0]])
ANGLE = st.floats(-1e4, 1e4)


def test_a_direct_joint_is_the_shaft_angle_plus_its_offset():
    np.testing.assert_array_equal(Direct(offset=-3.5).position(SHAFTS, HINGE), SHAFTS - 3.5)
    np.testing.assert_array_equal(Direct().rate(SHAFTS, HINGE), np.ones((4, 1)))


@pytest.mark.parametrize(
    ("ratio", "joints"), [(2.0, [-35.0, 10.0, 16.25, 100.0]), (-0.5, [190.0, 10.0, -15.0, -350.0])]
)
def test_a_gear_divides_the_shaft_angle_by_its_ratio_and_a_negative_one_reverses(ratio, joints):
    gear = Gear(ratio=ratio, offset=10.0)
    np.testing.assert_array_equal(gear.position(SHAFTS, HINGE)[:, 0], joints)
    np.testing.assert_array_equal(gear.rate(SHAFTS, HINGE), np.full((4, 1), 1 / ratio))


def test_a_gear_ratio_of_zero_is_a_problem_and_no_other_is():
    assert [where for where, _ in Gear(ratio=0.0).problems()] == ["ratio"]
    assert Gear(ratio=-1e-3).problems() == ()


def test_the_differential_moves_its_joints_as_the_published_cases_say(mechanisms):
    known = mechanisms["differential"]
    differential = Differential(partner="b", sum="pitch", difference="roll")
    for actuators, joints in known["positions"]:
        shafts = np.array(actuators) / known["actuator_reduction"]
        position = differential.position(shafts, HINGE) / known["joint_reduction"]
        np.testing.assert_allclose(position, joints, rtol=1e-15)


@given(a=ANGLE, b=ANGLE)
def test_the_shafts_of_a_differential_are_sum_and_difference_of_its_joints(a, b):
    differential = Differential(partner="b", sum="pitch", difference="roll")
    total, difference = differential.position(np.array([a, b]), HINGE)
    assert [total + difference, total - difference] == pytest.approx([a, b], abs=1e-9)
