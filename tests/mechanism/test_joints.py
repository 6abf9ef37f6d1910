"""Shafts to joints: linkages in place, holding where they cannot close, hard stops, followers."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

import posekit
from posekit.mechanism.joints import solve, solve_alone, trains


def column(prop: posekit.Prop, name: str) -> int:
    return [joint.name for joint in prop.joints].index(name)


def test_a_differential_moves_sum_and_difference(every_key: posekit.Prop) -> None:
    shafts = np.zeros((1, len(every_key.drives)))
    shafts[0, :2] = 10.0, 4.0
    position = solve(every_key, shafts).position[0]
    assert position[column(every_key, "pitch")] == 7.0
    assert position[column(every_key, "roll")] == 3.0


def test_a_gear_divides_and_a_negative_ratio_reverses(every_key: posekit.Prop) -> None:
    shafts = np.zeros((1, len(every_key.drives)))
    shafts[0, 5] = 30.0
    assert solve(every_key, shafts).position[0, column(every_key, "ear")] == 30.0 / -2.0 + 1.0


def test_a_follower_goes_with_the_drawn_position_of_its_leader(every_key: posekit.Prop) -> None:
    position = posekit.positions(
        every_key, posekit.pulses(every_key, np.full((1, len(every_key.drives)), 50.0))
    )[0]
    jaw, hat = position[column(every_key, "jaw")], position[column(every_key, "hat")]
    assert hat == pytest.approx(-0.5 * jaw + 3.0, abs=1e-12)


def test_a_position_past_a_stop_is_drawn_at_the_stop_and_told(make_prop: Callable, arm_text: str) -> None:
    prop = make_prop(arm_text.replace("stops = [-80, 80]", "stops = [-30, 80]"))
    state = posekit.pose(prop, posekit.Snapshot({(1, 1): 0}))
    assert state.joints["shoulder"] == -30.0
    assert state.shafts["shoulder"] == -45.0
    (finding,) = state.findings
    assert finding.code == "past-stop" and "push 15.00 deg" in finding.message


def test_a_linkage_that_cannot_close_holds_at_its_last_angle_and_tells(
    make_prop: Callable, arm_text: str
) -> None:
    # crank 60, coupler 40, rocker 50, ground 100: closes for crank angles up to 62.720387264 degrees
    # (computed by the cosine rule; R. L. Norton, Design of Machinery, ch. 4, has the toggle formula, from memory)
    bars = (
        '[drives.shoulder.linkage]\ntype = "four_bar"\ncrank = 60\ncoupler = 40\nrocker = 50\nground = 100\n'
    )
    prop = make_prop(arm_text.replace("stops = [-80, 80]\n", "") + bars + "shaft_zero = 40.0\n")
    state = posekit.pose(prop, posekit.Snapshot({(1, 1): 255}))
    (finding,) = state.findings
    assert (finding.level, finding.code, finding.subject) == ("error", "linkage-open", "shoulder")
    held = solve(prop, np.array([[62.720387264 - 40.0 - 1e-9]])).position[0, 0]
    assert state.joints["shoulder"] == pytest.approx(held, abs=1e-3)


def test_a_joint_without_drive_or_leader_stays_at_nought(make_prop: Callable, arm_text: str) -> None:
    prop = make_prop(arm_text[: arm_text.index("[drives.shoulder]")])
    assert posekit.positions(prop, np.zeros((2, 0))).tolist() == [[0.0], [0.0]]
    assert "undriven" in [finding.code for finding in posekit.check(prop)]


def test_a_chain_of_followers_is_solved_leaders_first(make_prop: Callable, arm_text: str) -> None:
    more = """
[links.b]
[links.c]
[joints.c]
type = "revolute"
parent = "b"
child = "c"
follow = {joint = "b", ratio = 2.0}
[joints.b]
type = "revolute"
parent = "arm"
child = "b"
follow = {joint = "shoulder", ratio = 0.5, offset = 1.0}
"""
    prop = make_prop(arm_text + more)
    position = posekit.positions(prop, posekit.pulses(prop, [[255.0]]))[0]
    assert position.tolist() == [45.0, 2 * (45.0 * 0.5 + 1.0), 45.0 * 0.5 + 1.0]


def test_a_follower_stays_with_a_leader_held_at_its_stop(make_prop: Callable, arm_text: str) -> None:
    hand = """
[links.hand]
[joints.hand]
type = "revolute"
parent = "arm"
child = "hand"
follow = {joint = "shoulder", ratio = 2.0}
"""
    prop = make_prop(arm_text.replace("stops = [-80, 80]", "stops = [-30, 30]") + hand)
    assert posekit.positions(prop, [[1000.0], [2000.0]]).tolist() == [[-30.0, -60.0], [30.0, 60.0]]


@pytest.mark.parametrize("low_stop", [True, False])
def test_a_push_against_either_stop_is_told(make_prop: Callable, arm_text: str, low_stop: bool) -> None:
    prop = make_prop(arm_text.replace("stops = [-80, 80]", "stops = [-30, 30]"))
    state = posekit.pose(prop, posekit.Snapshot({(1, 1): 0 if low_stop else 255}))
    side = "-" if low_stop else ""
    (finding,) = state.findings
    assert f"asked for {side}45.00 deg, the hard stop is at {side}30 deg" in finding.message


def test_gears_and_a_shaft_itself_may_move_a_slide(make_prop: Callable, arm_text: str) -> None:
    slide = arm_text.replace('"revolute"', '"prismatic"')
    rack = slide + '[drives.shoulder.linkage]\ntype = "gear"\nratio = 3.0\noffset = 1.0\n'
    assert posekit.positions(make_prop(slide), [[2000.0]]).tolist() == [[45.0]]
    assert posekit.positions(make_prop(rack), [[2000.0]]).tolist() == [[45.0 / 3.0 + 1.0]]


def test_a_drive_of_a_demo_prop_alone_moves_what_it_moves_among_all(demo: posekit.Prop) -> None:
    holds_alone(demo)


def test_a_drive_of_several_alone_moves_what_it_moves_among_all(every_key: posekit.Prop) -> None:
    holds_alone(every_key)


def test_a_follower_of_a_leader_that_a_stop_holds_goes_with_what_is_drawn(
    make_prop: Callable, every_key: posekit.Prop
) -> None:
    near = every_key.text.replace("[joints.jaw]\n", "[joints.jaw]\nstops = [-1.0, 1.0]\n")
    holds_alone(make_prop(near))


def holds_alone(prop: posekit.Prop) -> None:
    """Law: what `solve_alone` finds of a drive `solve` finds as well, and nothing else moves."""
    turned = np.linspace(-100.0, 100.0, 41)
    for train in trains(prop):
        for d in train.drives:
            shafts = np.zeros((len(turned), len(prop.drives)))
            shafts[:, d] = turned
            among_all = solve(prop, shafts).wanted
            moved, wanted = solve_alone(prop, train, d, turned)
            np.testing.assert_array_equal(wanted, among_all[:, moved])
            stays = np.delete(among_all, moved, axis=1)
            assert (stays == stays[0]).all()
