"""Sliders of limits: each step can be typed, rises by an even ratio, and says where a limit stands."""

from __future__ import annotations

import math

import numpy as np
import pytest

import posekit
from posekit.bridge.sliders import ACCELERATIONS, SPEEDS, limit_sliders, place, scale
from posekit.motion import limits_of
from posekit.motion.follow import servo_speeds


@pytest.mark.parametrize("ends", [SPEEDS, ACCELERATIONS, (2.0, 4.0), (5.0, 461.5)])
def test_steps_rise_from_end_to_end_in_two_digits_by_as_even_a_ratio_as_they_allow(ends):
    steps = np.array(scale(*ends))
    assert [steps[0], steps[-1]] == [float(f"{end:.2g}") for end in ends]
    assert all(float(f"{step:.2g}") == step for step in steps)
    assert (np.diff(steps) > 0).all()
    # Two digits are apart by a tenth at most, and a step is no longer than the next number in two digits asks for.
    assert (steps[1:] / steps[:-1]).max() <= 1.1 + 1e-9


def test_a_limit_stands_at_its_own_step_at_the_nearest_one_or_at_the_end_for_none():
    steps = scale(*SPEEDS)
    assert [place(step, steps) for step in steps] == list(range(len(steps)))
    assert place(math.inf, steps) == len(steps)
    assert place(1.0, steps) == 0 and place(1e6, steps) == len(steps) - 1


def test_the_sliders_of_a_prop_go_up_to_what_its_servos_can_do(demo):
    limits = limits_of(demo)
    for d, (name, sliders) in enumerate(limit_sliders(demo, limits).items()):
        assert name == demo.drives[d].name
        top = servo_speeds(demo)[d]
        assert sliders.speed.limits[-1] == pytest.approx(top if math.isfinite(top) else SPEEDS[1], rel=0.05)
        steps = (*sliders.speed.limits, math.inf)
        assert steps[sliders.speed.at] == pytest.approx(limits.speed[d], rel=0.06)


def test_a_slider_is_where_the_open_show_says(demo):
    if not demo.drives:
        pytest.skip("nothing moves")
    drive = demo.drives[0].name
    slowed = posekit.edit(demo, f"drives.{drive}.acceleration", 100.0)
    slider = limit_sliders(slowed, limits_of(slowed))[drive].acceleration
    assert slider.limits[slider.at] == 100.0
