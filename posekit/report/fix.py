"""The cheapest end points that clear what is not clear, and the proof of what they do."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import Executor
from dataclasses import dataclass

from posekit.clearance.certify import Progress, envelope
from posekit.clearance.fixes import End, cheapest_set, with_end_points
from posekit.clearance.kept import Cache
from posekit.clearance.verdict import Envelope
from posekit.errors import Finding, error, note, warning
from posekit.mechanism.pairs import Pair
from posekit.prop.model import Prop
from posekit.report.envelope import EnvelopeReport
from posekit.text import downward, exact

NONE_FOUND = "no single end point was found that clears it and leaves a quarter of its drive's range"
NOT_LOOKED = "the work ended before end points were looked for in all that is not clear; allow more time"
NOT_ASKED = "no end points were looked for"


@dataclass(frozen=True, slots=True)
class FixReport:
    """Changed end points [us] by (drive, end); none where no change helps or is needed.

    `proof` is the envelope of the prop with them, `outcome` what that shows, as a sentence without its end.
    """

    changes: Mapping[tuple[str, End], float]
    proof: Envelope | None
    outcome: str
    findings: tuple[Finding, ...]


def fix_report(
    prop: Prop,
    report: EnvelopeReport,
    *,
    budget_s: float | None = None,
    executor: Executor | None = None,
    cache: Cache | None = None,
    progress: Callable[[Progress], bool | None] | None = None,
) -> FixReport:
    """The cheapest set of end points among those of a report, with the envelope that they lead to."""
    found = report.envelope
    changes = cheapest_set(report.options)
    if not changes:
        if len(found.of("clear")) == len(found.pairs):
            outcome = "nothing to change: every pair that is checked is clear"
            return FixReport({}, None, outcome, (note("no-change", "", outcome),))
        outcome = _why_none(report, {verdict.pair for verdict in found.pairs if verdict.verdict != "clear"})
        return FixReport({}, None, outcome, (error("not-cleared", "", f"nothing is changed: {outcome}"),))
    proof = envelope(
        with_end_points(prop, changes), margin_mm=found.margin_mm, resolution=found.resolution_deg,
        budget_s=budget_s, executor=executor, cache=cache, progress=progress,
    )  # fmt: skip
    outcome = _outcome_of(proof)
    level = note if len(proof.of("clear")) == len(proof.pairs) else warning
    changed = ", ".join(f"{drive} {end} {exact(pulse_us)} µs" for (drive, end), pulse_us in changes.items())
    # Verdicts of a moment ago count for the proof as well, and are no news.
    beside = [finding for finding in proof.findings if finding.code != "kept"]
    told = (level("fix", "", f"{changed}: {outcome}"), *_left_findings(report, proof), *beside)
    return FixReport(changes, proof, outcome, told)


def _outcome_of(proof: Envelope) -> str:
    """What an envelope shows of a prop with changed end points."""
    left = [verdict for verdict in proof.pairs if verdict.verdict != "clear"]
    if left:
        return f"NOT proved: with it {len(left)} of {len(proof.pairs)} pairs are still not clear"
    least = downward(min((verdict.clear_by_mm or 0.0 for verdict in proof.pairs), default=0.0))
    if not proof.left_out:
        return f"with it every pair is clear by {least} mm or more, proved"
    return (
        f"with it every pair that is checked is clear by {least} mm or more, proved; what is left out is not"
    )


def _why_none(report: EnvelopeReport, pairs: set[Pair]) -> str:
    """Why there is no end point that clears these pairs."""
    if report.looked_for is None:
        return NOT_ASKED
    return NONE_FOUND if pairs <= report.looked_for else NOT_LOOKED


def _left_findings(report: EnvelopeReport, proof: Envelope) -> Iterator[Finding]:
    """An error for each pair that the changes do not clear, with the reason."""
    cleared = {option.pair for option in report.options}
    for verdict in proof.pairs:
        if verdict.verdict == "clear":
            continue
        if not verdict.finished:
            why = "not checked to the end"
        elif verdict.pair not in cleared:
            why = _why_none(report, {verdict.pair})
        else:
            why = "the end points found for it do not go together with those of other pairs; change one and try again"
        yield error("not-cleared", " - ".join(verdict.pair), f"{verdict.verdict} even so: {why}")
