"""`posekit motion`: what the prop really does over a show, as numbers, curves and an animated GLB."""

from __future__ import annotations

from pathlib import Path

import click
import numpy as np

import posekit
from posekit.budgets import RECORDING_BYTES
from posekit.clearance.left_out import grouped
from posekit.cli.files import must_be_free, write_result
from posekit.cli.options import Number, force_option, json_option, model_argument
from posekit.cli.printing import finding_marks, finish, print_findings, print_json, say, table
from posekit.motion import Limits
from posekit.motion.readings import Readings
from posekit.motion.suggest import Suggested
from posekit.paths import read_within
from posekit.prop.folder import SHOWS, in_folder
from posekit.report.motion import MotionReport, animation, curves_file, motion_report
from posekit.stream import Show, read_show
from posekit.text import exact, listed, plain


@click.command("motion")
@model_argument
@click.argument("show")
@json_option
@click.option("--glb", metavar="FILE.glb", help="Write the prop with its real motion as an animated GLB.")
@click.option("--csv", metavar="FILE.csv", help="Write the curves of all drives as CSV.")
@click.option(
    "--within",
    metavar="SECONDS",
    type=Number(min=0.0, min_open=True),
    help="Suggest the gentlest limits with which every drive still reaches its stops within this time.",
)
@force_option
def command(
    model: str, show: str, as_json: bool, glb: str | None, csv: str | None, within: float | None, force: bool
) -> None:
    """Run SHOW on MODEL under the speed and acceleration limits of its drives.

    MODEL is a prop folder, its prop.toml, or a GLB that posekit wrote. SHOW is a file: cues (.toml), a recorded
    stream (.csv: time,universe,address,value), a capture of E1.31 packets (.pcap, .pcapng, .cap), or the name of a
    show of the prop.
    """
    places = {ending: place for ending, place in ((".glb", glb), (".csv", csv)) if place}
    prop = posekit.load(model)
    for ending, place in places.items():
        must_be_free(place, ending, force=force, prop=prop, model=model)
    report = motion_report(prop, show_of(prop, show), within)
    files = {".csv": curves_file, ".glb": animation}
    contents = {
        ending: files[ending](prop, report.show, report.motion, report.readings.settled) for ending in places
    }
    for ending, place in places.items():
        write_result(place, contents[ending], ending, force=force, prop=prop, model=model)
    if as_json:
        print_json(report.as_dict())
    else:
        _print(report)
        for written in places.values():
            say(f"Wrote {written}.")
    finish(report.findings)


def show_of(prop: posekit.Prop, given: str) -> Show:
    """The show meant by a word of the command line: a file, or a show that came with the prop."""
    kept = in_folder(prop.files, SHOWS)
    if given in kept and not Path(given).is_file():
        return read_show(prop, prop.files[kept[given]], kept[given])
    right = f"the shows of this prop are: {listed(kept)}"
    return read_show(prop, read_within(given, RECORDING_BYTES, "a show", right), given)


def _print(report: MotionReport) -> None:
    show, read, findings = report.show, report.readings, report.findings
    title = f"{report.prop.name}: {show.name}, {show.duration:.2f} s, {len(show.times)} frames; "
    title += f"all at rest at {read.settled:.2f} s"
    columns = [
        "drive", "arrives", "lag s>", "short deg>", "top deg/s>", "top deg/s2>",
        "at speed s>", "at acceleration s>", "value moves", "finding",
    ]  # fmt: skip
    rows = [
        (
            reading.drive,
            "yes" if reading.arrives else f"no, {reading.missed} of {reading.stops} stops missed",
            f"{reading.lag_s:.2f}",
            f"{reading.short_deg:.2f}",
            f"{reading.top_speed:.1f}",
            "jumps" if reading.top_acceleration is None else f"{reading.top_acceleration:.0f}",
            f"{reading.at_speed:.2f}",
            f"{reading.at_acceleration:.2f}",
            f"{plain(step.own.joint, 2)} {step.own.unit}, {plain(step.own.tip_mm, 2)} mm",
            finding_marks(finding for finding in findings if finding.subject == reading.drive),
        )
        for reading, step in zip(read.drives, read.steps, strict=True)
    ]
    table(title, columns, rows)
    joints = ((speed.name, f"{speed.speed:.1f}", speed.unit, f"{speed.at:.2f}") for speed in read.joints)
    table("Joints", ("joint", "top speed>", "unit", "at s>"), joints)
    parts = ((speed.name, f"{speed.speed:.0f}", f"{speed.at:.2f}") for speed in read.parts)
    table("Part tips", ("part", "top mm/s>", "at s>"), parts)
    if report.suggested:
        _print_suggested(report.motion.limits, read, report.suggested)
    if report.left_out:
        table("left out: not checked, or only in part", ("parts", "why"), grouped(report.left_out))
    print_findings(findings)
    say(report.summary)


def _print_suggested(limits: Limits, read: Readings, suggested: Suggested) -> None:
    rows = [
        (
            now.drive,
            _limit(limits.speed[d]),
            _limit(suggested.limits.speed[d]),
            _limit(limits.acceleration[d]),
            _limit(suggested.limits.acceleration[d]),
            f"{now.lag_s:.2f}",
            f"{then.lag_s:.2f}",
        )
        for d, (now, then) in enumerate(zip(read.drives, suggested.readings, strict=True))
    ]
    columns = ("drive", "deg/s now>", "suggested>", "deg/s2 now>", "suggested>", "lag s now>", "then>")
    table("Gentlest limits, tried on the same show", columns, rows)


def _limit(number: float) -> str:
    return exact(number) if np.isfinite(number) else "none"
