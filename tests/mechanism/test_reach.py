"""What the pulses can reach, against posing every value."""

from __future__ import annotations

import numpy as np
import pytest

import posekit
from posekit.mechanism.joints import solve, train_of
from posekit.mechanism.reach import (
    coordinate_at,
    coordinate_within,
    coordinates,
    joints_at,
    joints_within,
    reach,
    turning_shafts,
)


def every_value(prop):
    """Joint positions over all values of each drive, one at a time and all together at random; (P, J)."""
    rng = np.random.default_rng(0)
    full = np.array([drive.full_scale for drive in prop.drives])
    rows = [rng.integers(0, full + 1, (4000, len(full)))]
    for d, top in enumerate(full):
        alone = np.repeat([[drive.rest_value for drive in prop.drives]], min(top + 1, 2048), axis=0)
        alone[:, d] = np.linspace(0, top, len(alone)).round()
        rows.append(alone)
    corners = np.array(np.meshgrid(*([0, top] for top in full))).reshape(len(full), -1).T
    values = np.concatenate([*rows, corners])
    return posekit.positions(prop, posekit.pulses(prop, values))


def test_no_value_leaves_the_reach(every_key):
    positions = every_value(every_key)
    low, high = reach(every_key).T
    assert (positions >= low - 1e-9).all()
    assert (positions <= high + 1e-9).all()


def test_the_reach_of_joints_without_turning_points_is_met_by_values(every_key):
    positions = every_value(every_key)
    met = np.stack([positions.min(axis=0), positions.max(axis=0)], axis=1)
    direct = [
        j for j, joint in enumerate(every_key.joints) if joint.name in ("pitch", "roll", "jaw", "hat", "wing")
    ]
    np.testing.assert_allclose(reach(every_key)[direct], met[direct], atol=1e-9)


INLINE = np.degrees(np.arccos((60**2 + 80**2 - 40**2) / (2 * 60 * 80)))
STRETCHED = 180 - np.degrees(np.arccos((40**2 + 60**2 - 80**2) / (2 * 40 * 60)))


@pytest.mark.parametrize("shaft_deg", [8.41, 0.0, -44.96, -44.9999, 44.96])
def test_a_turning_point_between_two_values_is_within_reach(make_prop, arm_text, shaft_deg):
    """Rocker of a crank-rocker: farthest out where crank and coupler lie in line, also close to an end point.

    Cosine rule in the triangle (crank + coupler, rocker, ground): common practice.
    """
    prop = make_prop(
        arm_text.replace("stops = [-80, 80]", "")
        + '\n[drives.shoulder.linkage]\ntype = "four_bar"\ncrank = 20.0\ncoupler = 60.0\nrocker = 40.0\nground = 60.0\n'
        + f"shaft_zero = {INLINE - shaft_deg}\njoint_zero = 0.0\n"
    )
    assert reach(prop)[0, 0] == pytest.approx(STRETCHED, abs=1e-9)
    assert every_value(prop).min() > STRETCHED - 1e-9


def test_coordinates_give_the_joints_that_values_give(every_key):
    ways = coordinates(every_key)
    rng = np.random.default_rng(1)
    u = ways.span[:, 0] + rng.random((500, len(ways.span))) * np.ptp(ways.span, axis=1)
    wanted = u @ ways.slope.T + ways.offset
    values = posekit.values(every_key, wanted)
    posed = posekit.positions(every_key, posekit.pulses(every_key, values))
    step = np.ptp(ways.span, axis=1) @ np.abs(ways.slope).T
    assert (np.abs(joints_at(ways, u) - posed) <= step / 60).all()


def test_joints_within_a_box_stay_within_its_intervals(every_key):
    ways = coordinates(every_key)
    rng = np.random.default_rng(2)
    ends = ways.span[:, 0] + rng.random((2, 50, len(ways.span))) * np.ptp(ways.span, axis=1)
    low, high = ends.min(axis=0), ends.max(axis=0)
    within = joints_within(ways, low, high)
    for _ in range(50):
        position = joints_at(ways, low + rng.random(low.shape) * (high - low))
        assert (position >= within[..., 0] - 1e-9).all()
        assert (position <= within[..., 1] + 1e-9).all()


def test_a_range_over_a_turning_point_at_a_stop_reaches_the_stop(make_prop, arm_text):
    """A crank-rocker that would turn back beyond a hard stop stands at the stop all the way between."""
    prop = make_prop(
        arm_text.replace("stops = [-80, 80]", "stops = [108, 180]")
        + '\n[drives.shoulder.linkage]\ntype = "four_bar"\ncrank = 20.0\ncoupler = 60.0\nrocker = 40.0\nground = 60.0\n'
        + "shaft_zero = 38.0\njoint_zero = 0.0\n"
    )
    shaft = np.array([[-45.0, 45.0]])
    turns = turning_shafts(prop, 0, -45.0, 45.0)
    sampled = coordinate_at(prop, 0, np.linspace(-45.0, 45.0, 5001))
    assert sampled.min() == 108.0
    np.testing.assert_allclose(
        coordinate_within(prop, train_of(prop, 0), shaft, turns), [[sampled.min(), sampled.max()]], atol=1e-6
    )


def test_a_chain_of_followers_reaches_what_its_positions_reach(make_prop, arm_text):
    chain = """
[links.b]
[links.c]
[joints.b]
type = "revolute"
parent = "arm"
child = "b"
follow = {joint = "shoulder", ratio = 0.5, offset = 10.0}
[joints.c]
type = "revolute"
parent = "b"
child = "c"
follow = {joint = "b", ratio = -2.0, offset = 3.0}
"""
    prop = make_prop(arm_text + chain)
    positions = posekit.positions(prop, [[1000.0], [2000.0]])
    np.testing.assert_allclose(reach(prop), np.sort(positions, axis=0).T, atol=1e-9)
    ways = coordinates(prop)
    np.testing.assert_allclose(joints_at(ways, positions[:, :1]), positions, atol=1e-9)


def test_a_follower_of_a_differential_stops_where_its_leader_does(make_prop):
    """The leader's stops cut what its two shafts ask together, which the span of neither shows."""
    prop = make_prop(NODDING)
    ways = coordinates(prop)
    shaft = ways.span[:, 0] + np.random.default_rng(3).random((400, 2)) * np.ptp(ways.span, axis=1)
    position = solve(prop, shaft).position
    np.testing.assert_allclose(joints_at(ways, shaft), position, atol=1e-12)
    assert (position[:, 2] == 17.0).any()
    assert reach(prop)[2].tolist() == [-8.0, 17.0]


NODDING = """
format = 1
name = "Nodding"
[servos.plain]
[links.body]
[links.collar]
[links.head]
[links.brow]
[joints.pitch]
type = "revolute"
parent = "body"
child = "collar"
stops = [-10, 15]
[joints.roll]
type = "revolute"
parent = "collar"
child = "head"
[joints.brow]
type = "revolute"
parent = "head"
child = "brow"
follow = {joint = "pitch", ratio = -1.0, offset = 7.0}
[drives.left]
servo = "plain"
address = 1
linkage = {type = "differential", partner = "right", sum = "pitch", difference = "roll"}
[drives.right]
servo = "plain"
address = 2
"""
