"""Suggested limits are proved by the run, and gentler ones fail."""

import math

import numpy as np
import pytest

from posekit.errors import PosekitError
from posekit.motion.follow import follow
from posekit.motion.profile import Limits
from posekit.motion.readings import drive_readings
from posekit.motion.suggest import suggest
from posekit.stream.show import Show
from tests.motion.props import arm


def show(*jumps, every=2.0):
    times = np.arange(len(jumps)) * every
    return Show("jumps", times, np.column_stack([jumps, np.full(len(jumps), 32768)]).astype(float))


@pytest.mark.parametrize("lag_s", [math.nan, math.inf, 0.0, -1.0])
def test_what_is_no_time_to_arrive_within_is_refused(lag_s):
    with pytest.raises(PosekitError, match=r"within = .*: use a time above 0 s"):
        suggest(arm(), show(0, 255), lag_s)


def test_a_prop_without_drives_has_nothing_to_suggest(statue_text, make_prop):
    found = suggest(make_prop(statue_text), Show("still", np.array([0.0, 1.0]), np.empty((2, 0))), 1.0)
    assert (found.limits.speed.shape, found.readings, found.findings) == ((0,), (), ())


def test_one_jump_gets_the_triangle_that_takes_just_the_time():
    # 90 deg in 1.2 s: a triangle of a = 4 D / T^2 = 250 deg/s2, which peaks at 150 deg/s.
    found = suggest(arm(), show(0, 255), 1.2)
    assert found.limits.acceleration[0] == pytest.approx(250.0, rel=0.01)
    speed, slope = found.limits.speed[0], found.limits.acceleration[0]
    # Rounded up, the acceleration leaves room for a trapezoid of less speed: T = D/v + v/a.
    assert 130.0 <= speed <= 150.0
    assert found.readings[0].lag_s == pytest.approx(90.0 / speed + speed / slope)
    assert 1.199 <= found.readings[0].lag_s <= 1.2


@pytest.mark.parametrize("lag", [0.6, 0.9, 1.5])
def test_the_suggestion_arrives_in_time_and_a_gentler_one_does_not(lag):
    rng = np.random.default_rng(int(10 * lag))
    made = show(*rng.integers(0, 256, 12))
    found = suggest(arm(), made, lag)
    assert found.readings[0].arrives and found.readings[0].lag_s <= lag

    def lag_with(speed, slope):
        limits = Limits(found.limits.speed * [speed, 1], found.limits.acceleration * [slope, 1])
        return drive_readings(arm(), follow(arm(), made.times, made.values, limits))[0].lag_s

    assert lag_with(1.0, 1.0) == found.readings[0].lag_s
    assert lag_with(0.97, 1.0) > lag or lag_with(1.0, 0.97) > lag
    assert lag_with(0.97, 0.97) > lag


def test_a_drive_whose_servo_is_too_slow_keeps_its_limits_and_is_told():
    found = suggest(arm(), show(0, 255), 0.25)  # 90 deg at 300 deg/s are 0.3 s
    assert (found.limits.speed[0], found.limits.acceleration[0]) == (120.0, 600.0)
    assert [(f.level, f.code, f.subject) for f in found.findings] == [
        ("warning", "too-slow", "shoulder"),
        ("note", "no-stop", "slide"),
    ]


def test_a_drive_that_does_not_move_keeps_its_limits():
    found = suggest(arm(), show(0, 255), 1.0)
    assert (found.limits.speed[1], found.limits.acceleration[1]) == (300.0, math.inf)
