"""Along a move: when two links first strike or are nearest, with nothing missed between any two looks at it.

Time is cut where needed. Over a slice of time each shaft stays within a range, so the coordinates stay within
a box, and a box is judged as in the envelope: slices proved clear by the margin are done, the others are cut
in two. That goes on until what is left is shorter than the resolution in time. A servo without a speed
limit jumps, and no cut makes the box of a jump smaller: such a box is itself cut, as in the envelope.
"""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from posekit.arrays import Array
from posekit.clearance.cells import A_GO, Cells, cut_up, divisible, judge_steps, to_prove
from posekit.clearance.pair_model import PairModel, pair_model
from posekit.clearance.search import NEAR_ENOUGH
from posekit.clearance.verdict import VERDICTS, Verdict
from posekit.clearance.watch import Watch, watch
from posekit.clearance.witness import distance_of_shafts
from posekit.mechanism.joints import Train, mechanism_of, solve
from posekit.mechanism.reach import coordinate_steps, coordinate_within, turning_shafts
from posekit.mechanism.values import values
from posekit.prop.model import Prop
from posekit.stepwise import finished

FIRST_SLICES = 64
RESOLUTION_S = 1e-3
JUMP = 1.0  # [deg | mm]: a wider box of so short a slice is a jump
MOST_CELLS = 50_000
ZOOMS, TRIALS = 5, 33  # to a millionth of the course


@dataclass(frozen=True, slots=True)
class Course:
    """How D shafts go from `begin` to `end` [s].

    `position` gives shaft angles [deg] at times (n,); (n, D). Drive d goes one way only between its knots:
    it passes `places[d]` [deg] at the times `knots[d]` [s], rising; a jump is two knots at one time.
    """

    begin: float
    end: float
    position: Callable[[Array], Array]
    knots: tuple[Array, ...]
    places: tuple[Array, ...]

    def within(self, begin: Array, end: Array) -> Array:
        """Least and greatest shaft angle [deg] of each drive over slices of time (N,); (N, D, 2)."""
        ends = np.stack([self.position(begin), self.position(end)])
        found = np.stack([ends.min(axis=0), ends.max(axis=0)], axis=-1)
        for d, (knots, places) in enumerate(zip(self.knots, self.places, strict=True)):
            first, last = np.searchsorted(knots, begin, "left"), np.searchsorted(knots, end, "right")
            some = np.flatnonzero(last > first)
            if some.size:
                # Every second entry of reduceat runs over the knots of one slice.
                runs = np.stack([first[some], last[some]], axis=1).ravel()
                padded = np.append(places, places[-1:])
                found[some, d, 0] = np.minimum(found[some, d, 0], np.minimum.reduceat(padded, runs)[::2])
                found[some, d, 1] = np.maximum(found[some, d, 1], np.maximum.reduceat(padded, runs)[::2])
        return found


@dataclass(frozen=True, slots=True)
class MoveVerdict:
    """What is shown of one pair of links along a course.

    strikes: they touch or overlap at `at_s`, where the drives stand nearest to `values`, and never before
    for as long as a millisecond. clear: `clear_by_mm` apart or more at every instant, which is the margin or
    more: proved. near: `clear_by_mm` apart or more, proved, but the margin is not kept or cannot be proved;
    nearest at `at_s`. open: too close to judge from `at_s` on.
    """

    pair: tuple[str, str]
    verdict: Verdict
    at_s: float | None
    values: dict[str, int] | None
    clear_by_mm: float | None

    def as_dict(self) -> dict[str, Any]:
        """The verdict as the command line and the page print it."""
        return {
            "pair": list(self.pair),
            "verdict": self.verdict,
            "at_s": self.at_s,
            "values": self.values,
            "clear_by_mm": self.clear_by_mm,
        }


def along(
    prop: Prop,
    course: Course,
    pairs: Iterable[tuple[str, str]] | None = None,
    resolution_s: float = RESOLUTION_S,
    margin_mm: float | None = None,
    watched: Watch | None = None,
) -> tuple[MoveVerdict, ...]:
    """The verdict on each pair of links along a course, the gravest first and of those the earliest.

    `margin_mm` is the distance to keep; default: the prop's own. `watched` is the `watch` of the prop, for who
    has it already.
    """
    return finished(along_steps(prop, course, pairs, resolution_s, margin_mm, watched))


def along_steps(
    prop: Prop,
    course: Course,
    pairs: Iterable[tuple[str, str]] | None = None,
    resolution_s: float = RESOLUTION_S,
    margin_mm: float | None = None,
    watched: Watch | None = None,
) -> Generator[None, None, tuple[MoveVerdict, ...]]:
    """`along` in small steps of a pair each, for callers with other work to do."""
    wanted_mm = to_prove(prop.clearance.margin if margin_mm is None else margin_mm)
    ways = yield from coordinate_steps(prop)
    made, watched = mechanism_of(prop), watched or watch(prop)
    passed = course.within(np.array([course.begin]), np.array([course.end]))[0]
    turns = []
    for d, ends in enumerate(passed.tolist()):
        turns.append(turning_shafts(prop, d, *ends))
        yield
    edges = np.linspace(course.begin, course.end, FIRST_SLICES + 1)
    slices = np.stack([edges[:-1], edges[1:]], axis=1)
    boxes = boxes_during(prop, course, turns, slices, made.trains)
    found = []
    for pair in watched.pairs if pairs is None else pairs:
        model = pair_model(prop, ways, watched, pair, made)
        yield
        one = _along_one(model, course, turns, slices, boxes, resolution_s, wanted_mm)
        found.append((yield from one))
        yield
    return tuple(sorted(found, key=lambda each: (VERDICTS.index(each.verdict), each.at_s or 0.0)))


def _along_one(
    model: PairModel,
    course: Course,
    turns: Sequence[Array],
    slices: Array,
    boxes: Array,
    resolution_s: float,
    wanted_mm: float,
) -> Generator[None, None, MoveVerdict]:
    """The verdict on one pair of links along a course, cut at first into `slices` (N, 2) [s] with their boxes."""
    struck, unclear = np.inf, np.inf
    proved, nearest = _Moment(np.inf, course.begin), _Moment(np.inf, course.begin)
    drives = list(model.chain.drives)
    shortest = max(resolution_s, 4 * float(np.spacing(np.abs(slices).max())))
    # Ends: each round halves the slices, down to `resolution_s` or the last places of a float.
    while len(slices):
        own = boxes[:, drives]
        cells = Cells(own[..., 0], own[..., 1], np.ones((len(slices), len(model.piece_a)), bool))
        least = (yield from judge_steps(model, cells)).least.min(axis=1)
        asked = np.flatnonzero((least <= 0) | (least < wanted_mm))
        middle = slices.mean(axis=1)
        distance = np.full(len(slices), np.inf)
        yield
        distance[asked] = yield from _distances_during(model, course, middle[asked])
        struck = float(min(struck, middle[distance <= 0.0].min(initial=np.inf)))
        nearest = nearest.or_nearer(distance, middle)
        # Once it is known that the margin is not kept, it is worth telling by how much they stay apart.
        near = min(nearest.mm, proved.mm) < wanted_mm
        enough = NEAR_ENOUGH * nearest.mm if near else wanted_mm
        done = (least > 0) & (least >= enough)
        short = (slices[:, 1] - slices[:, 0] <= shortest) & ~done
        proved = proved.or_nearer(np.where(done | (short & (least > 0)), least, np.inf), middle)
        for n in np.flatnonzero(short & (least <= 0) & (distance > 0)):
            if slices[n, 0] >= unclear:
                continue
            kept_mm = yield from _clear_within(model, cells.take(np.array([n])), wanted_mm)
            if kept_mm > 0.0:
                proved = proved.or_nearer(np.array([kept_mm]), middle[n : n + 1])
            else:
                unclear = float(slices[n, 0])
        cut, half = slices[~done & ~short], middle[~done & ~short]
        slices = np.concatenate([np.stack([cut[:, 0], half], 1), np.stack([half, cut[:, 1]], 1)])
        slices = slices[slices[:, 0] < struck]
        if len(slices):
            boxes = boxes_during(model.prop, course, turns, slices, model.trains)
    if np.isfinite(struck):
        return MoveVerdict(model.pair, "strikes", struck, _values_during(model, course, struck), None)
    if np.isfinite(unclear):
        return MoveVerdict(model.pair, "open", unclear, _values_during(model, course, unclear), None)
    if proved.mm >= wanted_mm:
        return MoveVerdict(model.pair, "clear", None, None, proved.mm)
    at_s = proved.s
    if nearest.mm < wanted_mm:
        at_s = yield from _nearest_instant(model, course, nearest.s)
    return MoveVerdict(model.pair, "near", at_s, _values_during(model, course, at_s), proved.mm)


@dataclass(frozen=True, slots=True)
class _Moment:
    """A distance [mm] and the time [s] of it."""

    mm: float
    s: float

    def or_nearer(self, mm: Array, s: Array) -> _Moment:
        """This one, or the first least of distances (N,) at times (N,) if it is less."""
        best = int(np.argmin(mm)) if len(mm) else 0
        return _Moment(float(mm[best]), float(s[best])) if len(mm) and mm[best] < self.mm else self


def _nearest_instant(model: PairModel, course: Course, about_s: float) -> Generator[None, None, float]:
    """When the two links are nearest, within a first slice of a time at which they are near."""
    width = (course.end - course.begin) / FIRST_SLICES
    for _ in range(ZOOMS):
        t = np.clip(about_s + width * np.linspace(-1.0, 1.0, TRIALS), course.begin, course.end)
        about_s = float(t[np.argmin((yield from _distances_during(model, course, t)))])
        width *= 4 / TRIALS
    return about_s


def _clear_within(model: PairModel, cells: Cells, wanted_mm: float) -> Generator[None, None, float]:
    """A distance [mm] that the two links keep over a box that is a jump: `wanted_mm`, or less; 0 if none is proved."""
    proved = yield from _proved_within(model, cells, wanted_mm)
    return proved or (yield from _proved_within(model, cells, 0.0))


def _proved_within(model: PairModel, cells: Cells, wanted_mm: float) -> Generator[None, None, float]:
    """A distance [mm] of `wanted_mm` or more that the two links keep over a box; 0 if that is not proved."""
    proved, judged = np.inf, 0
    # Ends: each round judges a cell at least, and MOST_CELLS are the most.
    while len(cells):
        found, wide = (yield from judge_steps(model, cells)), divisible(cells, JUMP / 4)
        yield
        judged += len(cells)
        watched = cells.active & ((found.least <= 0.0) | (found.least < wanted_mm))
        split = watched.any(axis=1)
        aside = np.where(cells.active & ~watched, found.least, np.inf)
        proved = min(proved, float(aside.min(initial=np.inf)))
        nearer = (found.centre <= 0.0) | (found.centre < wanted_mm)
        if nearer.any() or (split & ~wide.any(axis=1)).any() or judged > MOST_CELLS:
            return 0.0
        cells = cut_up(cells, np.flatnonzero(split), watched, wide, found.share)
    return proved


def boxes_during(
    prop: Prop, course: Course, turns: Sequence[Array], slices: Array, placed: Sequence[Train]
) -> Array:
    """The ranges of coordinates that slices of time (N, 2) [s] stay within; (N, D, 2).

    Of the drives of these linkages of the prop; 0 of the others.
    """
    shaft = course.within(slices[:, 0], slices[:, 1])
    boxes = np.zeros_like(shaft)
    for train in placed:
        for d in train.drives:
            boxes[:, d] = coordinate_within(prop, train, shaft[:, d], turns[d])
    return boxes


def _distances_during(model: PairModel, course: Course, t: Array) -> Generator[None, None, Array]:
    """Distance [mm] of the two links at times (N,) [s], some at a time."""
    found, some = np.empty(len(t)), max(A_GO // max(len(model.piece_a), 1), 1)
    for begin in range(0, len(t), some):
        shafts_deg = course.position(t[begin : begin + some])
        found[begin : begin + some] = yield from distance_of_shafts(model, shafts_deg)
        yield
    return found


def _values_during(model: PairModel, course: Course, t: float) -> dict[str, int]:
    """The values that pose the prop nearest to where it is at a time [s]."""
    wanted = solve(model.prop, course.position(np.array([t])), model.mechanism).wanted
    nearest = values(model.prop, wanted, model.mechanism.trains)[0]
    return {drive.name: int(value) for drive, value in zip(model.prop.drives, nearest, strict=True)}
