"""`posekit envelope`: which parts can strike, over everything the end points allow, and what to change."""

from __future__ import annotations

import time
from collections.abc import Iterator, Sequence
from math import inf
from pathlib import Path

import click

import posekit
from posekit.clearance import Envelope
from posekit.clearance.left_out import grouped
from posekit.clearance.verdict import VERDICTS
from posekit.cli.envelope_files import must_be_new, write_new
from posekit.cli.options import Number, Whole, json_option, model_argument
from posekit.cli.printing import bars, finish, print_aside, print_findings, print_json, say, table
from posekit.cli.verdict_folder import VerdictFolder
from posekit.cli.workers import workers
from posekit.errors import Finding, note
from posekit.output.limits_toml import limits_toml
from posekit.report.envelope import EnvelopeReport, envelope_report, values_text
from posekit.report.fix import FixReport, fix_report
from posekit.report.map import first_map
from posekit.report.verdict_words import SAID
from posekit.text import downward, exact


@click.command("envelope")
@model_argument
@click.option("--margin", type=Number(min=0), help="Clearance to keep, mm; default: the prop's own.")
@click.option("--resolution", type=Number(min=0.01), default=1.0, show_default=True,
              help="Size below which a box of joint positions is not split, degrees or mm.")  # fmt: skip
@click.option("--budget", type=Number(min=0), help="Stop after this many seconds and print what is known.")
@json_option
@click.option("--suggest/--no-suggest", default=True, help="Look for end points that would make pairs clear.")
@click.option("--fix", type=click.Path(path_type=Path),
              help="Write the cheapest set of changed end points, as TOML.")  # fmt: skip
@click.option("--map", "map_file", type=click.Path(path_type=Path),
              help="Draw the worst pair as a map over the two channels that matter most, as SVG.")  # fmt: skip
@click.option("--cache", type=click.Path(file_okay=False, path_type=Path),
              help="Folder to keep results in, so that the next run is quicker.")  # fmt: skip
@click.option("--jobs", type=Whole(min=1), default=1, show_default=True, help="How many processes to use.")
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
    """Check each pair of parts of MODEL at every combination of channel values.

    "clear": proved to keep the margin at all values and on the way between them. "near": proved never to touch, but
    they come closer than the margin. "strikes": they touch, at the values that are listed. "open": too close to tell
    at this resolution or in this time. What is not checked is listed as left out. Exit status 0 if every checked pair
    is clear, else 1.
    """
    must_be_new({"--fix": fix, "--map": map_file})
    until = inf if budget is None else time.monotonic() + budget
    prop = posekit.load(model)
    kept = None if cache is None else VerdictFolder(cache)
    with workers(jobs, dask) as executor:
        with bars() as tell:
            report = envelope_report(
                prop, margin_mm=margin, resolution=resolution, suggest=suggest or fix is not None,
                budget_s=_left_s(until), executor=executor, cache=kept,
                progress=lambda state: tell("checking pairs", len(state.verdicts.settled), state.verdicts.pairs)
                if state.phase == "judging" else tell("looking for end points", state.looked_for, state.unclear),
            )  # fmt: skip
        fixed = None
        if fix is not None:
            with bars() as tell:
                fixed = fix_report(
                    prop, report, budget_s=_left_s(until), executor=executor, cache=kept,
                    progress=lambda state: tell("proving the fix", len(state.settled), state.pairs),
                )  # fmt: skip
    written = [] if fix is None or fixed is None else [*_write_fix(prop, fixed, fix)]
    if map_file is not None:
        written += _write_map(prop, report.envelope, map_file)
    findings = [*report.findings, *written]
    if as_json:
        print_json(report.as_dict())
        print_aside(written)  # what the JSON has no place for and that must not be lost
    else:
        _print_tables(report)
        if findings:
            print_findings(findings)
        say(f"{report.summary}.")
    finish(findings)


def _left_s(until: float) -> float | None:
    """Seconds left until an instant of `time.monotonic`; None for as long as it takes."""
    return None if until == inf else max(until - time.monotonic(), 0.0)


def _write_fix(prop: posekit.Prop, fixed: FixReport, place: Path) -> Iterator[Finding]:
    """Write the changed end points, if there are any; and tell what they do."""
    if fixed.changes:
        write_new(place, limits_toml(prop, fixed.changes, fixed.outcome))
        yield note("written", str(place), "holds the changed end points")
    else:
        yield note("not-written", str(place), "is not written, because no end point is changed")
    yield from fixed.findings


def _write_map(prop: posekit.Prop, found: Envelope, place: Path) -> Iterator[Finding]:
    """Draw the gravest pair, through the values of its witness."""
    pair, drawn = first_map(prop, found)
    if pair is None:
        yield note(
            "no-map",
            str(place),
            "is not written: no pair that a channel moves strikes or comes closer than the margin",
        )
    else:
        write_new(place, drawn)
        yield note("map", str(place), f"shows {pair[0]} and {pair[1]}")


def _print_tables(report: EnvelopeReport) -> None:
    """Print the verdicts, gravest first, what was left out, and the suggestions."""
    found = report.envelope
    rows = sorted(found.pairs, key=lambda each: (VERDICTS.index(each.verdict), each.clear_by_mm or 0.0))
    table(
        f"{found.prop}: every combination of values, margin {exact(found.margin_mm)} mm, "
        f"resolution {exact(found.resolution_deg)} deg",
        ("pair", "verdict", "proved mm>", "channels that move it", "values where they strike or are closest"),
        ((" - ".join(each.pair), SAID[each.verdict] + (" (kept)" if each.kept else ""),
          "-" if each.clear_by_mm is None else downward(each.clear_by_mm, 1), ", ".join(each.drives), values_text(each))
         for each in rows),
    )  # fmt: skip
    if found.left_out:
        table("left out: not checked, or only in part", ("parts", "why"), grouped(found.left_out))
    if report.suggestions:
        table(
            "end points that would clear pairs, each with all else at full range",
            ("drive", "end", "µs>", "clears"),
            ((each.drive, each.end, exact(each.pulse_us), _pairs_text(each.clears))
             for each in report.suggestions[:SHOWN]),
        )  # fmt: skip
        if len(report.suggestions) > SHOWN:
            say(f"and {len(report.suggestions) - SHOWN} more; --json lists all")


SHOWN, FEW = 12, 4


def _pairs_text(pairs: Sequence[tuple[str, str]]) -> str:
    """The first few pairs, and how many more."""
    first = ", ".join(" - ".join(pair) for pair in pairs[:FEW])
    return first if len(pairs) <= FEW else f"{first} and {len(pairs) - FEW} more"
