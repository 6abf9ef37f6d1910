"""Moves and moving targets against ruckig (MIT), an independent time-optimal planner, with max_jerk = inf."""

import math

import numpy as np
import pytest

from posekit.motion.follow import follow_shafts
from posekit.motion.profile import Limits, quickest

ruckig = pytest.importorskip("ruckig")
pytestmark = pytest.mark.native

MOVES = 4000
FRAMES = 1500


def planned(position, velocity, target, speed, acceleration):
    """Ruckig's trajectory to rest at the target."""
    request = ruckig.InputParameter(1)
    request.current_position, request.current_velocity = [position], [velocity]
    request.current_acceleration, request.target_acceleration = [0.0], [0.0]
    request.target_position, request.target_velocity = [target], [0.0]
    request.max_velocity, request.max_acceleration, request.max_jerk = [speed], [acceleration], [math.inf]
    trajectory = ruckig.Trajectory(1)
    outcome = ruckig.Ruckig(1).calculate(request, trajectory)
    assert outcome in (ruckig.Result.Working, ruckig.Result.Finished), outcome
    return trajectory


def test_thousands_of_moves_from_any_state_agree_in_duration_position_and_speed():
    rng = np.random.default_rng(44)
    speed = 10 ** rng.uniform(0.5, 3, MOVES)
    slope = speed * 10 ** rng.uniform(-0.5, 1.5, MOVES)
    start, target = rng.uniform(-180, 180, (2, MOVES))
    target[::7] = start[::7] + rng.normal(0, 1e-3, len(target[::7]))
    entry = speed * rng.uniform(-1, 1, MOVES) * (rng.random(MOVES) < 0.8)
    made = quickest(start, entry, target, Limits.of(speed, slope))
    share = rng.uniform(0, 1, (5, MOVES))
    at = share * made.duration
    position, velocity = made.state(at)
    for k in range(MOVES):
        other = planned(start[k], entry[k], target[k], speed[k], slope[k])
        assert other.duration == pytest.approx(made.duration[k], rel=1e-6, abs=1e-9)
        for i in range(len(at)):
            x, v, _ = other.at_time(at[i, k])
            assert x[0] == pytest.approx(position[i, k], rel=1e-6, abs=1e-6)
            assert v[0] == pytest.approx(velocity[i, k], rel=1e-6, abs=1e-6 * speed[k])


@pytest.mark.parametrize("kind", ["wave", "fades", "jumps"])
@pytest.mark.parametrize(("speed", "slope"), [(120.0, 400.0), (300.0, 2000.0), (60.0, 6000.0)])
def test_a_moving_target_replanned_at_each_frame_is_followed_alike(kind, speed, slope):
    rng = np.random.default_rng(7)
    times = np.arange(FRAMES) / 44
    target = {
        "wave": np.round(60 * np.sin(times) + 25 * np.sin(2.7 * times), 2),
        "fades": np.round(np.interp(times, np.arange(0, 36, 1.5), rng.uniform(-90, 90, 24)) / 0.7) * 0.7,
        "jumps": np.repeat(rng.uniform(-90, 90, FRAMES // 15 + 1), 15)[:FRAMES],
    }[kind]
    motion = follow_shafts(times, target[:, None], Limits.of([speed], [slope]))
    position, velocity, _ = motion.at(times)
    x, v = target[0], 0.0
    for k in range(FRAMES - 1):
        state = planned(x, v, target[k], speed, slope).at_time(times[k + 1] - times[k])
        x, v = state[0][0], max(-speed, min(speed, state[1][0]))
        assert position[k + 1, 0] == pytest.approx(x, rel=1e-6, abs=1e-6)
        assert velocity[k + 1, 0] == pytest.approx(v, rel=1e-6, abs=1e-6 * speed)
