"""`posekit pose`: what a channel snapshot looks like, as numbers and as a GLB."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import click

import posekit
from posekit.clearance.near_pairs import Near
from posekit.cli.files import given_snapshot, must_be_free, write_result
from posekit.cli.options import force_option, json_option, model_argument
from posekit.cli.printing import finding_marks, finish, print_findings, print_json, print_left_out, say, table
from posekit.mechanism.joints import unit_of
from posekit.output import gltf
from posekit.report.pose import PoseReport, pose_report
from posekit.text import downward, exact, upward


@click.command("pose")
@model_argument
@click.argument("snapshot")
@click.option("-o", "--output", metavar="FILE.glb", help="Write the posed prop as a GLB.")
@json_option
@force_option
def command(model: str, snapshot: str, output: str | None, as_json: bool, force: bool) -> None:
    """Pose MODEL by SNAPSHOT.

    MODEL is a prop folder, its prop.toml, or a GLB that posekit wrote. SNAPSHOT is a file (.csv, .json,
    .bin of 512 bytes, .txt), the name of a look of the prop, typed text such as "1/9@128, 1/10@50%", or a pose for
    the bench: @middle, @neutral (1500 µs, as when horns are fitted), @low, @high, @rest.
    """
    prop = posekit.load(model)
    if output:
        must_be_free(output, ".glb", force=force, prop=prop, model=model)
    report = pose_report(prop, given_snapshot(prop, snapshot))
    if output:
        content = gltf.encode(prop, report.state)
        write_result(output, content, ".glb", force=force, prop=prop, model=model)
    if as_json:
        print_json(as_data(prop, report))
    else:
        _print(prop, report)
        if output:
            say(f"Wrote {output}.")
    finish(report.findings)


def as_data(prop: posekit.Prop, report: PoseReport) -> dict[str, Any]:
    """A pose as `--json` prints it."""
    state = report.state
    return {
        "prop": prop.name,
        "drives": {
            name: {
                "value": state.values[name],
                "pulse_us": state.pulses[name],
                "shaft_deg": state.shafts[name],
            }
            for name in state.values
        },
        "joints": dict(state.joints),
        "links": {name: matrix.tolist() for name, matrix in state.links.items()},
        "clearance": [{"pair": list(pair), "mm": mm} for pair, mm in report.clearance],
        "left_out": [each.as_dict() for each in report.left_out],
        "findings": [finding.as_dict() for finding in report.findings],
    }


def _print(prop: posekit.Prop, report: PoseReport) -> None:
    state, rows = report.state, []
    for drive in prop.drives:
        mine = [finding for finding in state.findings if finding.subject in (drive.name, drive.joint)]
        address = f"{drive.universe}/{drive.address}" + ("+" if drive.bits == 16 else "")
        rows.append(
            (
                drive.name,
                address,
                state.values[drive.name],
                f"{state.pulses[drive.name]:.1f}",
                f"{state.shafts[drive.name]:z.2f}",
                drive.joint or "",
                finding_marks(mine),
            )
        )
    table(prop.name, ("drive", "address", "value>", "pulse µs>", "shaft deg>", "joint", "finding"), rows)
    joints = ((joint.name, f"{state.joints[joint.name]:z.2f}", unit_of(joint)) for joint in prop.joints)
    table("Joints", ("joint", "position>", "unit"), joints)
    if report.near:
        print_near(prop, report.near)
    print_left_out(len(report.clearance), report.left_out)
    print_findings(report.findings)


def print_near(prop: posekit.Prop, near: Iterable[Near]) -> None:
    """Print the pairs below the margin in one pose, with depth where they overlap."""
    rows = (
        (
            " - ".join(n.pair),
            downward(n.mm),
            upward(n.depth_mm) if n.mm == 0 else "",
            _point(n.point_a),
            _point(n.point_b),
        )
        for n in near
    )
    columns = ("pair", "mm>", "depth mm>", "at, on the first>", "on the second>")
    table(f"Clearance below the margin of {exact(prop.clearance.margin)} mm", columns, rows)


def _point(point: tuple[float, float, float]) -> str:
    return ", ".join(f"{c:z.1f}" for c in point)
