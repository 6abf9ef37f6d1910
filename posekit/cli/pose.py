"""`posekit pose`: what a channel snapshot looks like, as numbers and as a GLB."""

from __future__ import annotations

from typing import Any

import click

import posekit
from posekit.cli.files import force_option, must_be_free, snapshot_of, write_result
from posekit.cli.printing import finding_marks, finish, print_findings, print_json, table
from posekit.mechanism.joints import unit_of
from posekit.output import gltf


@click.command("pose")
@click.argument("model")
@click.argument("snapshot")
@click.option("-o", "--output", metavar="FILE.glb", help="Write the posed prop as a GLB.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@force_option
def command(model: str, snapshot: str, output: str | None, as_json: bool, force: bool) -> None:
    """Pose MODEL by SNAPSHOT.

    MODEL is a prop folder, its prop.toml, or a GLB that posekit wrote. SNAPSHOT is a file (.csv, .json,
    .bin of 512 bytes, .txt), the name of a look of the prop, or typed text such as "1/9@128, 1/10@50%".
    """
    if output:
        must_be_free(output, ".glb", force=force)
    prop = posekit.load(model)
    state = posekit.pose(prop, snapshot_of(prop, snapshot))
    clearance = clearances(prop, state)
    if output:
        write_result(output, gltf.encode(prop, state), ".glb", force=force)
    if as_json:
        print_json(as_data(prop, state, clearance))
    else:
        _print(prop, state, clearance)
        if output:
            click.echo(f"Wrote {output}.")
    finish(state.findings)


def clearances(prop: posekit.Prop, state: posekit.Pose) -> list[tuple[tuple[str, str], float]]:
    """Every watched pair with its clearance [mm] in this pose."""
    distances = posekit.clearance.distances(prop, state.positions(prop))[0]
    return list(zip(posekit.clearance.pairs(prop), distances.tolist(), strict=True))


def as_data(
    prop: posekit.Prop, state: posekit.Pose, clearance: list[tuple[tuple[str, str], float]]
) -> dict[str, Any]:
    """A pose as `--json` prints it."""
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
        "clearance": [{"pair": list(pair), "mm": mm} for pair, mm in clearance],
        "findings": [finding.as_dict() for finding in state.findings],
    }


def _print(prop: posekit.Prop, state: posekit.Pose, clearance: list[tuple[tuple[str, str], float]]) -> None:
    rows = []
    for drive in prop.drives:
        mine = [finding for finding in state.findings if finding.subject in (drive.name, drive.joint)]
        address = f"{drive.universe}/{drive.address}" + ("+" if drive.bits == 16 else "")
        rows.append(
            (
                drive.name,
                address,
                state.values[drive.name],
                f"{state.pulses[drive.name]:.1f}",
                f"{state.shafts[drive.name]:.2f}",
                drive.joint or "",
                finding_marks(mine),
            )
        )
    table(prop.name, ("drive", "address", "value>", "pulse µs>", "shaft deg>", "joint", "finding"), rows)
    joints = ((joint.name, f"{state.joints[joint.name]:.2f}", unit_of(joint)) for joint in prop.joints)
    table("Joints", ("joint", "position>", "unit"), joints)
    near = sorted((mm, pair) for pair, mm in clearance if mm < prop.clearance.margin)
    if near:
        pairs = ((f"{a} - {b}", f"{mm:.2f}", "touch or overlap" if mm == 0 else "") for mm, (a, b) in near)
        table(f"Clearance below the margin of {prop.clearance.margin:g} mm", ("pair", "mm>", ""), pairs)
    print_findings(state.findings)
