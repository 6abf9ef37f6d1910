"""`posekit.gltf`: the GLB as a file, whole or not at all."""

from __future__ import annotations

import pytest

import posekit
from posekit.output import gltf


def test_the_file_holds_the_encoded_pose(crane, crane_pose, tmp_path):
    posekit.gltf.write(crane, crane_pose, tmp_path / "pose.glb")
    assert (tmp_path / "pose.glb").read_bytes() == gltf.encode(crane, crane_pose)


def test_the_file_of_a_motion_holds_the_encoded_motion(crane, crane_pose, wander, tmp_path):
    times, positions = wander(crane, 9)
    posekit.gltf.write_motion(crane, times, positions, str(tmp_path / "motion.glb"), crane_pose)
    assert (tmp_path / "motion.glb").read_bytes() == gltf.animate(crane, times, positions, crane_pose)


def test_a_motion_that_cannot_be_written_leaves_the_old_file(crane, tmp_path):
    place = tmp_path / "motion.glb"
    place.write_bytes(b"old")
    with pytest.raises(posekit.PosekitError):
        posekit.gltf.write_motion(crane, [1.0, 0.0], [[0, 0, 0], [1, 1, 1]], place)
    assert place.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [place]


def test_a_place_that_cannot_be_written_is_told(crane, crane_pose, tmp_path):
    (tmp_path / "taken").write_bytes(b"")
    with pytest.raises(posekit.PosekitError, match="cannot be written"):
        posekit.gltf.write(crane, crane_pose, tmp_path / "taken" / "pose.glb")
