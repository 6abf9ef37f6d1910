"""What holds for every motion, whatever the show."""

import math

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from posekit.motion.follow import follow_shafts
from posekit.motion.profile import Limits, quickest, state_of_one

angles = st.floats(-180, 180).map(lambda x: round(x, 3))
spans = st.floats(1e-3, 3.0)
speeds = st.one_of(st.floats(1.0, 900.0), st.just(math.inf))
slopes = st.one_of(st.floats(5.0, 9000.0), st.just(math.inf))


@st.composite
def shows(draw):
    steps = draw(st.lists(st.tuples(spans, angles), min_size=1, max_size=12))
    times = np.concatenate([[0.0], np.cumsum([span for span, _ in steps])])
    return times, np.array([draw(angles), *(angle for _, angle in steps)])[:, None]


def fine(times):
    """Instants all over the show, and right before, at and after every frame."""
    near = np.concatenate([times, times + 1e-9, times - 1e-9])
    return np.sort(np.concatenate([near, np.linspace(times[0] - 1, times[-1] + 20, 4001)]))


@given(shows(), speeds, slopes)
def test_neither_limit_is_ever_broken(show, speed, slope):
    times, targets = show
    motion = follow_shafts(times, targets, Limits.of([speed], [slope]))
    at = fine(times)
    position, velocity, acceleration = motion.at(at)
    assert np.all(np.abs(velocity) <= speed * (1 + 1e-12))
    assert np.all(np.abs(acceleration) <= slope)
    if not math.isinf(speed):
        step = np.abs(np.diff(position[:, 0]))
        assert np.all(step <= speed * np.diff(at) * (1 + 1e-9) + 1e-10)
    if not math.isinf(slope):
        change = np.abs(np.diff(velocity[:, 0]))
        assert np.all(change <= slope * np.diff(at) * (1 + 1e-9) + 1e-5)


@given(shows(), speeds, slopes)
def test_a_target_that_stands_is_reached_and_held(show, speed, slope):
    times, targets = show
    motion = follow_shafts(times, targets, Limits.of([speed], [slope]))
    span = 400.0  # no shaft has farther to go
    longest = (
        0.0
        if math.isinf(slope)
        else 2 * span**0.5 / slope**0.5 + 4 * min(speed, (slope * span) ** 0.5) / slope
    )
    longest += 0.0 if math.isinf(speed) else span / speed
    late = motion.end + longest + np.array([0.0, 1.0, 1e3])
    position, velocity, acceleration = motion.at(late)
    np.testing.assert_array_equal(position, np.full((3, 1), targets[-1, 0]))
    np.testing.assert_array_equal(velocity, 0.0)
    np.testing.assert_array_equal(acceleration, 0.0)


@given(shows(), speeds, slopes)
def test_a_shaft_never_leaves_the_range_of_its_targets(show, speed, slope):
    # Each move stops at its target, so even one that is cut off could still stop within the range.
    times, targets = show
    position = follow_shafts(times, targets, Limits.of([speed], [slope])).position(fine(times))
    assert position.min() >= targets.min() - 1e-9
    assert position.max() <= targets.max() + 1e-9


@given(angles, angles, speeds, slopes)
def test_a_standing_target_is_neared_without_turning_back(start, target, speed, slope):
    motion = follow_shafts([0.0, 0.5], [[start], [target]], Limits.of([speed], [slope]))
    travelled = np.diff(motion.position(np.linspace(0, 60, 5001))[:, 0]) * np.sign(target - start)
    assert np.all(travelled >= -1e-10)


@given(angles, angles, speeds, slopes)
def test_a_move_from_rest_to_rest_runs_the_same_backwards(start, target, speed, slope):
    limits = Limits.of([speed], [slope])
    there = follow_shafts([-1.0, 0.0], [[start], [target]], limits)
    back = follow_shafts([-1.0, 0.0], [[target], [start]], limits)
    move = there.moves(np.array([len(there.since) - 1]), limits)
    at = np.linspace(0.0, 1.0, 101) * move.duration
    if move.duration > 0.0:
        np.testing.assert_allclose(there.position(at), back.position(at)[::-1], atol=1e-9)


@given(shows(), speeds, slopes)
def test_frames_that_repeat_the_target_change_nothing(show, speed, slope):
    times, targets = show
    limits = Limits.of([speed], [slope])
    between = (times[:-1] + times[1:]) / 2
    more = np.sort(np.concatenate([times, between]))
    at = fine(times)
    once = follow_shafts(times, targets, limits).position(at)
    twice = follow_shafts(more, np.repeat(targets, 2, axis=0)[:-1], limits).position(at)
    np.testing.assert_array_equal(once, twice)


@given(shows(), speeds, slopes, st.floats(-100, 100))
def test_position_is_the_integral_of_velocity(show, speed, slope, shift):
    times, targets = show
    motion = follow_shafts(times, targets, Limits.of([speed], [slope]))
    if math.isinf(speed) and math.isinf(slope):
        return  # jumps
    at = np.linspace(times[0], times[-1] + 1, 20001)
    position, velocity, _ = motion.at(at)
    area = np.cumsum((velocity[1:, 0] + velocity[:-1, 0]) / 2 * np.diff(at))
    # Only where velocity kinks or jumps within a slice is the trapezoid rule off, by what is gone there at most, and
    # a short move may lie between two looks as a whole; three kinks a frame and a jump.
    slip = max(np.abs(velocity).max() * np.diff(at).max(), np.abs(np.diff(position[:, 0])).max())
    allowed = 1e-9 + 4 * len(times) * 2 * slip
    assert np.all(np.abs(position[1:, 0] - position[0, 0] - area) <= allowed)


@given(angles, st.floats(-1, 1), angles, st.floats(0, 3), speeds, slopes)
def test_one_move_in_plain_numbers_equals_the_arrays_to_the_last_bit(
    start, share, target, elapsed, speed, slope
):
    entry = share * min(speed, 500.0)
    arrays = (np.array([number]) for number in (start, entry, target))
    x, v = quickest(*arrays, Limits.of([speed], [slope])).state(np.array([elapsed]))
    assert state_of_one(start, entry, target, elapsed, speed, slope) == (x[0], v[0])
