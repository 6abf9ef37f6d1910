"""Three shafts up one neck: what each does alone and together, and that no work is lost between them."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import posekit
from posekit.linkage import Hinge, NestedShafts
from posekit.mechanism.inverse import turn_joint
from posekit.mechanism.reach import coordinates, joints_at, reach

HINGE = Hinge()
ANGLE = st.floats(-1e3, 1e3)
RATIO = st.floats(0.1, 10.0) | st.floats(-10.0, -0.1)


def shafts_of(nod_ratio: float = 1.0, roll_ratio: float = 1.0) -> NestedShafts:
    return NestedShafts(
        middle="b", inner="c", pan="pan", nod="nod", roll="roll", nod_ratio=nod_ratio, roll_ratio=roll_ratio
    )


@pytest.mark.parametrize(
    ("shafts", "joints"),
    [
        # All three alike carry the head round as one block (a block that turns as a whole, any text book).
        ((30.0, 30.0, 30.0), (30.0, 0.0, 0.0)),
        # The outer alone: its bevel wheels roll back on those that stand, by the inverse of the ratio. The
        # wheel on the nod axis turns -30 and the roll wheel goes with it by what it turns more than nod, -15.
        ((30.0, 0.0, 0.0), (30.0, -15.0, -15.0)),
        ((0.0, 30.0, 0.0), (0.0, 15.0, -15.0)),
        ((0.0, 0.0, 30.0), (0.0, 0.0, 30.0)),
    ],
)
def test_each_shaft_turns_what_the_wheels_say(shafts, joints):
    assert shafts_of(nod_ratio=2.0).position(np.array(shafts), HINGE) == pytest.approx(joints)


@given(shaft=st.tuples(ANGLE, ANGLE, ANGLE), torque=st.tuples(ANGLE, ANGLE, ANGLE), nod=RATIO, roll=RATIO)
def test_the_work_at_the_shafts_is_the_work_at_the_joints(shaft, torque, nod, roll):
    """Virtual work (any text book of mechanics): torques go back by the transpose of the rates."""
    linkage = shafts_of(nod, roll)
    rate = linkage.rate(np.array(shaft), HINGE)
    at_shafts = rate.T @ np.array(torque)
    joint_motion = linkage.position(np.array(shaft), HINGE)
    assert at_shafts @ np.array(shaft) == pytest.approx(np.array(torque) @ joint_motion, rel=1e-9, abs=1e-3)


def test_a_ratio_of_nought_is_told_at_its_key():
    assert [key for key, _ in shafts_of(0.0, 0.0).problems()] == ["nod_ratio", "roll_ratio"]


HEAD = """
format = 1
name = "Head on three shafts"
[servos.plain]
[links.body]
[links.collar]
[links.skull]
[links.face]
[[links.face.shapes]]
box = [40, 30, 50]
at = [30, 0, 20]
[joints.pan]
type = "revolute"
parent = "body"
child = "collar"
[joints.nod]
type = "revolute"
parent = "collar"
child = "skull"
axis = [0, 1, 0]
stops = [-30, 30]
[joints.roll]
type = "revolute"
parent = "skull"
child = "face"
axis = [1, 0, 0]
[drives.outer]
servo = "plain"
address = 1
bits = 16
[drives.outer.linkage]
type = "nested_shafts"
middle = "mid"
inner = "core"
pan = "pan"
nod = "nod"
roll = "roll"
nod_ratio = 2.0
[drives.mid]
servo = "plain"
address = 3
bits = 16
[drives.core]
servo = "plain"
address = 5
bits = 16
"""


def test_a_head_on_three_shafts_goes_through_the_whole_flow(make_prop):
    prop = make_prop(HEAD)
    state = posekit.pose(
        prop, posekit.Snapshot.parse(", ".join(f"1/{address}@255" for address in range(1, 7)))
    )
    assert state.joints == pytest.approx({"pan": 45.0, "nod": 0.0, "roll": 0.0}, abs=1e-9)
    assert "past-stop" in [finding.code for finding in posekit.check(prop)]


def test_values_bring_the_joints_of_three_shafts_where_they_were(make_prop):
    prop = make_prop(HEAD.replace("stops = [-30, 30]\n", ""))
    value = np.random.default_rng(1).integers(0, 65536, (50, 3))
    position = posekit.positions(prop, posekit.pulses(prop, value))
    np.testing.assert_array_equal(posekit.values(prop, position), value)


def test_coordinates_of_three_shafts_pose_as_the_flow_does_and_bound_it(make_prop):
    prop = make_prop(HEAD)
    ways = coordinates(prop)
    value = np.random.default_rng(2).integers(0, 65536, (300, 3))
    pulse = posekit.pulses(prop, value)
    position = posekit.positions(prop, pulse)
    from posekit.signal.calibration import shafts

    np.testing.assert_allclose(joints_at(ways, shafts(prop, pulse)), position, atol=1e-9)
    low, high = reach(prop).T
    assert np.all((position >= low - 1e-9) & (position <= high + 1e-9))


def test_turning_one_joint_of_three_shafts_holds_the_two_others(make_prop):
    prop = make_prop(HEAD)
    start = np.array([40000.0, 30000.0, 20000.0])
    before = posekit.positions(prop, posekit.pulses(prop, start[None]))[0]
    for j, joint in enumerate(("pan", "nod", "roll")):
        found = turn_joint(prop, start, joint, before[j] + 4.0)
        after = posekit.positions(prop, posekit.pulses(prop, found.values[None]))[0]
        assert after - before == pytest.approx(4.0 * np.eye(3)[j], abs=0.01)


@pytest.mark.parametrize(
    ("old", "new", "at"),
    [
        ('inner = "core"', 'inner = "mid"', "drives.outer.linkage.inner"),
        ('inner = "core"', 'inner = "outer"', "drives.outer.linkage.inner"),
        ('roll = "roll"', 'roll = "nod"', "drives.outer.linkage.roll"),
        ("nod_ratio = 2.0", "nod_ratio = 0", "drives.outer.linkage.nod_ratio"),
    ],
)
def test_what_does_not_fit_is_told_at_its_key(make_prop, old, new, at):
    with pytest.raises(posekit.PosekitError) as problem:
        make_prop(HEAD.replace(old, new))
    assert at in [finding.subject for finding in problem.value.findings]
