"""`posekit export`: a posed GLB, an animated GLB through several snapshots, or an STL."""

from __future__ import annotations

from pathlib import Path

import click
import numpy as np

import posekit
from posekit.cli.files import force_option, snapshot_of, write_result
from posekit.cli.printing import finish, print_findings, print_json
from posekit.errors import PosekitError, error
from posekit.output import gltf, stl


@click.command("export")
@click.argument("model")
@click.argument("snapshots", nargs=-1)
@click.option("-o", "--output", required=True, metavar="FILE", help="The file to write: .glb or .stl.")
@click.option("--seconds", default=2.0, show_default=True, help="Time from one snapshot to the next.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON.")
@force_option
def command(
    model: str, snapshots: tuple[str, ...], output: str, seconds: float, as_json: bool, force: bool
) -> None:
    """Export MODEL, posed by SNAPSHOTS, for other programs.

    One snapshot (or none: the rest pose) gives a posed GLB or STL. Several give a GLB with an animation
    that moves in straight lines from one to the next; `posekit motion` gives the motion the servos make.
    """
    prop = posekit.load(model)
    if not seconds > 0:
        raise PosekitError([error("out-of-range", "--seconds", f"= {seconds:g}: use more than 0")])
    snaps = [snapshot_of(prop, given) for given in snapshots] or [posekit.Snapshot({})]
    states = [posekit.pose(prop, snap) for snap in snaps]
    write_result(output, _content(prop, states, seconds, Path(output).suffix.lower(), output), force=force)
    findings = tuple(dict.fromkeys(finding for state in states for finding in state.findings))
    if as_json:
        told = [finding.as_dict() for finding in findings]
        print_json({"prop": prop.name, "file": output, "poses": len(states), "findings": told})
    else:
        print_findings(findings)
        click.echo(f"Wrote {output}.")
    finish(findings)


def _content(
    prop: posekit.Prop, states: list[posekit.Pose], seconds: float, suffix: str, output: str
) -> bytes:
    if suffix == ".glb" and len(states) == 1:
        return gltf.encode(prop, states[0])
    if suffix == ".glb":
        positions = np.concatenate([state.positions(prop) for state in states])
        return gltf.animate(prop, seconds * np.arange(len(states)), positions, states[0])
    if suffix == ".stl" and len(states) == 1:
        return stl.encode(prop, states[0])
    right = "a .glb" if suffix == ".stl" else "one snapshot as .glb or .stl, several as .glb"
    raise PosekitError(
        [error("wrong-file", output, f"{len(states)} pose(s) cannot be written so; write {right}")]
    )
