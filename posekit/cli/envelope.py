"""`posekit envelope`: which parts can strike, over everything the end points allow, and what to change."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Executor
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

import click

import posekit
from posekit.clearance import Envelope, PairVerdict
from posekit.clearance.fixes import Option, cheapest_set, option_steps, suggestions_from, with_end_points
from posekit.clearance.slices import slice_through
from posekit.cli.envelope_files import must_be_new, write_new
from posekit.cli.printing import finish, print_findings, print_json, table
from posekit.cli.verdict_folder import VerdictFolder
from posekit.cli.workers import workers
from posekit.errors import Finding, error, note, warning
from posekit.maps import map_of
from posekit.output.limits_toml import limits_toml


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
    "open" is what is too near to tell at this resolution or in this time.
    """
    for new in (fix, map_file):
        if new is not None:
            must_be_new(new)
    prop = posekit.load(model)
    keep = None if cache is None else VerdictFolder(cache)
    with workers(jobs, dask) as executor:
        with bar("judging pairs") as tell:
            found = posekit.clearance.envelope(
                prop, margin_mm=margin, resolution=resolution, budget_s=budget, executor=executor, cache=keep,
                progress=lambda state: tell(len(state.settled), state.pairs),
            )  # fmt: skip
        options = options_for(prop, found, executor) if suggest or fix else []
        found = replace(found, suggestions=suggestions_from(options))
        findings = [*findings_of(found)]
        if fix is not None:
            findings += write_fix(prop, found, options, fix, executor)
    if map_file is not None:
        findings += write_map(prop, found, map_file)
    if as_json:
        print_json(found.as_dict())
    else:
        print_tables(found)
        print_findings(findings)
    finish(findings)


def options_for(prop: posekit.Prop, found: Envelope, executor: Executor | None) -> list[Option]:
    """The end points that would clear each pair that is not clear."""
    pairs = [verdict.pair for verdict in found.pairs if verdict.verdict != "clear" and verdict.finished]
    options: list[Option] = []
    with bar("looking for end points") as tell:
        steps = option_steps(prop, pairs, found.margin_mm, found.resolution_deg, executor)
        while True:
            try:
                tell(next(steps), len(pairs))
            except StopIteration as end:
                options = end.value
                return options


def write_fix(
    prop: posekit.Prop, found: Envelope, options: list[Option], place: Path, executor: Executor | None
) -> Iterator[Finding]:
    """Write the cheapest set of end points, once the envelope of the changed prop shows what it clears."""
    changes = cheapest_set(options)
    if not changes:
        yield note("no-change", str(place), "is not written: no end point is to be changed")
        return
    fixed = with_end_points(prop, changes)
    proof = posekit.clearance.envelope(fixed, resolution=found.resolution_deg, executor=executor)
    write_new(place, limits_toml(prop, changes))
    left = [verdict for verdict in proof.pairs if verdict.verdict != "clear"]
    changed = ", ".join(f"{drive} {end} {pulse_us:g} us" for (drive, end), pulse_us in changes.items())
    if not left:
        least = min(verdict.clear_by_mm or 0.0 for verdict in proof.pairs)
        yield note(
            "fix",
            str(place),
            f"holds {changed}: with it every pair is clear by {least:.2f} mm or more, proved",
        )
    for verdict in left:
        sentence = f"{verdict.verdict} even with {changed}: no single end point clears it"
        yield error("not-cleared", " - ".join(verdict.pair), sentence)


def write_map(prop: posekit.Prop, found: Envelope, place: Path) -> Iterator[Finding]:
    """Draw the first pair that strikes, through the values of its witness."""
    striking = found.of("strikes")
    if not striking:
        yield note("no-map", str(place), "is not written: no pair strikes")
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
            yield error("strikes", subject, f"touch or overlap at {values_text(verdict)}")
        elif verdict.verdict == "open":
            why = "too near to tell at this resolution" if verdict.finished else "not judged to the end"
            nearest = (
                "" if verdict.nearest_mm is None else f"; least distance met {verdict.nearest_mm:.2f} mm"
            )
            share = f"{100 * verdict.open_fraction:.2g} % of the range is not proved clear"
            yield warning("open", subject, f"{why}: {share}{nearest}")
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
        ((" - ".join(each.pair), SIGNS[each.verdict], "-" if each.clear_by_mm is None else f"{each.clear_by_mm:.1f}",
          ", ".join(each.drives), values_text(each)) for each in rows),
    )  # fmt: skip
    if found.suggestions:
        table(
            "end points that would clear pairs, each with all else at full range",
            ("drive", "end", "us>", "clears"),
            ((each.drive, each.end, f"{each.pulse_us:g}", pairs_text(each.clears))
             for each in found.suggestions[:SHOWN]),
        )  # fmt: skip


@contextmanager
def bar(what: str) -> Iterator[Callable[[int, int], None]]:
    """A bar on the error stream while work goes on, if a person watches."""
    from rich.console import Console
    from rich.progress import Progress

    with Progress(console=Console(stderr=True), transient=True, disable=not sys.stderr.isatty()) as shown:
        task = shown.add_task(what, total=None)
        yield lambda done, total: shown.update(task, completed=done, total=total)


SHOWN, FEW = 12, 4
SIGNS = {"clear": "✓ clear", "strikes": "✗ strikes", "open": "? open"}


def pairs_text(pairs: Sequence[tuple[str, str]]) -> str:
    """The first few pairs, and how many more."""
    first = ", ".join(" - ".join(pair) for pair in pairs[:FEW])
    return first if len(pairs) <= FEW else f"{first} and {len(pairs) - FEW} more"


def values_text(verdict: PairVerdict) -> str:
    """The values of the witness that matter: `neck 255, jaw 12`."""
    if verdict.witness is None:
        return ""
    return ", ".join(f"{name} {verdict.witness[name]}" for name in verdict.drives)
