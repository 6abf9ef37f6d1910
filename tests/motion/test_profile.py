"""The quickest move, against closed forms and exact samples."""

import math

import numpy as np
import pytest

from posekit.errors import PosekitError
from posekit.motion.profile import Limits, quickest


def move(distance, speed, acceleration, entry=0.0):
    return quickest(
        np.zeros(1), np.full(1, float(entry)), np.full(1, float(distance)), Limits.of([speed], [acceleration])
    )


# Rest-to-rest times of the symmetric trapezoid and triangle: T = D/v + v/a if D >= v^2/a, else 2 sqrt(D/a)
# (e.g. Biagiotti and Melchiorri, Trajectory Planning for Automatic Machines and Robots, 2008, ch. 3; from memory).
# The durations below were computed from it and agree with ruckig at max_jerk = inf.
STANDING = [
    (90.0, 120.0, 600.0, 120.0, 0.95),
    (10.0, 120.0, 600.0, 77.45966692414834, 0.2581988897471611),
    (24.0, 120.0, 600.0, 120.0, 0.4),
    (1.0, 0.5, 1.0, 0.5, 2.5),
    (math.pi / 2, math.radians(300), math.radians(2000), 5.235987755982989, 0.45),
    (180.0, 60.0, 90.0, 60.0, 3.6666666666666667),
]


@pytest.mark.parametrize(("distance", "speed", "acceleration", "peak", "duration"), STANDING)
def test_a_move_from_rest_to_rest_takes_the_time_of_the_trapezoid_or_triangle(
    distance, speed, acceleration, peak, duration
):
    for way in (1, -1):
        made = move(way * distance, speed, acceleration)
        np.testing.assert_allclose(made.duration, duration, rtol=1e-14)
        np.testing.assert_allclose(made.peak, peak, rtol=1e-14)


@pytest.mark.parametrize(
    ("distance", "entry", "duration"),
    [(90.0, 60.0, 0.875), (90.0, -60.0, 1.075), (5.0, 120.0, 0.41602468994692865)],
)
def test_a_move_that_starts_under_way_takes_the_time_of_its_closed_form(distance, entry, duration):
    # v_peak = sqrt(a D + v0^2 / 2); the third overshoots to 12 and returns 7. Computed; ruckig agrees.
    np.testing.assert_allclose(move(distance, 120.0, 600.0, entry).duration, duration, rtol=1e-14)


def test_a_move_of_ninety_degrees_passes_the_exact_samples_of_its_trapezoid():
    at = np.array([0.1, 0.2, 0.475, 0.75, 0.85, 0.95])
    position, velocity = move(90.0, 120.0, 600.0).state(at)
    np.testing.assert_allclose(position, [3.0, 12.0, 45.0, 78.0, 87.0, 90.0], rtol=1e-14)
    np.testing.assert_allclose(velocity, [60.0, 120.0, 120.0, 120.0, 60.0, 0.0], rtol=1e-12, atol=1e-12)


def test_without_an_acceleration_limit_a_move_runs_at_its_speed_from_the_first_instant():
    made = move(-60.0, 120.0, math.inf)
    np.testing.assert_array_equal(made.duration, 0.5)
    position, velocity = made.state(np.array([0.0, 0.25, 0.5]))
    np.testing.assert_array_equal(position, [0.0, -30.0, -60.0])
    np.testing.assert_array_equal(velocity, [-120.0, -120.0, 0.0])
    np.testing.assert_array_equal(made.acceleration(np.array([0.0, 0.25, 0.5])), 0.0)


def test_without_a_speed_limit_a_move_is_a_triangle_however_far_it_goes():
    np.testing.assert_allclose(move(1e6, math.inf, 4.0).duration, 1000.0, rtol=1e-14)


def test_without_any_limit_a_move_is_a_jump():
    made = move(60.0, math.inf, math.inf)
    position, velocity = made.state(np.array([0.0]))
    assert (made.duration[0], position[0], velocity[0]) == (0.0, 60.0, 0.0)


def test_a_move_to_where_the_shaft_rests_takes_no_time():
    for acceleration in (600.0, math.inf):
        assert move(0.0, 120.0, acceleration).duration[0] == 0.0


def test_acceleration_takes_only_the_limit_its_negative_and_zero():
    made = move(90.0, 120.0, 600.0)
    at = np.array([0.0, 0.1, 0.2, 0.5, 0.75, 0.9, 0.95, 2.0])
    np.testing.assert_array_equal(made.acceleration(at), [600, 600, 0, 0, -600, -600, 0, 0])


def test_limits_of_zero_are_refused():
    with pytest.raises(PosekitError, match="above 0"):
        Limits.of([120.0], [0.0])


def test_limits_of_different_length_are_refused():
    with pytest.raises(PosekitError, match="2 speeds and 1 accelerations"):
        Limits.of([120.0, 60.0], [600.0])
