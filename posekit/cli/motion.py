"""`posekit motion`: what the prop really does over a show, as numbers, curves and an animated GLB."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path
from typing import Any

import click
import numpy as np

import posekit
from posekit.arrays import Array
from posekit.budgets import RECORDING_BYTES
from posekit.clearance.moves import MoveVerdict, along
from posekit.cli.files import force_option, must_be_free, write_result
from posekit.cli.printing import finding_marks, finish, print_findings, print_json, say, table
from posekit.errors import Finding
from posekit.mechanism.joints import solve
from posekit.motion import Limits, Motion, follow, readings, suggest
from posekit.motion.instants import instants
from posekit.motion.readings import DriveReading, Readings
from posekit.motion.steps import Steps
from posekit.motion.suggest import Suggested
from posekit.output import curves, gltf
from posekit.paths import read_within
from posekit.prop.folder import SHOWS, in_folder
from posekit.report.move import course_of, move_findings
from posekit.stream import Show, read_show
from posekit.text import listed


@click.command("motion")
@click.argument("model")
@click.argument("show")
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@click.option("--glb", metavar="FILE.glb", help="Write the prop with its real motion as an animated GLB.")
@click.option("--csv", metavar="FILE.csv", help="Write the curves of all drives as CSV.")
@click.option(
    "--within",
    metavar="SECONDS",
    type=click.FloatRange(min=0.0, min_open=True),
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
    made = show_of(prop, show)
    motion = follow(prop, made.times, made.values)
    read = readings(prop, motion)
    suggested = None if within is None else suggest(prop, made, within)
    moves = strikes_of(prop, motion)
    findings = (
        *made.findings, *read.findings, *(suggested.findings if suggested else ()),
        *move_findings(moves, prop.clearance.margin),
    )  # fmt: skip
    contents = {ending: _content(prop, motion, instants(made, read.settled), ending) for ending in places}
    for ending, place in places.items():
        write_result(place, contents[ending], ending, force=force, prop=prop, model=model)
    if as_json:
        data = as_data(prop, made, motion.limits, read, suggested, findings)
        print_json({**data, "clearance": [move.as_dict() for move in moves]})
    else:
        _print(prop, made, motion, read, suggested, findings)
        for written in places.values():
            say(f"Wrote {written}.")
    finish(findings)


def _content(prop: posekit.Prop, motion: Motion, times: Array, ending: str) -> bytes:
    """The motion at these times [s], as the file of this ending holds it."""
    shaft, velocity, _ = motion.at(times)
    if ending == ".glb":
        return gltf.animate(prop, times - times[0], solve(prop, shaft).position)
    names = [drive.name for drive in prop.drives]
    return curves.encode(names, times, motion.commanded(times), shaft, velocity)


def show_of(prop: posekit.Prop, given: str) -> Show:
    """The show meant by a word of the command line: a file, or a show that came with the prop."""
    kept = in_folder(prop.files, SHOWS)
    if given in kept and not Path(given).is_file():
        return read_show(prop, prop.files[kept[given]], kept[given])
    right = f"the shows of this prop are: {listed(kept)}"
    return read_show(prop, read_within(given, RECORDING_BYTES, "a show", right), given)


def strikes_of(prop: posekit.Prop, motion: Motion) -> list[MoveVerdict]:
    """The pairs of parts that strike on the way, may, or do not keep the margin, the gravest first."""
    return [move for move in along(prop, course_of(motion)) if move.verdict != "clear"]


def as_data(
    prop: posekit.Prop,
    show: Show,
    limits: Limits,
    read: Readings,
    suggested: Suggested | None,
    findings: tuple[Finding, ...],
) -> dict[str, Any]:
    """A motion as `--json` prints it. A limit that is not there is null."""
    data: dict[str, Any] = {
        "prop": prop.name,
        "show": {
            "name": show.name,
            "frames": len(show.times),
            "seconds": show.duration,
            "settled": read.settled,
        },
        "drives": {
            reading.drive: {**_limits(limits, d), **_named(reading), "arrives": reading.arrives}
            for d, reading in enumerate(read.drives)
        },
        "joints": {
            speed.name: {"top_speed": speed.speed, "unit": speed.unit, "at": speed.at}
            for speed in read.joints
        },
        "parts": {speed.name: {"top_speed_mm_s": speed.speed, "at": speed.at} for speed in read.parts},
        "steps": {step.drive: _named(step) for step in read.steps},
        "findings": [finding.as_dict() for finding in findings],
    }
    if suggested:
        data["suggested"] = {
            reading.drive: {**_limits(suggested.limits, d), **_named(reading), "arrives": reading.arrives}
            for d, reading in enumerate(suggested.readings)
        }
    return data


def _limits(limits: Limits, d: int) -> dict[str, float | None]:
    found = {"speed": limits.speed[d], "acceleration": limits.acceleration[d]}
    return {name: float(limit) if np.isfinite(limit) else None for name, limit in found.items()}


def _named(reading: DriveReading | Steps) -> dict[str, Any]:
    return {name: value for name, value in asdict(reading).items() if name != "drive"}


def _print(
    prop: posekit.Prop,
    show: Show,
    motion: Motion,
    read: Readings,
    suggested: Suggested | None,
    findings: tuple[Finding, ...],
) -> None:
    title = f"{prop.name}: {show.name}, {show.duration:.2f} s, {len(show.times)} frames; "
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
            f"{step.own.joint:.2g} {step.own.unit}, {step.own.tip_mm:.2g} mm",
            finding_marks(finding for finding in findings if finding.subject == reading.drive),
        )
        for reading, step in zip(read.drives, read.steps, strict=True)
    ]
    table(title, columns, rows)
    joints = ((speed.name, f"{speed.speed:.1f}", speed.unit, f"{speed.at:.2f}") for speed in read.joints)
    table("Joints", ("joint", "top speed>", "unit", "at s>"), joints)
    parts = ((speed.name, f"{speed.speed:.0f}", f"{speed.at:.2f}") for speed in read.parts)
    table("Part tips", ("part", "top mm/s>", "at s>"), parts)
    if suggested:
        _print_suggested(motion.limits, read, suggested)
    print_findings(findings)


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
    table("Gentlest limits, run over the same show", columns, rows)


def _limit(number: float) -> str:
    return f"{number:g}" if np.isfinite(number) else "none"
