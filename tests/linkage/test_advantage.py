"""Mechanical advantage and what is said of a poor transmission angle."""

from __future__ import annotations

import numpy as np
import pytest

from posekit.linkage import FourBar, Gear, Hinge
from posekit.linkage.advantage import mechanical_advantage, transmission_findings

HINGE = Hinge()


def test_the_mechanical_advantage_of_the_published_four_bar_is_its_torque_ratio(mechanisms):
    bars = {name: mechanisms["four_bar"][name] for name in ("crank", "coupler", "rocker", "ground")}
    rate = FourBar(**bars).rate(np.array([mechanisms["four_bar"]["crank_angle"]]), HINGE)
    known = mechanisms["four_bar"]["recomputed"]["torque_ratio_open"]
    assert mechanical_advantage(rate) == pytest.approx([known], abs=1e-9)


def test_a_gear_multiplies_the_torque_by_its_ratio():
    rate = Gear(ratio=-4.0).rate(np.zeros(3), HINGE)
    np.testing.assert_array_equal(mechanical_advantage(rate), [-4.0] * 3)


def test_a_joint_that_stands_still_has_an_infinite_advantage_and_a_dead_point_none():
    np.testing.assert_array_equal(mechanical_advantage(np.array([0.0, np.inf])), [np.inf, 0.0])


def test_the_limits_are_those_of_the_handbook(mechanisms):
    rules = mechanisms["transmission"]
    for limit, level_below, level_at in (
        (rules["note_below"], ["note"], []),
        (rules["warning_below"], ["warning"], ["note"]),
    ):
        for angle, levels in ((limit, level_at), (limit - 0.01, level_below)):
            found = transmission_findings("jaw", np.array([80.0, angle, np.nan]))
            assert [finding.level for finding in found] == levels
            assert all(finding.code == "transmission-angle" and finding.subject == "jaw" for finding in found)


def test_a_linkage_without_a_rod_has_no_finding():
    assert transmission_findings("jaw", np.full(4, np.nan)) == ()
