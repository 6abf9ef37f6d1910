"""What is held of a prop gives the poses that are found without it, one at a time or thousands at once."""

from __future__ import annotations

import numpy as np
import pytest

import posekit
from posekit.mechanism import joints, kinematics
from posekit.mechanism.joints import mechanism_of, solve, trains
from posekit.mechanism.kinematics import forward, tree_of
from posekit.signal import calibration


def test_a_held_mechanism_gives_the_same_pose_to_the_last_bit(demo: posekit.Prop) -> None:
    values = [drive.full_scale // 3 for drive in demo.drives]
    held, anew = posekit.pose_at(demo, values, mechanism=mechanism_of(demo)), posekit.pose_at(demo, values)
    assert (held.joints, held.findings) == (anew.joints, anew.findings)
    for link, matrix in anew.links.items():
        np.testing.assert_array_equal(held.links[link], matrix)


def test_a_held_mechanism_is_all_that_a_pose_needs(
    demo: posekit.Prop, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = mechanism_of(demo)
    for module, name in (
        (joints, "trains"),
        (joints, "stop_limits"),
        (joints, "followers"),
        (joints, "tree_of"),
        (joints, "calibration_of"),
        (calibration, "calibration_of"),
        (kinematics, "tree_of"),
    ):
        monkeypatch.setattr(module, name, None)
    assert set(posekit.pose_at(demo, [0] * len(demo.drives), mechanism=made).links) == {
        link.name for link in demo.links
    }


def test_poses_do_not_depend_on_how_many_are_asked_for_at_once(
    demo: posekit.Prop, monkeypatch: pytest.MonkeyPatch
) -> None:
    rng = np.random.default_rng(3)
    shafts = rng.uniform(-60.0, 60.0, (50, len(demo.drives)))
    position = solve(demo, shafts, mechanism_of(demo)).position
    whole = forward(demo, position, tree_of(demo))
    assert whole.shape == (50, len(demo.links), 4, 4)
    one_by_one = np.concatenate([forward(demo, row[None]) for row in position])
    monkeypatch.setattr(kinematics, "BLOCK", 7)
    np.testing.assert_allclose(one_by_one, whole, rtol=0, atol=1e-9)
    np.testing.assert_allclose(forward(demo, position), whole, rtol=0, atol=1e-9)
    assert forward(demo, position[:0]).shape == (0, len(demo.links), 4, 4)


def test_all_linkages_at_once_put_each_joint_where_its_own_does(demo: posekit.Prop) -> None:
    shafts = np.random.default_rng(5).uniform(-120.0, 120.0, (40, len(demo.drives)))
    found, own = solve(demo, shafts), trains(demo)
    assert {d for train in own for d in train.drives} == set(range(len(demo.drives)))
    for train in own:
        held = np.clip(shafts[:, list(train.drives)], *train.closes)
        np.testing.assert_array_equal(found.held[:, list(train.drives)], held)
        wanted = train.linkage.position(held[:, 0] if len(train.drives) == 1 else held, train.hinge)
        np.testing.assert_array_equal(
            found.wanted[:, list(train.joints)], wanted.reshape(-1, len(train.joints))
        )


def test_linkages_left_out_leave_their_shafts_as_they_are_and_their_joints_at_0(demo: posekit.Prop) -> None:
    shafts = np.full((2, len(demo.drives)), 400.0)
    (first, *others) = trains(demo)
    found = solve(demo, shafts, mechanism_of(demo, [first]))
    for train in others:
        np.testing.assert_array_equal(found.held[:, list(train.drives)], shafts[:, list(train.drives)])
        assert not found.wanted[:, list(train.joints)].any()
