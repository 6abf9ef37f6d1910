"""`posekit envelope`: which parts can strike, over everything the end points allow, and what to change."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Executor
from contextlib import contextmanager
from dataclasses import dataclass, replace
from math import inf
from pathlib import Path

import click

import posekit
from posekit.clearance import Cache, Envelope, PairVerdict, solids
from posekit.clearance.cover import shape_findings
from posekit.clearance.fixes import (
    Option,
    cheapest_set,
    option_steps,
    suggestions_from,
    unclear,
    with_end_points,
)
from posekit.clearance.slices import slice_through
from posekit.cli.envelope_files import must_be_new, write_new
from posekit.cli.printing import VERDICTS, finish, print_aside, print_findings, print_json, table
from posekit.cli.verdict_folder import VerdictFolder
from posekit.cli.workers import workers
from posekit.errors import Finding, error, note, warning
from posekit.output.limits_toml import limits_toml
from posekit.report.map import map_of


@click.command("envelope")
@click.argument("model")
@click.option(
    "--margin", type=click.FloatRange(min=0), help="Clearance to keep, mm; default: the prop's own."
)
@click.option("--resolution", type=click.FloatRange(min=0.01), default=1.0, show_default=True,
              help="Size below which a box of joint positions is not split, degrees or mm.")  # fmt: skip
@click.option("--budget", type=click.FloatRange(min=0), help="Seconds after which to tell what is known.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@click.option("--suggest/--no-suggest", default=True, help="Look for end points that would make pairs clear.")
@click.option("--fix", type=click.Path(path_type=Path),
              help="Write the cheapest set of changed end points, as TOML.")  # fmt: skip
@click.option("--map", "map_file", type=click.Path(path_type=Path),
              help="Draw the first pair that strikes over its two most telling channels, as SVG.")  # fmt: skip
@click.option("--cache", type=click.Path(file_okay=False, path_type=Path),
              help="Folder that keeps verdicts, for the next time.")  # fmt: skip
@click.option(
    "--jobs", type=click.IntRange(min=1), default=1, show_default=True, help="Processes to work with."
)
@click.option("--dask", metavar="ADDRESS", help="Dask scheduler to work on instead; needs posekit[cluster].")
def command(
    model: str,
    margin: float | None,
    resolution: float,
    budget: float | None,
    as_json: bool,
    suggest: bool,
    fix: Path | None,
    map_file: Path | None,
    cache: Path | None,
    jobs: int,
    dask: str | None,
) -> None:
    """Tell for each pair of parts of MODEL whether it can strike at any combination of channel values.

    "clear" is proved, for every value and on the way between values; "strikes" comes with values that do;
    "open" is what is too near to tell at this resolution or in this time. Exit status 1 if a pair strikes, or
    was not judged to the end.
    """
    must_be_new({"--fix": fix, "--map": map_file})
    prop = posekit.load(model)
    with workers(jobs, dask) as executor:
        work = Work(executor, {} if cache is None else VerdictFolder(cache), end_of(budget))
        found = judged(prop, work, margin, resolution)
        options, looked = options_for(prop, found, work) if suggest or fix else ([], unclear(found.pairs))
        beside = [*shape_findings(prop, solids(prop)), *unfinished(found), *not_looked_for(found, looked)]
        found = replace(found, suggestions=suggestions_from(options))
        written = [] if fix is None else [*write_fix(prop, found, options, fix, work)]
    if map_file is not None:
        written += write_map(prop, found, map_file)
    findings = [*findings_of(found), *beside, *written]
    if as_json:
        print_json(found.as_dict())
        # What the JSON has no place for and that must not be lost.
        print_aside([*(finding for finding in beside if finding.level == "error"), *written])
    else:
        print_tables(found)
        print_findings(findings)
    finish(findings)


@dataclass(frozen=True, slots=True)
class Work:
    """What all of one command's work shares: who does it, what is known already, and when it has to end."""

    executor: Executor | None
    known: Cache
    until: float

    @property
    def left_s(self) -> float | None:
        """Seconds left; None for as long as it takes."""
        return None if self.until == inf else max(self.until - time.monotonic(), 0.0)


def end_of(budget_s: float | None) -> float:
    """The instant of `time.monotonic` at which the time is used up."""
    return inf if budget_s is None else time.monotonic() + budget_s


def judged(prop: posekit.Prop, work: Work, margin: float | None, resolution: float) -> Envelope:
    """The envelope of a prop, under a bar."""
    with bar("judging pairs") as tell:
        return posekit.clearance.envelope(
            prop, margin_mm=margin, resolution=resolution, budget_s=work.left_s, executor=work.executor,
            cache=work.known, progress=lambda state: tell(len(state.settled), state.pairs),
        )  # fmt: skip


def options_for(
    prop: posekit.Prop, found: Envelope, work: Work
) -> tuple[list[Option], list[tuple[str, str]]]:
    """The end points that would clear pairs that are not clear, and the pairs that were looked at in the time."""
    pairs = unclear(found.pairs)
    tried, done = [] if work.left_s == 0.0 else pairs, 0
    steps = option_steps(prop, tried, found.margin_mm, found.resolution_deg, work.executor)
    with bar("looking for end points") as tell:
        try:
            done = next(steps)
            # Ends: with the steps, of which there is one a pair.
            while True:
                tell(done, len(pairs))
                done = steps.send(work.left_s == 0.0)
        except StopIteration as end:
            options: list[Option] = end.value
    return options, pairs[:done]


def unfinished(found: Envelope) -> Iterator[Finding]:
    """That the time ran out, where it did."""
    count = sum(not verdict.finished for verdict in found.pairs)
    if count:
        sentence = f"the time ran out with {count} of {len(found.pairs)} pairs not judged to the end"
        yield warning("out-of-time", "verdicts", sentence)


def not_looked_for(found: Envelope, looked: Sequence[tuple[str, str]]) -> Iterator[Finding]:
    """That the time ran out over the end points, where it did."""
    count = len(unclear(found.pairs))
    if len(looked) < count:
        sentence = f"the time ran out with end points looked for in {len(looked)} of {count} pairs"
        yield warning("out-of-time", "suggestions", sentence)


def write_fix(
    prop: posekit.Prop, found: Envelope, options: list[Option], place: Path, work: Work
) -> Iterator[Finding]:
    """Write the cheapest set of end points, once the envelope of the changed prop shows what it clears."""
    changes = cheapest_set(options)
    if not changes:
        if len(found.of("clear")) == len(found.pairs):
            yield note("no-change", str(place), "is not written: every pair is clear")
        else:
            yield error("not-cleared", str(place), f"is not written: {NONE_FOUND}")
        return
    proof = judged(with_end_points(prop, changes), work, found.margin_mm, found.resolution_deg)
    left = [verdict for verdict in proof.pairs if verdict.verdict != "clear"]
    if left:
        level = warning
        outcome = f"NOT proved: with it {len(left)} of {len(proof.pairs)} pairs still strike or are open"
    else:
        least = min(verdict.clear_by_mm or 0.0 for verdict in proof.pairs)
        level = note
        outcome = f"with it every pair is clear by {least:.2f} mm or more, proved"
    write_new(place, limits_toml(prop, changes, outcome))
    changed = ", ".join(f"{drive} {end} {pulse_us:g} µs" for (drive, end), pulse_us in changes.items())
    yield level("fix", str(place), f"holds {changed}: {outcome}")
    cleared = {option.pair for option in options}
    for verdict in left:
        if not verdict.finished:
            why = "not judged to the end"
        elif verdict.pair not in cleared:
            why = NONE_FOUND
        else:
            why = "the end points found for it do not go with those of other pairs; change one and try again"
        yield error("not-cleared", " - ".join(verdict.pair), f"{verdict.verdict} even so: {why}")


def write_map(prop: posekit.Prop, found: Envelope, place: Path) -> Iterator[Finding]:
    """Draw the first pair that strikes, through the values of its witness."""
    striking = [verdict for verdict in found.of("strikes") if verdict.drives]
    if not striking:
        yield note("no-map", str(place), "is not written: no pair strikes that a channel moves")
        return
    first = striking[0]
    assert first.witness is not None
    write_new(place, map_of(prop, slice_through(prop, first.pair, first.witness)))
    others = f"; {len(striking) - 1} more pairs strike" if len(striking) > 1 else ""
    yield note("map", str(place), f"shows {first.pair[0]} and {first.pair[1]}{others}")


def findings_of(found: Envelope) -> Iterator[Finding]:
    """What an envelope has to tell."""
    for verdict in found.pairs:
        subject, least = " - ".join(verdict.pair), verdict.clear_by_mm
        if verdict.verdict == "strikes":
            yield error("strikes", subject, f"touch or overlap at {values_text(verdict) or 'every value'}")
        elif verdict.verdict == "open":
            share = f"{100 * verdict.open_fraction:.3g} % of the range is not proved clear"
            if verdict.nearest_mm is not None:
                share += f"; least distance met {verdict.nearest_mm:.2f} mm"
            if verdict.finished:
                yield warning("open", subject, f"too near to tell at this resolution: {share}")
            else:
                yield error("open", subject, f"not judged to the end: {share}")
        elif least is not None and least < found.margin_mm:
            sentence = f"clear, but proved by {least:.2f} mm only; the margin is {found.margin_mm:g} mm"
            yield warning("near", subject, sentence)


def print_tables(found: Envelope) -> None:
    """Print the verdicts, gravest first, and the suggestions."""
    order = {"strikes": 0, "open": 1, "clear": 2}
    rows = sorted(found.pairs, key=lambda each: (order[each.verdict], each.clear_by_mm or 0.0))
    table(
        f"{found.prop}: every combination of values, resolution {found.resolution_deg:g} deg",
        ("pair", "verdict", "clear by mm>", "channels on the way", "values that strike"),
        ((" - ".join(each.pair), VERDICTS[each.verdict], "-" if each.clear_by_mm is None else f"{each.clear_by_mm:.1f}",
          ", ".join(each.drives), values_text(each)) for each in rows),
    )  # fmt: skip
    if found.suggestions:
        table(
            "end points that would clear pairs, each with all else at full range",
            ("drive", "end", "µs>", "clears"),
            ((each.drive, each.end, f"{each.pulse_us:g}", pairs_text(each.clears))
             for each in found.suggestions[:SHOWN]),
        )  # fmt: skip
        if len(found.suggestions) > SHOWN:
            click.echo(f"and {len(found.suggestions) - SHOWN} more; --json lists all\n")


@contextmanager
def bar(what: str) -> Iterator[Callable[[int, int], None]]:
    """A bar on the error stream while work goes on, if a person watches."""
    from rich.console import Console
    from rich.progress import Progress

    with Progress(console=Console(stderr=True), transient=True, disable=not sys.stderr.isatty()) as shown:
        task = shown.add_task(what, total=None)
        yield lambda done, total: shown.update(task, completed=done, total=total)


SHOWN, FEW = 12, 4
NONE_FOUND = (
    "no single end point was found in the time that clears it and leaves a quarter of its drive's range"
)


def pairs_text(pairs: Sequence[tuple[str, str]]) -> str:
    """The first few pairs, and how many more."""
    first = ", ".join(" - ".join(pair) for pair in pairs[:FEW])
    return first if len(pairs) <= FEW else f"{first} and {len(pairs) - FEW} more"


def values_text(verdict: PairVerdict) -> str:
    """The values of the witness that matter: `neck 255, jaw 12`."""
    if verdict.witness is None:
        return ""
    return ", ".join(f"{name} {verdict.witness[name]}" for name in verdict.drives)
