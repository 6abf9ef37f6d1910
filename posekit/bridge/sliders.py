"""Sliders of speed and acceleration limits: even steps by feel, which is by ratio, and no limit at the very end."""

from __future__ import annotations

import math

import numpy as np

from posekit.authoring.numbers import to_figures
from posekit.bridge.show_views import LimitSliders, SliderView
from posekit.motion import Limits
from posekit.motion.follow import servo_speeds
from posekit.prop.model import Prop

STEPS = 200
SPEEDS = 5.0, 1000.0  # deg/s; the upper one where the servo tells none
ACCELERATIONS = 10.0, 20_000.0  # deg/s2


def limit_sliders(prop: Prop, limits: Limits) -> dict[str, LimitSliders]:
    """The sliders of each drive, and where they stand for these limits (D,)."""
    slopes = scale(*ACCELERATIONS)
    rows = zip(
        prop.drives,
        servo_speeds(prop).tolist(),
        limits.speed.tolist(),
        limits.acceleration.tolist(),
        strict=True,
    )
    sliders = {}
    for drive, top, speed, slope in rows:
        most = top if math.isfinite(top) else SPEEDS[1]
        speeds = scale(min(SPEEDS[0], most / 2), most)
        sliders[drive.name] = LimitSliders(
            SliderView(speeds, place(speed, speeds)), SliderView(slopes, place(slope, slopes))
        )
    return sliders


def scale(least: float, most: float) -> tuple[float, ...]:
    """The limits of a slider, each in two digits that can be typed; they rise by as even a ratio as that allows."""
    return tuple(dict.fromkeys(to_figures(limit, 2) for limit in np.geomspace(least, most, STEPS).tolist()))


def place(limit: float, limits: tuple[float, ...]) -> int:
    """Where a slider stands for a limit: at the nearest by ratio, or after the last for none (inf)."""
    if math.isinf(limit):
        return len(limits)
    return int(np.argmin(np.abs(np.log(np.array(limits) / limit))))
