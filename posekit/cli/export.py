"""`posekit export`: a posed GLB, an animated GLB through several snapshots, or an STL."""

from __future__ import annotations

from pathlib import Path

import click
import numpy as np

import posekit
from posekit.cli.files import given_snapshot, must_be_free, write_result
from posekit.cli.options import force_option, json_option, model_argument
from posekit.cli.printing import finish, print_findings, print_json, say
from posekit.errors import PosekitError, error
from posekit.output import gltf, stl


@click.command("export")
@model_argument
@click.argument("snapshots", nargs=-1)
@click.option("-o", "--output", required=True, metavar="FILE", help="The file to write: .glb or .stl.")
@click.option("--seconds", type=click.FloatRange(1e-3, 1e6), default=2.0, show_default=True,
              help="Time from one snapshot to the next.")  # fmt: skip
@json_option
@force_option
def command(
    model: str, snapshots: tuple[str, ...], output: str, seconds: float, as_json: bool, force: bool
) -> None:
    """Export MODEL, posed by SNAPSHOTS, for other programs.

    One snapshot (or none: the rest pose) gives a posed GLB or STL. Several give a GLB with an animation
    that moves in straight lines from one to the next; `posekit motion` gives the motion the servos make.
    """
    ending = Path(output).suffix.lower()
    _refuse(len(snapshots), ending, output)
    prop = posekit.load(model)
    must_be_free(output, ending, force=force, prop=prop, model=model)
    snaps = [given_snapshot(prop, given) for given in snapshots] or [posekit.Snapshot({})]
    states = [posekit.pose(prop, snap) for snap in snaps]
    write_result(output, _content(prop, states, seconds, ending), ending, force=force, prop=prop, model=model)
    findings = tuple(dict.fromkeys(finding for state in states for finding in state.findings))
    if as_json:
        told = [finding.as_dict() for finding in findings]
        print_json({"prop": prop.name, "file": output, "poses": len(states), "findings": told})
    else:
        print_findings(findings)
        say(f"Wrote {output}.")
    finish(findings)


def _refuse(snapshots: int, ending: str, output: str) -> None:
    if ending not in (".glb", ".stl"):
        sentence = "cannot be written: use a name that ends in .glb or .stl"
    elif ending == ".stl" and snapshots > 1:
        sentence = f"an STL holds one pose, and {snapshots} are given; give one snapshot, or write a .glb"
    else:
        return
    raise PosekitError([error("wrong-file", "", sentence, file=output)])


def _content(prop: posekit.Prop, states: list[posekit.Pose], seconds: float, ending: str) -> bytes:
    if ending == ".stl":
        return stl.encode(prop, states[0])
    if len(states) == 1:
        return gltf.encode(prop, states[0])
    positions = np.concatenate([state.positions(prop) for state in states])
    return gltf.animate(prop, seconds * np.arange(len(states)), positions, states[0])
