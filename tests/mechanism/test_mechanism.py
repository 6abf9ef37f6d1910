"""What is held of a prop gives the poses that are found without it, one at a time or thousands at once."""

from __future__ import annotations

import numpy as np
import pytest

import posekit
from posekit.mechanism import joints, kinematics
from posekit.mechanism.joints import mechanism_of, solve
from posekit.mechanism.kinematics import forward, tree_of


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
    ):
        monkeypatch.setattr(module, name, None)
    monkeypatch.setattr(kinematics, "tree_of", None)
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
