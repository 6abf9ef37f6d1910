"""The inverse: positions to the nearest values that exist."""

from __future__ import annotations

import numpy as np
import pytest

import posekit


def test_the_nearest_value_is_no_farther_than_either_neighbour(arm: posekit.Prop) -> None:
    wanted = np.linspace(-44.0, 44.0, 200)[:, None]
    found = posekit.values(arm, wanted)
    left = np.abs(posekit.residual(arm, wanted, found))
    for neighbour in (np.clip(found - 1, 0, 255), np.clip(found + 1, 0, 255)):
        assert np.all(left <= np.abs(posekit.residual(arm, wanted, neighbour)) + 1e-12)


def test_a_position_out_of_reach_gives_the_nearest_end_and_the_residual_says_so(arm: posekit.Prop) -> None:
    found = posekit.values(arm, [[70.0], [-70.0]])
    assert found.tolist() == [[255.0], [0.0]]
    assert posekit.residual(arm, [[70.0], [-70.0]], found).tolist() == [[-25.0], [25.0]]


def test_every_value_of_every_demo_drive_comes_back_to_its_position(demo: posekit.Prop) -> None:
    rng = np.random.default_rng(7)
    full = np.array([drive.full_scale for drive in demo.drives])
    values = rng.integers(0, full + 1, (50, len(full))).astype(float)
    positions = posekit.positions(demo, posekit.pulses(demo, values))
    found = posekit.values(demo, positions)
    assert np.all((found >= 0) & (found <= full) & (found == np.rint(found)))
    driven = [j for j, joint in enumerate(demo.joints) if joint.follow is None]
    assert posekit.residual(demo, positions, found)[:, driven] == pytest.approx(0.0, abs=1e-9)
