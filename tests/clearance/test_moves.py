"""First strikes along real motion, against posing the motion at many instants and against closed forms."""

from __future__ import annotations

import numpy as np
import pytest

import posekit
from posekit.clearance.moves import Course, along, boxes_during
from posekit.mechanism.joints import solve, trains
from posekit.mechanism.reach import coordinate_at, turning_shafts
from posekit.motion import follow
from posekit.report.move import between, course_of


def test_a_wand_strikes_a_post_when_its_angle_is_the_tangent(make_prop, wand_text):
    """From -45 deg, 120 deg/s and 600 deg/s2: tangent at asin((radius + 2) / 60) before 0; textbook trapezoid."""
    tangent = np.degrees(np.arcsin(7.0 / 60.0))
    passed = 45.0 - tangent
    expected = 0.2 + (passed - 12.0) / 120.0
    (verdict,) = between(make_prop(wand_text), [0], [255])
    assert verdict.verdict == "strikes"
    assert verdict.at_s == pytest.approx(expected, abs=1e-3)
    assert verdict.values["wand"] == pytest.approx(255 * passed / 90, abs=1.0)


def test_a_thin_post_that_no_frame_shows_is_met_all_the_same(make_prop, wand_text):
    """A post and wand that overlap for 4 ms on the way, between two frames 25 ms apart."""
    (verdict,) = between(make_prop(wand_text.replace("radius = 5", "radius = 0.01")), [0], [255])
    assert verdict.verdict == "strikes"


def test_a_move_that_ends_before_the_post_is_clear_by_what_is_left(make_prop, wand_text):
    prop = make_prop(wand_text)
    (verdict,) = between(prop, [0], [64])
    pose = posekit.positions(prop, posekit.pulses(prop, [[64]]))
    left = posekit.clearance.distances(prop, pose)[0, 0]
    assert verdict.verdict == "clear"
    assert 0.5 * left <= verdict.clear_by_mm <= left + 1e-9


def test_a_servo_without_limits_sweeps_over_all_between(make_prop, wand_text):
    """It jumps, yet no part of the way is taken for clear."""
    text = wand_text.replace("speed = 120.0", "").replace("acceleration = 600.0", "")
    (verdict,) = between(make_prop(text), [0], [255])
    assert verdict.verdict == "open"


def test_a_jump_far_from_all_else_is_proved_clear(make_prop, two_arms_text):
    """Two arms side by side, 50 mm apart all the way, on servos that tell no speed."""
    aside = two_arms_text.replace("at = [60, 0, 0]", "at = [0, 60, 0]")
    for address in ("address = 1", "address = 2"):
        aside = aside.replace(address, f"{address}\npulse = {{low = 500, high = 2500}}")
    (verdict,) = between(make_prop(aside), [0, 0], [255, 255])
    assert verdict.verdict == "clear"
    assert 0 < verdict.clear_by_mm <= 50.0


def test_channels_that_do_not_arrive_together_strike_where_a_straight_line_would_not(make_prop):
    """Jaw and neck: over the straight line of joint positions the jaw clears the chest; in time it does not."""
    prop = make_prop(LATE_NECK)
    straight = np.linspace([0.0, 0.0], [-45.0, 60.0], 2000)
    assert posekit.clearance.distances(prop, straight)[:, 0].min() > 2.0
    (verdict,) = between(prop, [0, 0], [255, 255])
    assert verdict.verdict == "strikes"


LATE_NECK = """
format = 1
name = "Late neck"
[servos.plain]
travel = 180.0
[links.body]
shapes = [{box = [60, 40, 20], at = [130, 0, -25]}]
[links.head]
[links.jaw]
shapes = [{capsule = {radius = 4, length = 60}, at = [30, 0, 0], turn = [0, 90, 0]}]
[joints.neck]
type = "revolute"
parent = "body"
child = "head"
axis = [0, 1, 0]
[joints.jaw]
type = "revolute"
parent = "head"
child = "jaw"
at = [100, 0, 0]
axis = [0, 1, 0]
[drives.neck]
servo = "plain"
joint = "neck"
address = 1
pulse = {low = 1500, high = 1000}
speed = 20.0
[drives.jaw]
servo = "plain"
joint = "jaw"
address = 2
pulse = {low = 1500, high = 2166.6667}
speed = 600.0
"""


@pytest.mark.parametrize("seed", [0, *(pytest.param(seed, marks=pytest.mark.long) for seed in range(1, 8))])
def test_no_instant_of_a_demo_move_breaks_its_verdicts(demo_at_length, seed):
    demo = demo_at_length
    rng = np.random.default_rng(seed)
    full = np.array([drive.full_scale for drive in demo.drives])
    ends = np.stack([full * rng.integers(0, 2, len(full)), rng.integers(0, full + 1)])
    motion = follow(demo, [0.0, 1e-9], ends)
    course = course_of(motion)
    watched = posekit.clearance.pairs(demo)
    chosen = [watched[k] for k in rng.permutation(len(watched))[:25]]
    verdicts = along(demo, course, chosen)
    times = np.linspace(course.begin, course.end, 400)
    columns = [watched.index(verdict.pair) for verdict in verdicts]
    distance = posekit.clearance.distances(demo, solve(demo, motion.position(times)).position)[:, columns]
    for verdict, at in zip(verdicts, distance.T, strict=True):
        if verdict.verdict == "clear":
            assert at.min() >= verdict.clear_by_mm - 1e-9
        else:
            assert (at[times < verdict.at_s - 1e-3] > 0).all()


@pytest.mark.parametrize("limits", ["", "speed = 120.0\nacceleration = 600.0\n"])
def test_a_course_stays_within_its_ranges_of_every_slice(make_prop, arm_text, limits):
    """Also where a servo turns back within a slice, or jumps."""
    motion = follow(make_prop(arm_text + "\n" + limits), [0.0, 0.2, 0.3], [[0], [255], [0]])
    course = course_of(motion)
    edges = np.linspace(course.begin, course.end, 57)
    within = course.within(edges[:-1], edges[1:])
    for begin, end, (low, high) in zip(edges[:-1], edges[1:], within[:, 0], strict=True):
        shaft = motion.position(np.linspace(begin, end, 200))[:, 0]
        assert low - 1e-9 <= shaft.min() <= low + 1e-3 * np.ptp(within)
        assert high - 1e-3 * np.ptp(within) <= shaft.max() <= high + 1e-9


def test_a_slice_in_which_a_linkage_turns_back_is_bounded_by_where_it_turns(make_prop, arm_text):
    """A crank-rocker that passes crank and coupler in line: its rocker comes farther than at either end."""
    text = arm_text.replace("stops = [-80, 80]", "") + "\nspeed = 120.0\n[drives.shoulder.linkage]\n"
    text += (
        'type = "four_bar"\ncrank = 20.0\ncoupler = 60.0\nrocker = 40.0\nground = 60.0\nshaft_zero = 38.0\n'
    )
    prop = make_prop(text)
    course = course_of(follow(prop, [0.0, 1e-9], [[0], [255]]))
    turns = turning_shafts(prop, 0, -45.0, 45.0)
    ((box,),) = boxes_during(prop, course, [turns], np.array([[course.begin, course.end]]), trains(prop))
    passed = coordinate_at(prop, 0, course.position(np.linspace(course.begin, course.end, 4001))[:, 0])
    assert passed.min() < passed[[0, -1]].min() - 1.0
    np.testing.assert_allclose(box, [passed.min(), passed.max()], atol=1e-4)


def test_a_course_without_knots_is_bounded_by_its_ends():
    course = Course(0.0, 1.0, lambda t: np.stack([2 * t], axis=1), (np.array([]),), (np.array([]),))
    np.testing.assert_allclose(course.within(np.array([0.25]), np.array([0.5])), [[[0.5, 1.0]]])
