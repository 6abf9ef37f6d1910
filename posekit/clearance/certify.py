"""The envelope: a verdict on every pair of links over everything the end points allow.

Each pair is a search of its own, cut into jobs that are functions of their arguments alone. They run here
one after the other, or on any `concurrent.futures.Executor`, with the same result: how a search is cut does
not depend on who runs it. Only a time budget or a stop makes the result depend on the machine.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Generator, Iterable
from concurrent.futures import Executor
from dataclasses import dataclass
from math import inf

from posekit.budgets import CELLS
from posekit.clearance.chain import chain_between
from posekit.clearance.fingerprint import fingerprint
from posekit.clearance.jobs import Jobs
from posekit.clearance.kept import Cache, Shelf
from posekit.clearance.pair_model import PairModel, pair_model
from posekit.clearance.search import BATCH, Search, begin
from posekit.clearance.verdict import Envelope, PairVerdict
from posekit.clearance.watch import Watch, watch
from posekit.clearance.witness import distance_of, values_at
from posekit.errors import PosekitError, error
from posekit.mechanism.joints import mechanism_of
from posekit.mechanism.reach import Coordinates, coordinate_steps
from posekit.prop.model import Prop
from posekit.stepwise import finished
from posekit.text import exact

STEP_CELLS = 2 * BATCH


@dataclass(frozen=True, slots=True)
class Progress:
    """How far an envelope is: verdicts that are settled, of how many, and the cells judged for all."""

    settled: tuple[PairVerdict, ...]
    pairs: int
    cells: int
    seconds: float


def envelope(
    prop: Prop,
    *,
    resolution: float = 1.0,
    margin_mm: float | None = None,
    pairs: Iterable[tuple[str, str]] | None = None,
    budget_s: float | None = None,
    progress: Callable[[Progress], bool | None] | None = None,
    executor: Executor | None = None,
    cache: Cache | None = None,
) -> Envelope:
    """Certified verdict for each pair of links over all values of all drives.

    `resolution` [deg | mm] is the size below which a box of positions is not split any more, `margin_mm` the
    distance to keep (default: the prop's own), `pairs` limits the work to some pairs. When `budget_s` is used up,
    or `progress` returns False, the pairs not settled are told as open, or as near where it is proved that they
    stay apart. `cache` keeps verdicts by content. Raises PosekitError for a mesh that cannot be used, and for
    numbers and pairs that make no sense.
    """
    steps = envelope_steps(
        prop, resolution=resolution, margin_mm=margin_mm, pairs=pairs, budget_s=budget_s, executor=executor,
        cache=cache,
    )  # fmt: skip
    return finished(steps, progress)


def envelope_steps(
    prop: Prop,
    *,
    resolution: float = 1.0,
    margin_mm: float | None = None,
    pairs: Iterable[tuple[str, str]] | None = None,
    budget_s: float | None = None,
    executor: Executor | None = None,
    cache: Cache | None = None,
    step_cells: int = STEP_CELLS,
    watched: Watch | None = None,
) -> Generator[Progress, bool | None, Envelope]:
    """`envelope` in small steps, for callers with other work to do.

    Each of the first finds how far a drive goes, then makes a pair ready; those after are of `step_cells` cells at
    most, of a part of these, or of a way downhill. `watched` is the `watch` of the prop, for who has it already.
    Yields Progress; sending True stops the work. Returns the Envelope.
    """
    start = time.monotonic()
    asked_for = None if pairs is None else list(pairs)
    _refuse(prop, asked_for or (), resolution, margin_mm, budget_s)
    margin = prop.clearance.margin if margin_mm is None else margin_mm
    watched = watched or watch(prop)
    wanted = watched.pairs if asked_for is None else asked_for
    made, finding, stopped = mechanism_of(prop), coordinate_steps(prop), False
    # Ends: with the steps, of a drive each.
    while True:
        try:
            next(finding)
        except StopIteration as end:
            ways: Coordinates = end.value
            break
        if not stopped:
            stopped = bool((yield Progress((), len(wanted), 0, time.monotonic() - start)))
    models: list[PairModel] = []
    searches: list[Search] = []
    names: list[str] = []
    verdicts: dict[int, PairVerdict] = {}
    shelf, jobs = Shelf(cache), Jobs(resolution, step_cells, executor)
    for k, pair in enumerate(wanted):
        if stopped and cache is None:  # what is kept counts however little time there is
            break
        models.append(pair_model(prop, ways, watched, pair, made))
        searches.append(begin(models[k], margin))
        names.append(fingerprint(models[k], resolution, margin))
        kept = shelf.find(names[k], models[k])
        if kept is None:
            jobs.start(k, models[k], searches[k])
        else:
            verdicts[k] = kept
        if not stopped:
            seconds = time.monotonic() - start
            asked = yield Progress(tuple(verdicts.values()), len(wanted), 0, seconds)
            stopped = bool(asked) or (budget_s is not None and seconds >= budget_s)
    settled, judged = tuple(verdicts[k] for k in sorted(verdicts)), 0
    # Ends: each search cuts its range into cells that cannot be cut again.
    while jobs.busy and not stopped:
        ended = jobs.wait()
        for k, search in ended:
            searches[k] = search
            if not search.ended:
                jobs.start(k, models[k], search)
                continue
            verdicts[k] = _verdict_of(models[k], search, finished=search.judged < CELLS)
            if verdicts[k].finished:
                shelf.keep(names[k], verdicts[k])
        if ended:  # most steps are a small part of one of them
            settled = tuple(verdicts[k] for k in sorted(verdicts))
            judged = sum(search.judged for search in searches)
        seconds = time.monotonic() - start
        asked = yield Progress(settled, len(wanted), judged, seconds)
        stopped = bool(asked) or (budget_s is not None and seconds >= budget_s)
    for k, search in jobs.drop():
        searches[k] = search
    for k, model in enumerate(models):
        if k not in verdicts:
            verdicts[k] = _verdict_of(model, searches[k], finished=False)
    for k in range(len(models), len(wanted)):
        verdicts[k] = _not_begun(prop, ways, wanted[k])
    settled = tuple(verdicts[k] for k in range(len(wanted)))
    aside = watched.left_out if asked_for is None else ()
    return Envelope(prop.name, margin, resolution, settled, aside, tuple(shelf.findings(settled)))


def _refuse(
    prop: Prop,
    wanted: Iterable[tuple[str, str]],
    resolution: float,
    margin_mm: float | None,
    budget_s: float | None,
) -> None:
    """Raise PosekitError for numbers out of range, nan included, and for pairs that are none."""
    bad = []
    if not 0.0 < resolution < inf:
        bad.append(
            error(
                "out-of-range", "resolution", f"= {exact(resolution)}: use a size above 0, in degrees or mm"
            )
        )
    if margin_mm is not None and not 0.0 <= margin_mm < inf:
        bad.append(error("out-of-range", "margin", f"= {exact(margin_mm)}: use 0 mm or more"))
    if budget_s is not None and not budget_s >= 0.0:
        bad.append(error("out-of-range", "budget", f"= {exact(budget_s)}: use 0 seconds or more"))
    solid = [link.name for link in prop.links if any(shape.solid for shape in link.shapes)]
    for a, b in wanted:
        if a == b or a not in solid or b not in solid:
            names = ", ".join(solid) or "none"
            bad.append(
                error(
                    "unknown-pair",
                    f"{a} - {b}",
                    f"are not two parts with solid shapes; these have some: {names}",
                )
            )
    if bad:
        raise PosekitError(bad)


def _not_begun(prop: Prop, ways: Coordinates, pair: tuple[str, str]) -> PairVerdict:
    """A pair of which nothing was looked at before the work ended."""
    chain = chain_between(prop, ways, *pair)
    return PairVerdict(
        pair=pair,
        joints=tuple(prop.joints[j].name for j in chain.joint),
        drives=tuple(prop.drives[d].name for d in chain.drives),
        verdict="open",
        clear_by_mm=None,
        witness=None,
        open_fraction=1.0,
        nearest_mm=None,
        cells=0,
        finished=False,
    )


def _verdict_of(model: PairModel, search: Search, *, finished: bool) -> PairVerdict:
    """What a search has shown of its pair."""
    verdict, nearest_mm = search.verdict, search.nearest_mm
    at = search.strike if search.at is None else search.at
    if verdict == "near" and at is None:  # whoever ends the work waits for no search downhill of every pair
        at = values_at(model, search.nearest[None])[0]
        nearest_mm = min(nearest_mm, float(distance_of(model, at[None])[0]))
    drives = [model.prop.drives[d].name for d in model.chain.drives]
    witness = None
    if at is not None:
        witness = {drive.name: drive.rest_value for drive in model.prop.drives}
        witness |= {name: int(value) for name, value in zip(drives, at, strict=True)}
    return PairVerdict(
        pair=model.pair,
        joints=tuple(model.prop.joints[j].name for j in model.chain.joint),
        drives=tuple(drives),
        verdict=verdict,
        clear_by_mm=search.least_mm if verdict in ("clear", "near") else None,
        witness=witness,
        open_fraction=search.open_fraction,
        nearest_mm=0.0 if verdict == "strikes" else nearest_mm if search.judged else None,
        cells=search.judged,
        finished=finished or search.settled,
    )
