"""Over everything the end points allow: which parts can strike or come too near, and which end points would help."""

from __future__ import annotations

import time
from collections.abc import Callable, Generator, Iterator
from concurrent.futures import Executor
from dataclasses import dataclass
from math import inf
from typing import Any, Literal

from posekit.budgets import CELLS
from posekit.clearance.certify import STEP_CELLS, Progress
from posekit.clearance.certify import envelope_steps as verdict_steps
from posekit.clearance.cover import coverage_steps
from posekit.clearance.fixes import Option, option_steps, suggestions_from, unclear
from posekit.clearance.kept import Cache
from posekit.clearance.verdict import VERDICTS, Envelope, PairVerdict, Suggestion
from posekit.clearance.watch import Watch, bearing_findings, watch_steps
from posekit.errors import Finding, error, warning
from posekit.mechanism.pairs import Pair
from posekit.prop.model import Prop
from posekit.stepwise import finished, telling
from posekit.text import counted, downward, exact, upward

UNCOVERED = (
    "were not all held against their meshes before the work ended: where they fall short of one, a part can strike "
    "that is told as clear; allow more time"
)


@dataclass(frozen=True, slots=True)
class EnvelopeReport:
    """The verdicts on all pairs, the end points that would make some clear, and all there is to tell of them.

    `options` are the single end points found, pair by pair; `suggestions` the same, told once for all their
    pairs, `looked_for` the pairs for which they were looked for, None where nobody asked for any. `summary` counts
    every pair, those left out included.
    """

    envelope: Envelope
    options: tuple[Option, ...]
    suggestions: tuple[Suggestion, ...]
    looked_for: frozenset[Pair] | None
    findings: tuple[Finding, ...]

    @property
    def summary(self) -> str:
        """How many pairs have which verdict, and how many were left out."""
        return _summary_of(self.envelope)

    def as_dict(self) -> dict[str, Any]:
        """The report as the command line prints it."""
        found = self.envelope
        return {
            "prop": found.prop,
            "margin_mm": found.margin_mm,
            "resolution_deg": found.resolution_deg,
            "pairs": [pair.as_dict() for pair in found.pairs],
            "left_out": [each.as_dict() for each in found.left_out],
            "suggestions": [suggestion.as_dict() for suggestion in self.suggestions],
            "findings": [finding.as_dict() for finding in self.findings],
        }


@dataclass(frozen=True, slots=True)
class EnvelopeProgress:
    """How far a report is: `verdicts` settled so far; then, for how many pairs end points were looked for.

    `findings` are those of the shapes, once they are looked at.
    """

    phase: Literal["judging", "suggesting"]
    verdicts: Progress
    looked_for: int
    unclear: int
    seconds: float
    findings: tuple[Finding, ...]


def envelope_report(
    prop: Prop,
    *,
    margin_mm: float | None = None,
    resolution: float = 1.0,
    suggest: bool = True,
    budget_s: float | None = None,
    executor: Executor | None = None,
    cache: Cache | None = None,
    progress: Callable[[EnvelopeProgress], bool | None] | None = None,
) -> EnvelopeReport:
    """The envelope of a prop, as `posekit.clearance.envelope` finds it, with all there is to tell.

    The work ends early, with what is known, when `budget_s` is used up or `progress` returns False. Raises
    PosekitError for a mesh that cannot be read, and for numbers that make no sense.
    """
    steps = report_steps(
        prop, margin_mm=margin_mm, resolution=resolution, suggest=suggest, budget_s=budget_s, executor=executor,
        cache=cache,
    )  # fmt: skip
    return finished(steps, progress)


def report_steps(
    prop: Prop,
    *,
    margin_mm: float | None = None,
    resolution: float = 1.0,
    suggest: bool = True,
    budget_s: float | None = None,
    executor: Executor | None = None,
    cache: Cache | None = None,
    step_cells: int = STEP_CELLS,
    watched: Watch | None = None,
) -> Generator[EnvelopeProgress, bool | None, EnvelopeReport]:
    """`envelope_report` in small steps, each of `step_cells` boxes of positions at most, for callers with other work.

    Sending True stops it: what is not settled is told as open.
    """
    start = time.monotonic()

    def used_up() -> bool:
        return budget_s is not None and time.monotonic() - start >= budget_s

    if watched is None:
        nothing = Progress((), 0, 0, 0.0)
        watched = yield from telling(watch_steps(prop), EnvelopeProgress("judging", nothing, 0, 0, 0.0, ()))
    shapes = (*watched.parts.findings, *bearing_findings(watched))
    stop: bool | None = None
    covering, covered = coverage_steps(prop), False
    # Ends: with the steps, of which each mesh and its pieces have so many.
    while True:
        try:
            next(covering)
        except StopIteration as end:
            shapes, covered = (*watched.parts.findings, *end.value, *bearing_findings(watched)), True
            break
        begun = Progress((), len(watched.pairs), 0, time.monotonic() - start)
        stop = yield EnvelopeProgress("judging", begun, 0, 0, begun.seconds, shapes)
        if stop or used_up():
            break
    if not covered:
        shapes = (*shapes, warning("out-of-time", "pieces", UNCOVERED))
    left_s = None if budget_s is None else max(budget_s - (time.monotonic() - start), 0.0)
    judging = verdict_steps(
        prop, resolution=resolution, margin_mm=margin_mm, budget_s=left_s, executor=executor, cache=cache,
        step_cells=step_cells, watched=watched,
    )  # fmt: skip
    try:
        verdicts = next(judging)
        # Ends: with the steps, which end as the searches do.
        while True:
            if not stop:
                seconds = time.monotonic() - start
                stop = yield EnvelopeProgress("judging", verdicts, 0, 0, seconds, shapes)
            verdicts = judging.send(stop)
    except StopIteration as end:
        found: Envelope = end.value
    options: list[Option] = []
    pairs, looked_for = unclear(found.pairs), 0
    if suggest and pairs and not stop and not used_up():
        cells = sum(each.cells for each in found.pairs)
        verdicts = Progress(found.pairs, len(found.pairs), cells, time.monotonic() - start)
        until_s = inf if budget_s is None else time.time() + budget_s - (time.monotonic() - start)
        for own in option_steps(prop, pairs, found.margin_mm, resolution, executor, until_s, watched):
            if own is not None:
                options += own
                looked_for += 1
            seconds = time.monotonic() - start
            stop = yield EnvelopeProgress("suggesting", verdicts, looked_for, len(pairs), seconds, shapes)
            if stop or used_up():
                break
    told = [*verdict_findings(found), *shapes, *found.findings, *_unfinished(found)]
    if suggest and looked_for < len(pairs):
        sentence = f"end points were looked for in {looked_for} of {len(pairs)} pairs before the work ended"
        told.append(warning("out-of-time", "", sentence))
    done = frozenset(pairs[:looked_for]) if suggest else None
    return EnvelopeReport(found, tuple(options), suggestions_from(options), done, tuple(told))


def verdict_findings(found: Envelope) -> Iterator[Finding]:
    """An error for each pair that is not clear, the gravest first."""
    for verdict in sorted(found.pairs, key=lambda each: VERDICTS.index(each.verdict)):
        subject = " - ".join(verdict.pair)
        if verdict.verdict == "strikes":
            yield error("strikes", subject, f"touch or overlap at {values_text(verdict) or 'every value'}")
        elif verdict.verdict == "near":
            yield error("near", subject, _near_sentence(verdict, found.margin_mm))
        elif verdict.verdict == "open":
            told = upward(100 * verdict.open_fraction, 0) if verdict.open_fraction >= 0.01 else "less than 1"
            share = f"{told} % of the range is not proved clear"
            if verdict.nearest_mm is not None:
                share += f"; closest found {downward(verdict.nearest_mm)} mm"
            why = "too close to tell at this resolution" if verdict.finished else "not checked to the end"
            yield error("open", subject, f"{why}: {share}")


def _near_sentence(verdict: PairVerdict, margin_mm: float) -> str:
    """What to tell of a pair that keeps apart, but not by the margin."""
    sentence = f"never touch, but come closer than the margin of {exact(margin_mm)} mm: "
    if verdict.nearest_mm is not None:
        sentence += f"{downward(verdict.nearest_mm)} mm apart at {values_text(verdict) or 'every value'}; "
    sentence += f"{downward(verdict.clear_by_mm or 0.0)} mm is proved"
    return sentence if verdict.finished else f"{sentence}; not checked to the end"


def _unfinished(found: Envelope) -> Iterator[Finding]:
    """That the work ended before its time, where it did."""
    count = sum(not verdict.finished for verdict in found.pairs)
    if count:
        sentence = (
            f"{count} of {len(found.pairs)} pairs were not checked to the end: it was stopped, or the time "
        )
        sentence += (
            f"or the limit of {CELLS:,} boxes of positions ran out; allow more, or use a coarser resolution"
        )
        yield warning("out-of-time", "", sentence)


def _summary_of(found: Envelope) -> str:
    """`63 pairs: 60 clear, 1 near, 2 strike, 0 open; 5 left out`."""
    count = {verdict: len(found.of(verdict)) for verdict in VERDICTS}
    pairs = counted(len(found.pairs), "pair")
    aside = len({each.pair for each in found.left_out if each.whole})
    part = len({each.pair for each in found.left_out if not each.whole})
    told = f"{pairs}: {count['clear']} clear, {count['near']} near, {count['strikes']} strike, {count['open']} open"
    return f"{told}; {aside} left out" + (f", {part} checked in part" if part else "")


def values_text(verdict: PairVerdict) -> str:
    """The values of the witness that matter: `neck 255, jaw 12`."""
    if verdict.witness is None:
        return ""
    return ", ".join(f"{name} {verdict.witness[name]}" for name in verdict.drives)
