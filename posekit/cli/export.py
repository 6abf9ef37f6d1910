"""`posekit export`: a posed GLB, an animated GLB through several snapshots, an STL, or the director's HTML file."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import click
import numpy as np

import posekit
from posekit.cli.director import drawing, given_shown
from posekit.cli.files import given_snapshot, must_be_free, write_result
from posekit.cli.options import Number, force_option, json_option, model_argument
from posekit.cli.picture_sheet import write_sheet
from posekit.cli.printing import finish, print_json, print_seen, say
from posekit.errors import PosekitError, error
from posekit.output import gltf, stl
from posekit.output.paper import PAPERS, Paper
from posekit.prop.fingerprint import for_people
from posekit.report.director import director_figure
from posekit.text import counted

# A file is made of poses as they are asked for.
UNSEEN = "Not looked at: whether parts strike. posekit pose tells of a look, posekit motion of a show."


@click.command("export")
@model_argument
@click.argument("snapshots", nargs=-1)
@click.option("-o", "--output", metavar="FILE", help="The file to write: .glb or .stl.")
@click.option(
    "--html",
    metavar="FILE.html",
    help="One file for the director instead: looks and shows by name (all by default), to look at and note on.",
)
@click.option(
    "--sheet",
    metavar="FILE",
    help="A picture sheet instead: looks (all by default) from three sides: .html, or by a browser .pdf or .png.",
)
@click.option(
    "--paper",
    type=click.Choice(list(PAPERS)),
    help="The paper of a picture sheet; without it, what the printer has.",
)
@click.option("--seconds", type=Number(1e-3, 1e6), default=2.0, show_default=True,
              help="Time from one snapshot to the next.")  # fmt: skip
@json_option
@force_option
def command(
    model: str,
    snapshots: tuple[str, ...],
    output: str | None,
    html: str | None,
    sheet: str | None,
    paper: Paper | None,
    seconds: float,
    as_json: bool,
    force: bool,
) -> None:
    """Export MODEL, posed by SNAPSHOTS, for other programs and people.

    One snapshot (or none: the rest pose) gives a posed GLB or STL. Several give a GLB with an animation
    that moves in straight lines from one to the next; `posekit motion` gives the motion the servos make.

    With --html the SNAPSHOTS are looks and shows, and a name of both brings both. The one file opens by a double
    click, without a network; shows move as the servos do. Notes made in it come back by `posekit notes`.

    With --sheet each look is shown from the front, the left and above, to one scale, with what there is to tell of it.
    """
    if sum(each is not None for each in (output, html, sheet)) != 1:
        raise click.UsageError("give one of -o FILE, --html FILE.html and --sheet FILE")
    if paper is not None and sheet is None:
        raise click.UsageError("--paper goes with --sheet")
    if sheet is not None:
        return write_sheet(model, snapshots, sheet, paper, as_json=as_json, force=force)
    if html is not None:
        return _director(model, snapshots, html, as_json=as_json, force=force)
    assert output is not None
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
        print_seen(findings, UNSEEN)
        say(f"Wrote {output}.")
    finish(findings)


def _director(model: str, given: tuple[str, ...], html: str, *, as_json: bool, force: bool) -> None:
    must_be_free(html, ".html", force=force)
    drawn_by = drawing()
    prop = posekit.load(model)
    what = given_shown(prop, given)
    made = director_figure(prop, what, date.today().isoformat())
    content = made.html(drawn_by)
    write_result(html, content, ".html", force=force)
    if as_json:
        print_json(
            {
                "prop": prop.name,
                "file": html,
                "bytes": len(content),
                "fingerprint": made.fingerprint,
                "looks": [name for name, _ in what.looks],
                "shows": [name for name, _, _ in what.shows],
                "findings": [finding.as_dict() for finding in made.findings],
            }
        )
    else:
        print_seen(made.findings, UNSEEN)
        held = (
            f"{counted(len(what.looks), 'look')} and {counted(len(what.shows), 'show')}"
            if what
            else "the prop at rest"
        )
        say(f"Wrote {html}: {held}, {len(content) / 1e6:.2f} MB, fingerprint {for_people(made.fingerprint)}.")
    finish(made.findings)


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
