"""One shaft between its end points: what following the same commands gives, for as long as one looks."""

from __future__ import annotations

import numpy as np
import pytest

from posekit.motion import Limits, follow_shafts
from posekit.motion.swing import PAUSE_S, Swing

LIMITS = [(100.0, 400.0), (1000.0, 400.0), (60.0, np.inf), (np.inf, 900.0), (np.inf, np.inf)]


def swing(speed: float, acceleration: float, **more) -> Swing:
    how = {"begin": 1.0, "start_deg": 10.0, **more}
    return Swing((-40.0, 50.0), Limits.of([speed], [acceleration]), **how)


@pytest.mark.parametrize(("speed", "acceleration"), LIMITS)
def test_it_moves_as_following_says_when_each_command_comes_as_the_pause_ends(speed, acceleration):
    made = swing(speed, acceleration)
    first = follow_shafts([0.0, 1.0], [[10.0], [50.0]], made.limits)
    arrived = 1.0 + float(first.moves(np.array([1]), made.limits).duration[0])
    half = made.period / 2
    times = [0.0, 1.0, *(arrived + PAUSE_S + half * np.arange(5))]
    targets = [[10.0], [50.0], [-40.0], [50.0], [-40.0], [50.0], [-40.0]]
    followed = follow_shafts(times, targets, made.limits)
    t = np.linspace(0.0, times[-1] + half / 2, 1999)
    assert np.abs(made.position(t) - followed.position(t)[:, 0]).max() < 1e-9


@pytest.mark.parametrize(("speed", "acceleration"), LIMITS[:2])
def test_other_limits_on_the_way_go_on_from_place_and_speed(speed, acceleration):
    before = swing(speed, acceleration)
    for at in np.linspace(1.0, 1.0 + 2 * before.period, 37).tolist():
        place, velocity, towards = before.at(at)
        after = swing(25.0, 90.0, begin=at, start_deg=place, velocity=velocity, towards=towards)
        assert after.position([at])[0] == pytest.approx(place, abs=1e-9)
        t = np.linspace(at, at + 3 * after.period, 5001)
        moved = after.position(t)
        assert np.abs(np.diff(moved)).max() <= 25.0 * (t[1] - t[0]) * (1 + 1e-9)
        assert moved[t > at + after.period].min() == -40.0 and moved[t > at + after.period].max() == 50.0


def test_a_day_later_it_still_swings():
    made = swing(100.0, 400.0)
    day = 86400.0
    t = np.linspace(day, day + made.period, 400)
    assert made.position(t).min() < -39.9 and made.position(t).max() > 49.9
