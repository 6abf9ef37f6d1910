"""The inverse: positions to the nearest values that exist."""

from __future__ import annotations

from collections.abc import Callable

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


def test_of_the_values_that_reach_one_position_the_nearest_to_the_middle_is_taken(
    make_prop: Callable, arm_text: str
) -> None:
    # -30 degrees are 1500 - 30 / 0.09 us, and the pulse is 1000 us + value x 500 / 128 us: from value 42.67 down
    # the arm stands at one stop, from 128 + (1833.33 - 1500) x 127 / 500 = 212.67 up at the other.
    prop = make_prop(arm_text.replace("stops = [-80, 80]", "stops = [-30, 30]"))
    beyond = [[-45.0], [-30.0], [30.0], [45.0]]
    found = posekit.values(prop, beyond)
    assert found.tolist() == [[42.0], [42.0], [213.0], [213.0]]
    assert posekit.residual(prop, beyond, found).tolist() == [[15.0], [0.0], [0.0], [-15.0]]


def test_a_differential_past_the_stop_of_one_joint_keeps_the_other(every_key: posekit.Prop) -> None:
    pitch, roll = (
        next(j for j, each in enumerate(every_key.joints) if each.name == name) for name in ("pitch", "roll")
    )
    prop = posekit.edit(every_key, "joints.pitch.stops", [-10.0, 10.0])
    wanted = posekit.positions(prop, [[1500.0] * len(prop.drives)])
    wanted[0, [pitch, roll]] = 40.0, 5.0
    reached = posekit.positions(prop, posekit.pulses(prop, posekit.values(prop, wanted)))[0]
    assert reached[pitch] == pytest.approx(10.0, abs=0.2)
    assert reached[roll] == pytest.approx(5.0, abs=0.2)
