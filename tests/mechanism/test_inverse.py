"""From a wish to values: a joint at a position, a point at a target."""

from __future__ import annotations

import numpy as np
import pytest

import posekit
from posekit.mechanism.inverse import reach_point, turn_joint
from posekit.mechanism.tree import root_link


def positions_at(prop: posekit.Prop, values: np.ndarray) -> np.ndarray:
    return posekit.positions(prop, posekit.pulses(prop, np.atleast_2d(values)))[0]


def point_at(prop: posekit.Prop, values: np.ndarray, link: str, grip: np.ndarray) -> np.ndarray:
    row = [each.name for each in prop.links].index(link)
    frame = posekit.forward(prop, positions_at(prop, values)[None])[0, row]
    return frame[:3, :3] @ grip + frame[:3, 3]


def rest_values(prop: posekit.Prop) -> np.ndarray:
    return np.array([drive.rest_value for drive in prop.drives], float)


def random_values(prop: posekit.Prop, rng: np.random.Generator) -> np.ndarray:
    return np.array([rng.integers(drive.full_scale + 1) for drive in prop.drives], float)


def outer_links(prop: posekit.Prop) -> list[str]:
    carried = {joint.parent for joint in (*prop.joints, *prop.fixed)}
    return [link.name for link in prop.links if link.name not in carried]


def test_every_joint_that_a_drive_moves_is_turned_to_any_position_a_value_gives(demo: posekit.Prop) -> None:
    rng = np.random.default_rng(7)
    for j, joint in enumerate(demo.joints):
        wanted = positions_at(demo, random_values(demo, rng))[j]
        found = turn_joint(demo, rest_values(demo), joint.name, wanted)
        # A joint may have its own place in another's movement; the differential's two share their steps.
        assert found.off <= 0.51, joint.name
        assert positions_at(demo, found.values)[j] == pytest.approx(wanted, abs=0.51)


def test_turning_a_joint_leaves_the_drives_of_others_alone(demo: posekit.Prop) -> None:
    start = rest_values(demo)
    drive = demo.drives[0]
    joint = next(joint for joint in demo.joints if joint.name == drive.joint)
    found = turn_joint(demo, start, joint.name, positions_at(demo, start)[demo.joints.index(joint)] + 5.0)
    changed = {demo.drives[d].name for d in np.flatnonzero(found.values != start)}
    assert changed == {drive.name}


def test_a_joint_turned_past_its_reach_stands_at_its_end_and_the_rest_is_told(arm: posekit.Prop) -> None:
    found = turn_joint(arm, rest_values(arm), "shoulder", 60.0)
    assert found.values.tolist() == [255.0]
    assert found.off == pytest.approx(15.0)
    assert found.limits == ("shoulder",)


def test_a_follower_is_turned_by_the_drive_of_its_leader(every_key: posekit.Prop) -> None:
    follower = next(joint for joint in every_key.joints if joint.follow)
    j = every_key.joints.index(follower)
    wanted = positions_at(every_key, rest_values(every_key) + 9.0)[j]
    found = turn_joint(every_key, rest_values(every_key), follower.name, wanted)
    assert positions_at(every_key, found.values)[j] == pytest.approx(wanted, abs=0.5)


def test_a_point_goes_where_another_pose_had_it(demo: posekit.Prop) -> None:
    # The target is where the point stood in some pose, so it can be reached. What is left is the width of a
    # value step, which at the end of a long arm is some millimetres with eight bits.
    rng = np.random.default_rng(11)
    gaps = []
    for link in outer_links(demo):
        grip = rng.normal(0.0, 40.0, 3)
        near = np.clip(
            rest_values(demo) * rng.uniform(0.8, 1.2, len(demo.drives)),
            0,
            [d.full_scale for d in demo.drives],
        )
        target = point_at(demo, np.rint(near), link, grip)
        found = reach_point(demo, rest_values(demo), link, grip, target)
        gap = np.linalg.norm(point_at(demo, found.values, link, grip) - target)
        assert found.off == pytest.approx(gap)
        gaps.append(gap)
    assert max(gaps) < 8.0
    assert np.median(gaps) < 3.0


def test_a_target_beyond_reach_is_neared_as_far_as_no_single_value_betters(arm: posekit.Prop) -> None:
    grip, target = np.array([0.0, 0.0, 100.0]), np.array([500.0, 0.0, 300.0])
    found = reach_point(arm, rest_values(arm), "arm", grip, target)
    best = min(np.linalg.norm(point_at(arm, np.array([value]), "arm", grip) - target) for value in range(256))
    assert found.off == pytest.approx(best, rel=1e-9)


def test_values_stay_within_their_drives_whatever_is_asked(demo: posekit.Prop) -> None:
    full = np.array([drive.full_scale for drive in demo.drives])
    for target in np.random.default_rng(5).normal(0.0, 2000.0, (6, 3)):
        found = reach_point(demo, rest_values(demo), outer_links(demo)[0], np.zeros(3), target)
        assert np.all((found.values >= 0) & (found.values <= full))
        assert np.array_equal(found.values, np.rint(found.values))


def test_only_the_joints_named_are_moved(demo: posekit.Prop) -> None:
    start = rest_values(demo)
    drive = demo.drives[0]
    assert drive.joint is not None
    link = next(joint.child for joint in demo.joints if joint.name == drive.joint)
    target = point_at(demo, start, link, np.array([30.0, 20.0, 40.0])) + np.array([5.0, -20.0, 10.0])
    found = reach_point(demo, start, link, np.array([30.0, 20.0, 40.0]), target, joints=(drive.joint,))
    assert set(np.flatnonzero(found.values != start)) <= {0}


def test_the_root_cannot_be_moved(demo: posekit.Prop) -> None:
    found = reach_point(demo, rest_values(demo), root_link(demo), np.zeros(3), np.array([10.0, 0.0, 0.0]))
    assert found.values.tolist() == rest_values(demo).tolist()
    assert found.off == 10.0


def test_unknown_names_are_refused(arm: posekit.Prop) -> None:
    with pytest.raises(posekit.PosekitError, match="elbow"):
        turn_joint(arm, rest_values(arm), "elbow", 0.0)
    with pytest.raises(posekit.PosekitError, match="hand"):
        reach_point(arm, rest_values(arm), "hand", np.zeros(3), np.zeros(3))


def test_turning_a_joint_leaves_values_that_others_could_stand_for_alone(every_key: posekit.Prop) -> None:
    # 255 and what lies a little below it both press the ear against its stop, so the inverse would choose anew
    prop = posekit.edit(every_key, "joints.ear.stops", [-5.0, 5.0])
    ear = [drive.name for drive in prop.drives].index("ear")
    start = rest_values(prop)
    start[ear] = prop.drives[ear].full_scale
    found = turn_joint(prop, start, "jaw", 10.0)
    changed = {prop.drives[d].name for d in np.flatnonzero(found.values != start)}
    assert changed == {"jaw"}


NODDING_HEAD = """
format = 1
name = "Nodding head"
[servos.plain]
[links.body]
[links.collar]
[links.head]
[joints.pitch]
type = "revolute"
parent = "body"
child = "collar"
at = [0, 0, 100]
axis = [0, 1, 0]
[joints.roll]
type = "revolute"
parent = "collar"
child = "head"
axis = [1, 0, 0]
[drives.left]
servo = "plain"
address = 1
bits = 16
linkage = {type = "differential", partner = "right", sum = "pitch", difference = "roll"}
[drives.right]
servo = "plain"
address = 3
bits = 16
"""


@pytest.mark.parametrize(("named", "held"), [("pitch", 1), ("roll", 0)])
def test_the_joint_of_a_differential_that_was_not_named_is_held(make_prop, named: str, held: int) -> None:
    prop = make_prop(NODDING_HEAD)
    start = np.array([30000.0, 38000.0])
    before = positions_at(prop, start)
    grip = np.array([60.0, 10.0, 30.0])
    for shift in np.random.default_rng(3).normal(0.0, 15.0, (8, 3)):
        target = point_at(prop, start, "head", grip) + shift
        found = reach_point(prop, start, "head", grip, target, joints=(named,))
        after = positions_at(prop, found.values)
        assert abs(after[1 - held] - before[1 - held]) > 0.1  # it did turn
        assert after[held] == pytest.approx(before[held], abs=0.002)  # half a 16-bit step of each drive


def test_a_differential_at_the_end_of_one_drive_stops_and_does_not_twist(make_prop) -> None:
    prop = make_prop(NODDING_HEAD)
    start = np.array([60000.0, 38000.0])  # the left shaft is near its end; the right has far to go
    before = positions_at(prop, start)
    found = turn_joint(prop, start, "pitch", before[0] + 30.0)
    after = positions_at(prop, found.values)
    assert found.limits == ("left",)
    assert after[1] == pytest.approx(before[1], abs=0.002)
    assert found.off == pytest.approx(before[0] + 30.0 - after[0])
    target = point_at(prop, start, "head", np.array([80.0, 0.0, 0.0])) - np.array([0.0, 0.0, 60.0])
    far = reach_point(prop, start, "head", np.array([80.0, 0.0, 0.0]), target, joints=("pitch",))
    assert positions_at(prop, far.values)[1] == pytest.approx(before[1], abs=0.002)
    assert far.limits == ("left",)


def test_a_joint_off_the_way_to_the_part_is_held_too(make_prop) -> None:
    """Both shafts move pitch and roll; the collar is carried by pitch alone."""
    prop = make_prop(NODDING_HEAD)
    start = np.array([32768.0, 32768.0])
    before = positions_at(prop, start)
    found = reach_point(prop, start, "collar", np.array([50.0, 0.0, 0.0]), np.array([48.0, 0.0, 88.0]))
    after = positions_at(prop, found.values)
    assert abs(after[0] - before[0]) > 5.0
    assert after[1] == pytest.approx(before[1], abs=0.002)
