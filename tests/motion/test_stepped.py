"""Steps of a controller: rates from times by the formulas of a handbook, and laws that find what made the numbers."""

from __future__ import annotations

from math import inf, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from posekit.motion.profile import Limits, quickest
from posekit.motion.stepped import acceleration_of_time, speed_of_time, stepped

rates = st.floats(1.0, 2000.0)


@given(way=st.floats(1.0, 300.0), speed=rates, acceleration=rates)
def test_the_time_of_a_move_gives_back_the_limit_that_made_it(
    way: float, speed: float, acceleration: float
) -> None:
    """t = D/v + v/a, or 2 sqrt(D/a) where the speed is not reached (any text on motion control)."""
    is_reached = speed * speed <= acceleration * way
    time = way / speed + speed / acceleration if is_reached else 2 * sqrt(way / acceleration)
    zero = np.zeros(1)
    made = quickest(zero, zero, np.array([way]), Limits.of([speed], [acceleration])).duration[0]
    assert made == pytest.approx(time, rel=1e-12)
    if is_reached and speed * speed < 0.999 * acceleration * way:
        assert speed_of_time(way, time, acceleration) == pytest.approx(speed, rel=1e-6)
    # Where nearly all the time goes into the way itself, rounding leaves little of the acceleration.
    if not is_reached or speed / acceleration > 1e-3 * time:
        assert acceleration_of_time(way, time, speed) == pytest.approx(acceleration, rel=1e-6)
    assert acceleration_of_time(way, way / speed * 0.99, speed) is None
    assert speed_of_time(way, 1.99 * sqrt(way / acceleration), acceleration) is None


def test_without_an_acceleration_the_speed_is_way_by_time() -> None:
    assert speed_of_time(90.0, 1.5, inf) == pytest.approx(60.0)


@pytest.mark.parametrize(
    ("name", "law"),
    [
        ("a straight line", lambda s: 10 + 7 * s),
        ("a power of the step", lambda s: 4 * s**1.6),
        ("the same factor from step to step", lambda s: 6 * 1.25**s),
    ],
)
def test_the_law_that_made_the_rates_is_found_and_tells_the_steps_between(name, law) -> None:
    steps = np.array([1, 3, 6, 10, 16])
    found = stepped(steps.tolist(), law(steps.astype(float)).tolist())
    assert found.law == name and found.off < 1e-9
    np.testing.assert_allclose(found.rates, law(np.arange(1, 17.0)), rtol=1e-9)
    for step in (2, 9, 15):
        assert found.steps[found.nearest(law(float(step)) * 1.01)] == step
    assert found.steps[found.nearest(1e9)] == 16 and found.steps[found.nearest(1e-9)] == 1


def test_few_steps_are_joined_by_lines_and_never_turn_back() -> None:
    found = stepped([1, 5, 9], [10.0, 50.0, 45.0])
    assert found.law == "straight lines from step to step" and found.off is None
    assert found.rates[0] == 10.0 and np.all(np.diff(found.rates) >= 0) and found.rates[-1] == 47.5


def test_a_kink_is_told_best_by_lines() -> None:
    steps = list(range(0, 13, 2))
    found = stepped(steps, [20.0, 20.1, 20.2, 20.3, 80.0, 140.0, 200.0])
    assert found.law == "straight lines from step to step"
