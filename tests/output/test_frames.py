"""Node transforms against scipy, half turns included, where the trace of the matrix says nothing."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from posekit.output.gltf.frames import GLTF_FROM_OURS, continuous, parent_from_links, quaternion, translation
from posekit.pipeline import rest


def framed(rotations):
    frames = np.zeros((len(rotations), 4, 4))
    frames[:, :3, :3] = rotations.as_matrix()
    frames[:, 3, 3] = 1
    return frames


@pytest.mark.parametrize(
    "rotations",
    [
        Rotation.random(500, random_state=3),
        Rotation.from_rotvec(np.pi * np.eye(3)),
        Rotation.from_rotvec(np.pi * Rotation.random(200, random_state=4).as_matrix()[:, 0]),
        Rotation.from_rotvec((np.pi - 1e-6) * np.eye(3)),
        Rotation.from_rotvec(1e-9 * np.eye(3)),
    ],
    ids=["random", "half turns about the axes", "half turns", "nearly half turns", "hardly any turn"],
)
def test_a_quaternion_turns_as_its_matrix_does(rotations):
    q = quaternion(framed(rotations))
    np.testing.assert_allclose(np.linalg.norm(q, axis=1), 1.0, atol=2e-9)
    assert (q[:, 3] >= 0).all()
    np.testing.assert_allclose(Rotation.from_quat(q).as_matrix(), rotations.as_matrix(), atol=4e-9)


def test_the_root_turns_front_left_and_up_to_where_gltf_has_them():
    # glTF 2.0, 3.4 (published): +Z front, +X left, +Y up.
    front_left_up = Rotation.from_quat(GLTF_FROM_OURS).apply(np.eye(3))
    np.testing.assert_allclose(front_left_up, [[0, 0, 1], [1, 0, 0], [0, 1, 0]], atol=1e-15)


def test_millimetres_become_metres():
    frame = np.eye(4)
    frame[:3, 3] = (1500.0, -20.0, 0.001)
    assert translation(frame).tolist() == [1.5, -0.02, 0.000001]


def test_signs_follow_on_through_a_full_turn():
    turns = Rotation.from_rotvec(np.linspace(0, 4 * np.pi, 97)[:, None] * (0.0, 0.6, 0.8))
    q = continuous(quaternion(framed(turns)))
    assert (np.einsum("ti,ti->t", q[1:], q[:-1]) > 0.9).all()
    np.testing.assert_allclose(Rotation.from_quat(q).as_matrix(), turns.as_matrix(), atol=4e-9)


def test_parents_times_children_give_the_world_again(demo):
    pose = rest(demo)
    world = np.array([pose.links[link.name] for link in demo.links])
    local = dict(zip(pose.links, parent_from_links(demo, world), strict=True))
    joint_of = {joint.child: joint for joint in (*demo.joints, *demo.fixed)}
    for link in demo.links:
        expected = pose.links[link.name]
        if link.name in joint_of:
            np.testing.assert_allclose(
                pose.links[joint_of[link.name].parent] @ local[link.name], expected, atol=1e-9
            )
        else:
            np.testing.assert_array_equal(local[link.name], expected)
