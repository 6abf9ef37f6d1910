"""Segments of constant acceleration against the motion they were cut from."""

import math
from itertools import pairwise

import numpy as np
import pytest

from posekit.motion.follow import follow_shafts
from posekit.motion.profile import Limits
from posekit.motion.segments import segments
from tests.conftest import SEEDS


def wandering(seed, drives=3, frames=60):
    rng = np.random.default_rng(seed)
    times = np.cumsum(rng.uniform(0.01, 0.4, frames))
    targets = np.round(rng.uniform(-90, 90, (frames, drives)) * (rng.random((frames, drives)) < 0.6), 1)
    return follow_shafts(times, targets, Limits.of([60.0, 300.0, 120.0], [400.0, math.inf, 900.0]))


@pytest.mark.parametrize("seed", SEEDS)
def test_segments_put_together_are_the_motion(seed):
    motion = wandering(seed)
    cut = segments(motion)
    at = np.random.default_rng(seed).uniform(motion.begin, cut.settled + 1, 500)
    at[:5] -= 9.0  # before all
    position, velocity, acceleration = cut.at(at, np.zeros(len(at), bool))
    np.testing.assert_allclose(position, motion.position(at), atol=1e-8)
    np.testing.assert_allclose(velocity, motion.velocity(at), atol=1e-6)
    np.testing.assert_array_equal(acceleration, motion.acceleration(at))


@pytest.mark.parametrize("seed", SEEDS)
def test_a_segment_has_begun_at_the_very_moment_it_begins_and_not_just_before(seed):
    cut = segments(wandering(seed))
    for d in range(3):
        own = slice(cut.first[d], cut.first[d + 1])
        since, slope = cut.since[own], cut.acceleration[own]
        _, speed, after = cut.at(since, np.zeros(len(since), bool))
        np.testing.assert_array_equal(speed[:, d], cut.velocity[own])
        np.testing.assert_array_equal(after[:, d], slope)
        before = cut.at(since, np.ones(len(since), bool))[2]
        np.testing.assert_array_equal(before[:, d], [0.0, *slope[:-1]])


@pytest.mark.parametrize("seed", SEEDS)
def test_segments_follow_one_another_without_a_gap_and_end_in_rest(seed):
    motion = wandering(seed)
    cut = segments(motion)
    for d in range(3):
        own = slice(cut.first[d], cut.first[d + 1])
        np.testing.assert_allclose(
            cut.since[own][:-1] + cut.lasts[own][:-1], cut.since[own][1:], rtol=0, atol=1e-9
        )
        assert cut.lasts[own][-1] == math.inf
        assert (cut.velocity[own][-1], cut.acceleration[own][-1]) == (0.0, 0.0)
    np.testing.assert_array_equal(motion.velocity([cut.settled + 1e-9, cut.settled + 5]), 0.0)


@pytest.mark.parametrize("begin", [-5.0, 7.0])
@pytest.mark.parametrize("drives", [0, 1])
def test_what_never_moves_has_settled_when_it_begins_be_that_before_time_0_or_without_drives(begin, drives):
    limits = Limits.of([60.0] * drives, [400.0] * drives)
    still = follow_shafts([begin, begin + 2.0], np.zeros((2, drives)), limits)
    assert segments(still).settled == begin


@pytest.mark.parametrize("seed", SEEDS)
def test_the_top_speed_of_a_slice_is_reached_in_it_and_never_passed(seed):
    motion = wandering(seed)
    cut = segments(motion)
    edges = np.linspace(motion.begin - 0.5, cut.settled + 0.5, 40)
    tops = cut.top_speeds(edges)
    for i, (a, b) in enumerate(pairwise(edges)):
        speed = np.abs(motion.velocity(np.linspace(a, b, 3000)[:-1])).max(axis=0)
        assert np.all(speed <= tops[i] + 1e-6)
        reached = np.linspace(a, b, 3000)[1] - a
        assert np.all(tops[i] <= speed + 900.0 * reached + 300.0 * (tops[i] == 300.0) + 1e-6)
