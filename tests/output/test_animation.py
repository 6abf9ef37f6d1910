"""The animated GLB, sampled as a viewer samples it: slerp between keys, then down the chain of nodes."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from posekit.errors import PosekitError
from posekit.mechanism.kinematics import forward
from posekit.output import gltf
from posekit.output.gltf.animation import increasing_float32


def sampled(found, time):
    """gltf_from_node (4, 4) by name of node at a time [s], by glTF 2.0, 3.11 and appendix C: LINEAR is slerp."""
    at = {}
    for channel in found.document.animations[0].channels:
        sampler = found.document.animations[0].samplers[channel.sampler]
        keys, values = found.numbers(sampler.input)[:, 0], found.numbers(sampler.output)
        after = int(np.clip(np.searchsorted(keys, time), 1, len(keys) - 1))
        share = np.clip((time - keys[after - 1]) / (keys[after] - keys[after - 1]), 0, 1)
        a, b = values[after - 1].astype(float), values[after].astype(float)
        if channel.target.path == "rotation":
            at[channel.target.node, "rotation"] = trimesh.transformations.quaternion_slerp(a, b, share)
        else:
            at[channel.target.node, "translation"] = a + (b - a) * share
    frames = {}

    def descend(index, gltf_from_parent):
        node = found.document.nodes[index]
        rotation = at.get((index, "rotation"), node.rotation or (0, 0, 0, 1))
        frame = trimesh.transformations.quaternion_matrix(np.roll(rotation, 1))
        frame[:3, 3] = at.get((index, "translation"), node.translation or (0, 0, 0))
        frames[node.name] = gltf_from_parent @ frame
        for child in node.children:
            descend(child, frames[node.name])

    descend(0, np.eye(4))
    return frames


def test_at_every_key_and_halfway_between_the_links_stand_where_forward_says(
    demo, opened, assert_stands, wander
):
    times, positions = wander(demo, 9)
    found = opened(gltf.animate(demo, times, positions))
    for time in np.linspace(times[0], times[-1], 17):
        at = [[np.interp(time, times, column) for column in positions.T]]
        frames = sampled(found, time)
        for link, expected in zip(demo.links, forward(demo, at)[0], strict=True):
            assert_stands(frames[link.name], expected)


def test_a_moving_demo_prop_draws_no_error_and_no_warning_from_the_validator(
    demo, demo_pose, validate, wander
):
    times, positions = wander(demo, 40)
    assert validate(gltf.animate(demo, times, positions)) == []
    assert validate(gltf.animate(demo, times, positions, demo_pose)) == []


def test_a_turn_of_more_than_half_a_circle_goes_the_long_way(crane, opened, assert_stands):
    turns = np.array([[0.0, 0.0, 0.0], [700.0, 0.0, 0.0]])
    found = opened(gltf.animate(crane, [0.0, 2.0], turns))
    for share in (0.1, 0.3, 0.5, 0.9):
        frames = sampled(found, 2.0 * share)
        for link, expected in zip(crane.links, forward(crane, turns[1:] * share)[0], strict=True):
            assert_stands(frames[link.name], expected)


def test_following_quaternions_lie_on_one_side(crane, opened):
    turns = np.linspace(-720, 720, 50)[:, None] * (1.0, 0.5, 0.0)
    found = opened(gltf.animate(crane, np.arange(50.0), turns))
    for sampler in found.document.animations[0].samplers:
        q = found.numbers(sampler.output)
        assert (np.einsum("ti,ti->t", q[1:], q[:-1]) > 0).all()


def test_only_nodes_that_move_have_channels(crane, opened):
    positions = np.array([[5.0, 10.0, 20.0], [5.0, 30.0, 40.0]])
    found = opened(gltf.animate(crane, [0.0, 1.0], positions))
    targets = {
        (found.document.nodes[channel.target.node].name, channel.target.path)
        for channel in found.document.animations[0].channels
    }
    assert targets == {("boom", "rotation"), ("trolley", "translation")}


def test_without_motion_there_is_no_animation(crane, validate, opened):
    glb = gltf.animate(crane, [0.0, 1.0], np.full((2, 3), 12.0))
    assert opened(glb).document.animations == []
    assert validate(glb) == []
    assert opened(gltf.animate(crane, [0.5], [[1.0, 2.0, 3.0]])).document.animations == []


def test_the_nodes_stand_in_the_given_state_and_else_at_the_first_frame(crane, crane_pose, opened):
    positions = np.array([[5.0, 10.0, 20.0], [50.0, 30.0, 40.0]])
    first = opened(gltf.animate(crane, [0.0, 1.0], positions)).document
    given = opened(gltf.animate(crane, [0.0, 1.0], positions, crane_pose)).document
    posed = opened(gltf.encode(crane, crane_pose)).document
    assert [node.rotation for node in given.nodes] == [node.rotation for node in posed.nodes]
    assert first.nodes[2].extras["joint"]["position"] == 5.0


def test_times_that_one_float32_cannot_tell_apart_still_rise(crane, validate, opened):
    times = 1000.0 + np.arange(60) * 1e-6
    positions = np.arange(60.0)[:, None] * (0.1, 0.1, 0.1)
    glb = gltf.animate(crane, times, positions)
    found = opened(glb)
    clock = found.numbers(found.document.animations[0].samplers[0].input)[:, 0]
    assert len(clock) == 60
    assert (np.diff(clock) > 0).all()
    assert validate(glb) == []


def test_float32_times_are_moved_no_further_than_they_must():
    given = np.array([0.0, 1e-50, 0.25, 1.0, 1.0 + 1e-9, 1.0 + 2e-9, 7.0])
    written = increasing_float32(given)
    assert (np.diff(written) > 0).all()
    assert written[[0, 2, 3, 6]].tolist() == [0.0, 0.25, 1.0, 7.0]
    assert np.abs(written - given).max() <= 2 * np.spacing(np.float32(1.0))


@pytest.mark.parametrize(
    ("times", "rows", "said"),
    [
        ([0.0, 0.0], 2, "rise strictly"),
        ([-1.0, 0.0], 2, "start at 0 s"),
        ([0.0, np.nan], 2, "finite"),
        ([0.0, 1.0], 3, "give (T, J) = (2, 3)"),
        ([], 0, "at least one"),
    ],
)
def test_times_and_positions_that_make_no_animation_are_told(crane, times, rows, said):
    with pytest.raises(PosekitError) as told:
        gltf.animate(crane, times, np.zeros((rows, 3)))
    assert said in str(told.value)


def test_positions_that_are_not_finite_are_told(crane):
    with pytest.raises(PosekitError, match="positions: must be finite"):
        gltf.animate(crane, [0.0, 1.0], [[0, 0, 0], [0, np.inf, 0]])


@pytest.mark.parametrize(
    ("times", "positions", "said"),
    [
        (["soon", 1.0], np.zeros((2, 3)), "times: are not an array of numbers"),
        ([0.0, 1.0], [[0, 0, 0], ["left", 0, 0]], "positions: are not an array of numbers"),
        ([0.0, 1.0], [[0, 0, 0], [0]], "positions: are not an array of numbers"),
        (
            [0.0, 1.0],
            [[0, 0, 0], [1e300, 0, 0]],
            "positions: go as far as 1e+300; use 1000000 deg or mm at most",
        ),
        ([0.0, 1.0], [[0, 0, 0], [0, 0, -2e6]], "positions: go as far as 2000000"),
        ([0.0, 1e300], np.zeros((2, 3)), "times: must be finite"),
    ],
)
def test_what_is_no_table_of_numbers_or_is_beyond_any_prop_is_told(crane, times, positions, said):
    with pytest.raises(PosekitError) as told:
        gltf.animate(crane, times, positions)
    assert said in str(told.value)


def test_equal_motions_give_equal_bytes(crane, wander):
    times, positions = wander(crane, 40)
    assert gltf.animate(crane, times, positions) == gltf.animate(crane, times, positions)
