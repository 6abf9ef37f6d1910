"""End points as a builder sets them: whole microseconds, and never outside of what they were found within."""

from __future__ import annotations

import math

from posekit.text import exact

KEPT = 0.9  # of the way between two pulses, that rounding must leave
DECIMALS = 9  # beyond which float64 itself rounds pulses
ROUNDING = 1e-6  # of the last decimal: what a number is off that was meant to be a round one


def whole_pulses(low_us: float, high_us: float) -> tuple[float, float]:
    """Two pulses [us], the lower first, moved towards each other to whole microseconds.

    Where these lie so near that whole ones would leave less than `KEPT` of the way between them, to as many decimals
    as it takes.
    """
    for decimals in range(DECIMALS):
        unit = 10.0**decimals
        low, high = math.ceil(low_us * unit - ROUNDING) / unit, math.floor(high_us * unit + ROUNDING) / unit
        if high - low >= KEPT * (high_us - low_us):
            return low, high
    return low_us, high_us


def pulses_told(low_us: float, high_us: float) -> str:
    """`1281 to 1886`, of pulses [us] between which all is well: so is all within what is told."""
    low, high = whole_pulses(low_us, high_us)
    return f"{exact(low)} to {exact(high)}"
