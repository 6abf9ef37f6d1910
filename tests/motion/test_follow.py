"""Following, where a number is known; chains of moves against the plain walk."""

import math

import numpy as np
import pytest

from posekit.errors import PosekitError
from posekit.motion import runs
from posekit.motion.follow import follow, follow_shafts
from posekit.motion.profile import Limits, quickest
from posekit.motion.runs import RUN, states
from tests.conftest import IN_A_PAGE
from tests.motion.props import arm


def walked(since, target, limits):
    """The states of one drive, one event after the other."""
    position, velocity = [target[0]], [0.0]
    for k in range(len(target) - 1):
        move = quickest(*(np.array([x]) for x in (position[-1], velocity[-1], target[k])), limits)
        x, v = move.state(since[k + 1 : k + 2] - since[k])
        position.append(x[0])
        velocity.append(v[0])
    return np.array(position), np.array(velocity)


@pytest.mark.parametrize("speed", [40.0, math.inf] if IN_A_PAGE else [40.0, 300.0, math.inf])
@pytest.mark.parametrize("slope", [90.0, math.inf] if IN_A_PAGE else [90.0, 2000.0, math.inf])
@pytest.mark.parametrize("kind", ["noise", "wave", "steps"])
def test_runs_walked_side_by_side_give_the_numbers_of_one_walk(speed, slope, kind):
    rng = np.random.default_rng(5)
    count = 2 * RUN + 77
    since = np.cumsum(rng.uniform(0.01, 0.05, count))
    target = {
        "noise": rng.uniform(-90, 90, count),
        "wave": np.round(50 * np.sin(since) + 20 * np.sin(2.3 * since), 2),
        "steps": np.repeat(rng.uniform(-90, 90, count // 9 + 1), 9)[:count] + np.arange(count) % 2,
    }[kind]
    limits = Limits.of([speed], [slope])
    position, velocity = states(since, target, np.array([0, count]), limits)
    expected = walked(since, target, limits)
    np.testing.assert_array_equal(position, expected[0])
    np.testing.assert_array_equal(velocity, expected[1])


@pytest.mark.parametrize("narrow", [0, 12, 10**9])
@pytest.mark.parametrize("run", [7] if IN_A_PAGE else [7, 64])
@pytest.mark.parametrize("kind", ["rests"] if IN_A_PAGE else ["noise", "rests"])
def test_many_short_runs_of_many_drives_give_the_numbers_of_one_walk_each(monkeypatch, narrow, run, kind):
    monkeypatch.setattr(runs, "RUN", run)
    monkeypatch.setattr(runs, "NARROW", narrow)
    rng = np.random.default_rng(run)
    drives, count = 15, 300
    since = np.tile(np.cumsum(rng.uniform(0.01, 0.05, count)), drives)
    target = rng.uniform(-90, 90, drives * count)
    if kind == "rests":  # each fifth target stands long enough to be reached
        since += np.repeat(np.cumsum(np.arange(drives * count // 5) % (count // 5) > 0) * 5.0, 5)
    limits = Limits.of(rng.uniform(30, 300, drives), rng.uniform(90, 3000, drives))
    first = np.arange(drives + 1) * count
    position, velocity = states(since, target, first, limits)
    for d in range(drives):
        own = slice(first[d], first[d + 1])
        expected = walked(since[own], target[own], limits.take(np.array([d])))
        np.testing.assert_array_equal(position[own], expected[0])
        np.testing.assert_array_equal(velocity[own], expected[1])


def test_drives_with_event_counts_of_their_own_do_not_touch_each_other():
    rng = np.random.default_rng(6)
    counts = [1, 2, RUN, RUN + 1, 3 * RUN - 1]
    limits = Limits.of([100.0, 200.0, 50.0, 400.0, 80.0], [500.0, math.inf, 90.0, 4000.0, 700.0])
    first = np.concatenate([[0], np.cumsum(counts)])
    since = np.concatenate([np.cumsum(rng.uniform(0.01, 0.1, n)) for n in counts])
    target = rng.uniform(-90, 90, first[-1])
    position, velocity = states(since, target, first, limits)
    for d in range(len(counts)):
        own = slice(first[d], first[d + 1])
        expected = walked(since[own], target[own], limits.take(np.array([d])))
        np.testing.assert_array_equal(position[own], expected[0])
        np.testing.assert_array_equal(velocity[own], expected[1])


def test_a_target_that_turns_round_under_way_is_followed_after_braking():
    # 120 deg/s is reached at 0.2 s and 12 deg; at 0.3 s it is at 24 deg and brakes to 36 deg at 0.5 s, then
    # returns 36 deg by a trapezoid of 36/120 + 120/600 = 0.5 s.
    motion = follow_shafts([-1.0, 0.0, 0.3], [[0.0], [90.0], [0.0]], Limits.of([120.0], [600.0]))
    at = [0.2, 0.3, 0.5, 0.75, 1.0]
    np.testing.assert_allclose(motion.position(at)[:, 0], [12.0, 24.0, 36.0, 18.0, 0.0], atol=1e-12)
    np.testing.assert_allclose(motion.velocity(at)[:, 0], [120.0, 120.0, 0.0, -120.0, 0.0], atol=1e-12)


def test_before_the_first_frame_the_shafts_stand_at_the_first_targets():
    motion = follow_shafts([2.0, 3.0], [[5.0, -7.0], [9.0, -7.0]], Limits.of([10.0, 10.0], [math.inf, 20.0]))
    position, velocity, acceleration = motion.at([-10.0, 1.999, 2.0, 3.0])
    np.testing.assert_array_equal(position, np.tile([5.0, -7.0], (4, 1)))
    np.testing.assert_array_equal(velocity[:3], 0.0)
    np.testing.assert_array_equal(acceleration[:3], 0.0)


def test_position_velocity_and_acceleration_are_each_other_s_slopes():
    """A ramp of 120 deg/s after 0.2 s at 600 deg/s2: at 0.1 s 3 deg and 60 deg/s, at 0.3 s 24 deg and 120 deg/s."""
    motion = follow_shafts([0.0, 1e-9], [[0.0], [90.0]], Limits(np.array([120.0]), np.array([600.0])))
    at = [0.1, 0.3, 5.0]
    np.testing.assert_allclose(motion.position(at)[:, 0], [3.0, 24.0, 90.0], atol=1e-6)
    np.testing.assert_allclose(motion.velocity(at)[:, 0], [60.0, 120.0, 0.0], atol=1e-6)
    np.testing.assert_allclose(motion.acceleration(at)[:, 0], [600.0, 0.0, 0.0], atol=1e-6)


def test_commanded_is_the_held_target():
    motion = follow_shafts([0.0, 1.0, 2.0], [[0.0], [30.0], [10.0]], Limits.of([10.0], [100.0]))
    np.testing.assert_array_equal(
        motion.commanded([-1, 0, 0.999, 1.0, 1.5, 2.0, 9.0])[:, 0], [0, 0, 0, 30, 30, 10, 10]
    )


def test_other_limits_for_one_drive_change_that_drive_alone_and_as_if_it_had_them_from_the_start():
    rng = np.random.default_rng(8)
    times, targets = np.arange(200) / 20, np.repeat(rng.uniform(-90, 90, (40, 3)), 5, axis=0)
    limits = Limits.of([100.0, 200.0, 50.0], [500.0, math.inf, 90.0])
    other = Limits.of([100.0, 30.0, 50.0], [500.0, 60.0, 90.0])
    motion, right = follow_shafts(times, targets, limits), follow_shafts(times, targets, other)
    for made in (motion.with_drive(1, 30.0, 60.0), motion.under(other)):
        for got, expected in zip(
            made.at(np.linspace(-1, 20, 999)), right.at(np.linspace(-1, 20, 999)), strict=True
        ):
            np.testing.assert_array_equal(got, expected)
    alone = motion.of_drive(2).position(times)
    np.testing.assert_array_equal(alone[:, 0], motion.position(times)[:, 2])


def test_times_that_go_back_are_refused_with_the_frame():
    with pytest.raises(PosekitError, match=r"frame 3 is at 0\.5 s, after one at 1 s") as refused:
        follow_shafts([0.0, 1.0, 0.5], [[0.0], [1.0], [2.0]], Limits.of([10.0], [10.0]))
    assert refused.value.findings[0].code == "times-going-back"


@pytest.mark.parametrize(
    ("times", "targets"),
    [
        ([], np.empty((0, 1))),
        ([0.0, math.nan], [[0.0], [1.0]]),
        ([0.0], [[math.inf]]),
        ([0.0, 1.0], [[0.0]]),
        (["soon", 1.0], [[0.0], [1.0]]),
        ([0.0, 1.0], [["left"], [1.0]]),
        ([0.0, 1.0], [[0.0], [1.0, 2.0]]),
        (None, [[0.0]]),
    ],
)
def test_frames_that_are_no_show_are_refused(times, targets):
    with pytest.raises(PosekitError) as refused:
        follow_shafts(times, targets, Limits.of([10.0], [10.0]))
    assert refused.value.findings[0].code == "bad-show"


@pytest.mark.parametrize("count", [0, 1, 3])
def test_limits_of_another_number_of_drives_are_refused(count):
    limits = Limits.of([10.0] * count, [10.0] * count)
    with pytest.raises(
        PosekitError, match=f"{count} speeds and {count} accelerations are given for 2 shafts"
    ):
        follow(arm(), [0.0, 1.0, 2.0], [[0, 0], [255, 9], [0, 0]], limits)
