"""Controllers that are set in steps: how fast each step is, from times measured at some of them.

What lies between the steps measured is told by the law that tells them best: each law is asked for every step but
the first and last from the others alone, and the one that is least off, in proportion, is taken (leave one out). With
fewer than ENOUGH steps nothing tells the laws apart, and straight lines from step to step are taken. No law is
followed beyond the steps measured.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np

from posekit.arrays import Array

ENOUGH = 4
ALIKE = 4  # places to which laws are compared: nobody's thumb is better
LEAST_S = 1e-3  # a thumb on a stopwatch measures no shorter time
Law = Callable[[Array], Array]


@dataclass(frozen=True, slots=True)
class Stepped:
    """What each whole step from `steps[0]` to `steps[-1]` gives: `rates` [deg/s or deg/s2].

    `law` names how it was told from what was measured; `off` is how far that law is off at steps it was not told,
    in proportion, or None where they were too few to try.
    """

    law: str
    steps: tuple[int, ...]
    rates: tuple[float, ...]
    off: float | None

    def nearest(self, wanted: float) -> int:
        """Where in `steps` the rate is nearest to a wanted one, in proportion; of equals the lower step."""
        return int(np.argmin(np.abs(np.log(np.array(self.rates) / wanted))))


def speed_of_time(way_deg: float, time_s: float, acceleration: float) -> float | None:
    """The speed [deg/s] at which a way from rest to rest takes a time: t = D / v + v / a, solved for v.

    `acceleration` may be infinite. None if no speed is enough for so short a time.
    """
    if not np.isfinite(acceleration):
        return way_deg / time_s
    room = (acceleration * time_s) ** 2 - 4.0 * acceleration * way_deg
    # Written so that nothing cancels where the acceleration is large.
    return 2.0 * way_deg / (time_s + sqrt(room) / acceleration) if room >= 0.0 else None


def acceleration_of_time(way_deg: float, time_s: float, speed: float) -> float | None:
    """The acceleration [deg/s2] at which a way from rest to rest takes a time under a speed limit, which may be `inf`.

    a = v / (t - D / v), or a = 4 D / t^2 where the speed is not reached. None if no acceleration is enough.
    """
    if time_s * speed >= 2.0 * way_deg:
        return 4.0 * way_deg / time_s**2
    left = time_s - way_deg / speed
    return speed / left if left > 0.0 else None


def stepped(steps: Sequence[int], rates: Sequence[float]) -> Stepped:
    """The law of two steps or more, each once or several times, in any order, with a rate above 0 for each."""
    x = np.unique(steps).astype(float)
    measured = np.array([np.mean([r for s, r in zip(steps, rates, strict=True) if s == step]) for step in x])
    laws = {name: law for name, law in LAWS.items() if name != "a power of the step" or x[0] > 0}
    off: dict[str, float] = {}
    if len(x) >= ENOUGH:
        for name, law in laws.items():
            told = [
                float(law(np.delete(x, i), np.delete(measured, i))(x[i : i + 1])[0])
                for i in range(1, len(x) - 1)
            ]
            ratio = np.maximum(told, 1e-12) / measured[1:-1]
            off[name] = float(np.exp(np.sqrt(np.mean(np.log(ratio) ** 2))) - 1.0)
    # Of laws that are as good as each other the first, which is the simplest.
    name = min(off, key=lambda each: round(off[each], ALIKE)) if off else _BETWEEN
    every = np.arange(int(x[0]), int(x[-1]) + 1)
    found = np.maximum(laws[name](x, measured)(every.astype(float)), 1e-12)
    return Stepped(name, tuple(every.tolist()), tuple(found.tolist()), off.get(name))


def _between(x: Array, y: Array) -> Law:
    """Straight lines through what was measured, pooled until it only rises or only falls."""
    way = 1.0 if y[-1] >= y[0] else -1.0
    pools: list[tuple[float, list[float]]] = []  # mean rate, steps in it
    for step, rate in zip(x.tolist(), y.tolist(), strict=True):
        mean, own = rate, [step]
        # Ends: a pool is taken out each time.
        while pools and way * (mean - pools[-1][0]) < 0.0:
            last, before = pools.pop()
            mean = (mean * len(own) + last * len(before)) / (len(own) + len(before))
            own = before + own
        pools.append((mean, own))
    at = np.array([step for _, own in pools for step in own])
    level = np.array([mean for mean, own in pools for _ in own])
    return lambda step: np.interp(step, at, level)


def _line(x: Array, y: Array) -> Law:
    slope, start = np.polyfit(x, y, 1)
    return lambda step: start + slope * step


def _power(x: Array, y: Array) -> Law:
    power, start = np.polyfit(np.log(x), np.log(y), 1)
    return lambda step: np.exp(start + power * np.log(step))


def _exponential(x: Array, y: Array) -> Law:
    rate, start = np.polyfit(x, np.log(y), 1)
    return lambda step: np.exp(start + rate * step)


_BETWEEN = "straight lines from step to step"
LAWS: dict[str, Callable[[Array, Array], Law]] = {
    "a straight line": _line,
    "a power of the step": _power,
    "the same factor from step to step": _exponential,
    _BETWEEN: _between,
}
