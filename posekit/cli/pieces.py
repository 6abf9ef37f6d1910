"""`posekit pieces`: cut a mesh into convex pieces for clearance, once, and keep them beside it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path, PurePosixPath

import click

import posekit
from posekit.clearance.cover import coverage_findings, piece_findings
from posekit.clearance.decompose import decompose, file_units
from posekit.cli.files import must_be_free, write_result
from posekit.cli.options import Number, force_option, json_option, model_argument
from posekit.cli.printing import finish, print_findings, print_json, table
from posekit.errors import Finding, PosekitError, error
from posekit.prop.reader import prop_path
from posekit.prop.shapes import sources
from posekit.shape import Mesh, Source
from posekit.shape.piece_file import Pieces, write_pieces
from posekit.text import exact, upward


@click.command("pieces")
@model_argument
@click.argument("meshes", metavar="[MESH]...", nargs=-1)
@click.option(
    "--concavity",
    type=Number(),
    default=0.05,
    show_default=True,
    metavar="SHARE",
    help="How hollow a piece may be, 0.01 to 1.",
)
@click.option(
    "--within",
    type=Number(),
    default=0.5,
    show_default=True,
    metavar="MM",
    help="How far a piece may stand out so that it needs fewer corners, mm.",
)
@json_option
@force_option
def command(
    model: str, meshes: tuple[str, ...], concavity: float, within: float, as_json: bool, force: bool
) -> None:
    """Cut each MESH of MODEL, a file named in its prop.toml, into convex pieces.

    Writes MESH.pieces.json beside the mesh and prints the line for the prop file. Pieces and the skin around
    them cover the mesh. Without MESH, only check that the pieces the prop has still cover theirs.
    """
    prop = posekit.load(model)
    known = {
        shape.form.path: (shape.form, source)
        for _, shape, source in sources(prop)
        if isinstance(shape.form, Mesh)
    }
    folder = prop_path(model).parent
    _refuse(meshes, known, folder, concavity, within)
    places = {path: str(folder / _pieces_path(path)) for path in meshes}
    for place in places.values():
        must_be_free(place, ".json", force=force)
    made = {}
    for path in places:
        mesh, source = known[path]
        made[path] = decompose(*mesh.triangles(source), concavity, within)
    for path, pieces in made.items():
        content = write_pieces(file_units(pieces, known[path][0].scale))
        write_result(places[path], content, ".json", force=force)
    findings = _findings_of(prop, made) if made else coverage_findings(prop)
    if as_json:
        told = [
            {"mesh": path, "file": _pieces_path(path), "pieces": len(found.hulls), "skin_mm": found.skin_mm}
            for path, found in made.items()
        ]
        print_json(
            {"prop": prop.name, "pieces": told, "findings": [finding.as_dict() for finding in findings]}
        )
    else:
        _print(made)
        print_findings(findings)
    finish(findings)


def _findings_of(prop: posekit.Prop, made: dict[str, Pieces]) -> list[Finding]:
    """What is wrong with pieces just made: of the shape of each mesh that is first in the prop file."""
    first: dict[str, list[Finding]] = {}
    for row, shape, source in sources(prop):
        mesh = shape.form
        if isinstance(mesh, Mesh) and mesh.path in made and mesh.path not in first:
            cut = replace(shape, form=replace(mesh, pieces=_pieces_path(mesh.path)))
            first[mesh.path] = piece_findings(prop, prop.links[row].name, cut, source, made[mesh.path])
    return [finding for found in first.values() for finding in found]


def _pieces_path(mesh: str) -> str:
    """Where the pieces of a mesh are kept."""
    return str(PurePosixPath(mesh).with_suffix(".pieces.json"))


def _refuse(
    meshes: tuple[str, ...],
    known: dict[str, tuple[Mesh, Source]],
    folder: Path,
    concavity: float,
    within: float,
) -> None:
    bad = []
    if not 0.01 <= concavity <= 1.0:
        bad.append(error("out-of-range", "--concavity", f"= {exact(concavity)}: use 0.01 to 1"))
    if not within >= 0.0:
        bad.append(error("out-of-range", "--within", f"= {exact(within)}: use 0 or more"))
    for path in meshes:
        if path not in known:
            names = ", ".join(known) or "none"
            bad.append(error("unknown-mesh", path, f"is not a mesh of this prop; its meshes are: {names}"))
        elif not (folder / path).is_file():
            bad.append(
                error("unreadable", path, "is not in a folder where its pieces could be kept", file=path)
            )
    if bad:
        raise PosekitError(bad)


def _print(made: dict[str, Pieces]) -> None:
    if not made:
        return
    table(
        "Convex pieces",
        ("mesh", "pieces>", "corners>", "skin mm>", "for the shape in the prop file"),
        (
            (
                path,
                len(p.hulls),
                sum(map(len, p.hulls)),
                upward(p.skin_mm, 3),
                f'pieces = "{_pieces_path(path)}"',
            )
            for path, p in made.items()
        ),
    )
