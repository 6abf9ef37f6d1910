"""A motion as a drawing holds it."""

import math
from itertools import pairwise

import numpy as np
import pytest

from posekit.motion import sampled
from posekit.motion.follow import follow_shafts
from posekit.motion.profile import Limits
from posekit.motion.sampled import RATE

HOURS = 3 * 3600.0


def twitching(seconds: float):
    """Still but for one twitch of 0.2 s, far out in the show."""
    at = seconds * 0.61803
    times = np.array([0.0, at, at + 0.2, seconds])
    return at, follow_shafts(times, np.array([[0.0], [30.0], [0.0], [0.0]]), Limits.of([400.0], [math.inf]))


def test_a_short_span_is_the_motion_at_even_times():
    _, motion = twitching(20.0)
    found = sampled(motion, 0.0, 20.0, 1201)
    times = np.linspace(0.0, 20.0, 1201)
    position, velocity, _ = motion.at(times)
    assert not found.extremes
    np.testing.assert_array_equal(found.times, times)
    np.testing.assert_array_equal(found.position, position)
    np.testing.assert_array_equal(found.velocity, velocity)
    np.testing.assert_array_equal(found.commanded, motion.commanded(times))


def test_no_twitch_is_lost_in_hours():
    at, motion = twitching(HOURS)
    found = sampled(motion, 0.0, HOURS, 1201)
    assert found.extremes and len(found.times) == 1200
    near = np.abs(found.times - at) < HOURS / 600
    assert found.position[near].max() == pytest.approx(30.0, abs=400.0 / RATE)
    assert found.commanded[near].max() == 30.0
    assert found.velocity[near].max() == 400.0 and found.velocity[near].min() == -400.0
    assert np.ptp(found.position[~near]) == 0.0


def test_rows_are_even_in_time_and_least_comes_before_most():
    _, motion = twitching(HOURS)
    found = sampled(motion, 100.0, HOURS, 801)
    np.testing.assert_allclose(np.diff(found.times), (HOURS - 100.0) / 800, rtol=1e-9)
    for curve in (found.commanded, found.position, found.velocity):
        assert (curve[0::2] <= curve[1::2]).all()


def test_the_extremes_are_those_of_all_looks():
    rng = np.random.default_rng(2)
    times = np.cumsum(rng.uniform(0.5, 3.0, 400))
    motion = follow_shafts(times, rng.uniform(-60, 60, (400, 3)), Limits.of([90.0] * 3, [300.0] * 3))
    begin, end, count = float(times[0]), float(times[-1]), 61
    found = sampled(motion, begin, end, count)
    edges = np.linspace(begin, end, count // 2 + 1)
    looks = int((end - begin) * RATE / (count // 2)) + 1
    for row, (start, stop) in enumerate(pairwise(edges)):
        inside = motion.position(start + np.arange(looks) / looks * (stop - start))
        np.testing.assert_allclose(found.position[2 * row], inside.min(axis=0), atol=1e-9)
        np.testing.assert_allclose(found.position[2 * row + 1], inside.max(axis=0), atol=1e-9)


def test_limits_are_near_from_four_fifths_on_in_their_own_direction():
    _, motion = twitching(20.0)
    found = sampled(motion, 0.0, 20.0, 1201)
    assert found.near_limits(np.array([400.0])) == ((400.0, -400.0),)
    assert found.near_limits(np.array([499.0])) == ((499.0, -499.0),)
    assert found.near_limits(np.array([501.0])) == ((),)
    assert found.near_limits(np.array([math.inf])) == ((),)
