"""What to change: end points that would make striking pairs clear, one at a time and the cheapest set.

A suggestion is proved for its pairs with every other drive at full range. Since every end point moved in
only takes positions away, suggestions for different drives never spoil one another, and a set of them clears all
that each does. Both ends of one drive may be moved in as long as they do not meet.
"""

from __future__ import annotations

import time
from collections.abc import Generator, Iterable, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from functools import partial
from typing import Literal

import numpy as np

from posekit.clearance.pair_model import PairModel, pair_model
from posekit.clearance.safe_range import Limit, limit_steps, limits_that_clear
from posekit.clearance.verdict import PairVerdict, Suggestion
from posekit.clearance.watch import Watch, watch
from posekit.mechanism.joints import mechanism_of
from posekit.mechanism.reach import coordinate_at, coordinate_steps, coordinates
from posekit.prop.model import Drive, Prop
from posekit.signal.calibration import servo_of, shaft_angle
from posekit.stepwise import telling

Pair = tuple[str, str]
End = Literal["low", "high"]

MOST_SETS = 20_000
ENDS: tuple[End, End] = ("low", "high")


@dataclass(frozen=True, slots=True)
class Option:
    """One end point that clears one pair, and what it takes of the drive's range (0 to 1)."""

    pair: Pair
    drive: str
    end: End
    pulse_us: float
    cost: float


def unclear(verdicts: Iterable[PairVerdict]) -> list[Pair]:
    """The pairs that were judged to the end and are not clear: those that need other end points."""
    return [found.pair for found in verdicts if found.verdict != "clear" and found.finished]


def option_steps(
    prop: Prop,
    pairs: Sequence[Pair],
    margin_mm: float,
    resolution: float,
    executor: Executor | None = None,
    until_s: float = np.inf,
    watched: Watch | None = None,
) -> Generator[list[Option] | None, None, None]:
    """For each of these pairs every single end point that clears it by the margin, all else at full range; proved.

    None comes between, so that a caller can do other work or leave it. Ends with the pairs that are done by
    `until_s`, in seconds of `time.time`. `watched` is the `watch` of the prop, for who has it already.
    """
    ways = yield from telling(coordinate_steps(prop), None)
    made, watched = mechanism_of(prop), watched or watch(prop)
    models: Iterable[PairModel] = (
        pair_model(prop, ways, watched, pair, made) for pair in pairs
    )  # each when its turn comes
    asked = partial(limits_that_clear, margin_mm=margin_mm, resolution=resolution, until_s=until_s)
    if executor is not None:
        models = list(models)
    elsewhere = None if executor is None else executor.map(asked, models)
    for model in models:
        if elsewhere is not None:
            limits = next(elsewhere)
        else:
            yield None
            limits = yield from limit_steps(model, margin_mm, resolution)
        if limits is None or time.time() >= until_s:
            return
        yield [option for limit in limits if (option := _option_of(prop, model, limit)) is not None]


def _option_of(prop: Prop, model: PairModel, limit: Limit) -> Option | None:
    """The end point that keeps a coordinate within its limit; None if moving one end in cannot."""
    d = model.chain.drives[limit.c]
    low, high = model.box[limit.c]
    span = (low, limit.at) if limit.side == "top" else (limit.at, high)
    for end in ENDS:
        pulse_us = _widest_pulse(prop, d, end, span)
        if pulse_us is not None:
            drive = prop.drives[d]
            given, other = (getattr(drive.pulse, name) for name in (end, *(e for e in ENDS if e != end)))
            return Option(model.pair, drive.name, end, pulse_us, abs(given - pulse_us) / abs(given - other))
    return None


def _widest_pulse(prop: Prop, d: int, end: End, span: tuple[float, float]) -> float | None:
    """The end point [us] nearest to the one given that keeps drive d's coordinate in span.

    It is tried in whole microseconds from the other end point, so it is a whole number where that is one.
    None if the other end point is outside already, or if so narrow a range has no room for the trim.
    """
    drive = prop.drives[d]
    given, other = (
        (drive.pulse.low, drive.pulse.high) if end == "low" else (drive.pulse.high, drive.pulse.low)
    )
    tried = other + np.sign(given - other) * np.arange(np.floor(abs(given - other)) + 1)
    at = coordinate_at(prop, d, shaft_angle(tried, servo_of(prop, drive)))
    inside = (at >= span[0]) & (at <= span[1])
    reach = len(inside) if inside.all() else int(np.argmin(inside))
    if reach < 2:
        return None
    pulse_us = float(tried[reach - 1])
    left = coordinates(with_end_points(prop, {(drive.name, end): pulse_us})).span[d]
    return pulse_us if span[0] - 1e-9 <= left[0] and left[1] <= span[1] + 1e-9 else None


def with_end_points(prop: Prop, changes: Mapping[tuple[str, End], float]) -> Prop:
    """The prop with some end points [us] changed, by (drive, end)."""

    def changed(drive: Drive) -> Drive:
        new = {end: changes[drive.name, end] for end in ENDS if (drive.name, end) in changes}
        return replace(drive, pulse=replace(drive.pulse, **new)) if new else drive

    return replace(prop, drives=tuple(changed(drive) for drive in prop.drives))


def suggestions_from(options: Iterable[Option]) -> tuple[Suggestion, ...]:
    """One suggestion for each end point told, with all the pairs that it clears; those of most pairs first."""
    by_end: dict[tuple[str, End], list[Option]] = {}
    for option in options:
        by_end.setdefault((option.drive, option.end), []).append(option)
    found = []
    for (drive, end), own in by_end.items():
        for pulse_us, cost in sorted({(option.pulse_us, option.cost) for option in own}):
            clears = tuple(option.pair for option in own if option.cost <= cost)
            found.append((Suggestion(drive, end, pulse_us, clears), cost))
    found.sort(key=lambda each: (-len(each[0].clears), each[1]))
    return tuple(suggestion for suggestion, _ in found)


def cheapest_set(options: Sequence[Option]) -> dict[tuple[str, End], float]:
    """End points [us] by (drive, end) that clear every pair named in the options, taking least of the ranges.

    Branch and bound over pairs, those with the fewest ways out first; the best of `MOST_SETS` sets if there
    are more.
    """
    by_pair: dict[Pair, list[Option]] = {}
    for option in sorted(options, key=lambda option: option.cost):
        by_pair.setdefault(option.pair, []).append(option)
    waiting = sorted(by_pair, key=lambda pair: len(by_pair[pair]))
    best: dict[tuple[str, End], Option] = {}
    best_cost, tried = np.inf, 0
    # Sets under way, as what is chosen for the first pairs; the last is gone on with first.
    under_way: list[tuple[dict[tuple[str, End], Option], int]] = [({}, 0)]
    # Ends: every set is tried once, and MOST_SETS are the most.
    while under_way and tried <= MOST_SETS:
        chosen, row = under_way.pop()
        cost = sum(option.cost for option in chosen.values())
        if cost >= best_cost:
            continue
        if row == len(waiting):
            best, best_cost = chosen, cost
            continue
        tried += 1
        ways_out = by_pair[waiting[row]]
        for option in sorted(ways_out, key=lambda option: _added_cost(chosen, option), reverse=True):
            if not _meets(chosen, option):
                place = option.drive, option.end
                widened = chosen if _added_cost(chosen, option) == 0.0 else {**chosen, place: option}
                under_way.append((widened, row + 1))
    return {place: option.pulse_us for place, option in best.items()}


def _meets(chosen: Mapping[tuple[str, End], Option], option: Option) -> bool:
    """Whether an end point would meet or pass the other one of its drive, moved in as chosen."""
    other = chosen.get((option.drive, "high" if option.end == "low" else "low"))
    return other is not None and option.cost + other.cost >= 1.0


def _added_cost(chosen: Mapping[tuple[str, End], Option], option: Option) -> float:
    """What an option takes of a range beyond what is taken already."""
    taken = chosen.get((option.drive, option.end))
    return max(option.cost - (taken.cost if taken else 0.0), 0.0)
