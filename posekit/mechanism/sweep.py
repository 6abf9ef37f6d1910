"""What one drive alone does between its end points: where its joints go, meet a stop and turn back."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from posekit.arrays import Array, Truth
from posekit.mechanism.joints import Train, solve_alone, stop_limits, train_of
from posekit.mechanism.reach import turning_points
from posekit.mechanism.values import every_shaft
from posekit.prop.model import Prop
from posekit.signal.calibration import asked_pulse, servo_of

AT_STOP = 1e-9  # nearer than this a joint stands at its stop and pushes nothing; rounding, not a push
LEAST_WAY = 1e-6  # a way back shorter than this is rounding


@dataclass(frozen=True, slots=True)
class Sweep:
    """What one drive alone does, from value 0 to full scale.

    Partners in its linkage stand at shaft 0. At each of its V values: `pulse_us` and `shaft_deg` (V,), held
    where servo and linkage hold them. `moved` are the columns of the M joints that go with the drive, and `wanted`
    (V, M) where these would go if there were no stops. `turns_deg` are the shaft angles within at which the linkage
    turns back.
    """

    d: int
    pulse_us: Array
    shaft_deg: Array
    wanted: Array
    turns_deg: Array
    moved: tuple[int, ...]


def sweep_of(prop: Prop, train: Train, d: int) -> Sweep:
    """The sweep of drive `d` of a linkage, the shafts of its partners at 0."""
    drive = prop.drives[d]
    every = every_shaft(prop, d)
    moved, wanted = solve_alone(prop, train, d, every)
    held = np.clip(every, *train.closes)
    return Sweep(
        d=d,
        pulse_us=np.clip(asked_pulse(np.arange(len(every)), drive), *servo_of(prop, drive).pulse_range),
        shaft_deg=held,
        wanted=wanted,
        turns_deg=_reversals(train, held) if len(train.drives) == 1 else np.empty(0),
        moved=moved,
    )


def _reversals(train: Train, held_deg: Array) -> Array:
    """The shaft angles [deg] strictly within a range at which a joint really goes back, rounding left aside."""
    low, high = float(held_deg.min()), float(held_deg.max())
    turns = np.sort(turning_points(train, low, high))
    path = train.position(np.concatenate([[low], turns, [high]]))
    steps = np.diff(path)
    kept: list[float] = []
    way = 0.0
    for at, step in zip([low, *turns.tolist()], steps.tolist(), strict=True):
        if abs(step) > LEAST_WAY:
            if way and np.sign(step) != way:
                kept.append(at)
            way = float(np.sign(step))
    return np.array(kept)


def one_way(sweep: Sweep, rest: int) -> tuple[int, int]:
    """First and last of the values about `rest`, or else of the most values, between which no joint turns back."""
    runs = _runs(np.ones(len(sweep.shaft_deg), bool), _crossed(sweep, sweep.turns_deg))
    return _best_run(runs, rest) or (0, len(sweep.shaft_deg) - 1)


def free_values(prop: Prop, sweep: Sweep) -> tuple[int, int] | None:
    """First and last of the values about rest, or else of the most values, at which no hard stop is met.

    Nor is one met between any two of them. None: every value presses a joint against a stop.
    """
    stops = stop_limits(prop)[list(sweep.moved)]
    off = _off(sweep.wanted, stops)
    # Where a linkage turns back between two values it may meet a stop that neither value meets.
    peaks = sweep.turns_deg[~_off_at_turns(prop, sweep, stops)] if sweep.turns_deg.size else sweep.turns_deg
    return _best_run(_runs(off, _crossed(sweep, peaks)), prop.drives[sweep.d].rest_value)


def pressing_values(prop: Prop, sweep: Sweep) -> list[tuple[int, int]]:
    """First and last of each run of values that press a joint against a hard stop."""
    off = _off(sweep.wanted, stop_limits(prop)[list(sweep.moved)])
    return _runs(~off, np.zeros(len(off) - 1, bool))


def _off_at_turns(prop: Prop, sweep: Sweep, stops: Array) -> Truth:
    _, wanted = solve_alone(prop, train_of(prop, sweep.d), sweep.d, sweep.turns_deg)
    return _off(wanted, stops)


def _off(wanted: Array, stops: Array) -> Truth:
    """Which rows of wanted positions (N, m) meet none of the hard stops (m, 2)."""
    return np.asarray(((wanted >= stops[:, 0] - AT_STOP) & (wanted <= stops[:, 1] + AT_STOP)).all(axis=1))


def _crossed(sweep: Sweep, at_deg: Array) -> Truth:
    """Whether one of these shaft angles lies between each value and the next; (V - 1,)."""
    below = sweep.shaft_deg[:, None] < at_deg
    return np.asarray((below[:-1] != below[1:]).any(axis=1))


def _runs(good: Truth, broken: Truth) -> list[tuple[int, int]]:
    """First and last of each run of good values (V,) that no break (V - 1,) divides."""
    starts = good & np.concatenate([[True], ~good[:-1] | broken])
    ends = good & np.concatenate([~good[1:] | broken, [True]])
    return list(zip(np.flatnonzero(starts).tolist(), np.flatnonzero(ends).tolist(), strict=True))


def _best_run(runs: list[tuple[int, int]], rest: int) -> tuple[int, int] | None:
    """The run that holds the rest value, else the longest."""
    about_rest = [run for run in runs if run[0] <= rest <= run[1]]
    return max(about_rest or runs, key=lambda run: run[1] - run[0], default=None)
