"""`posekit new`: a prop folder of one's own, from nothing, from mesh files, from a CAD assembly or from a URDF."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

import click

from posekit.authoring.mesh_kept import Wishes
from posekit.authoring.new import New, prop_of
from posekit.authoring.starter import starter
from posekit.budgets import IMPORT_BYTES
from posekit.cli.apart import FellError, apart
from posekit.cli.options import Number, json_option
from posekit.cli.printing import bars, finish, print_findings, print_json, say
from posekit.cli.workers import workers
from posekit.errors import PosekitError, error
from posekit.exchange.assembly import Assembly
from posekit.exchange.brought import brought
from posekit.exchange.colour_files import on_disk as on_disk_colours
from posekit.exchange.parts import Up
from posekit.exchange.step import as_glb, must_be_readable
from posekit.exchange.units import MM_PER_UNIT
from posekit.exchange.urdf.lookup import MeshFiles, on_disk
from posekit.paths import read_within
from posekit.prop.servo_classes import CLASSES
from posekit.prop.writer import must_be_new, save_new
from posekit.text import counted, exact, listed

HEAVY_BYTES = 2_000_000  # of all files, above which a second processor is worth its start


@click.command("new")
@click.argument("folder")
@click.argument("files", metavar="[FILE]...", nargs=-1)
@click.option(
    "--unit",
    type=click.Choice(list(MM_PER_UNIT)),
    help="What the files are drawn in.  [default: guessed, and said]",
)
@click.option(
    "--up",
    type=click.Choice(["y", "z"]),
    help="The axis of mesh files that points up.  [default: y for GLB, else z]",
)
@click.option("--root", metavar="PART", help="The part that stands.  [default: the largest]")
@click.option(
    "--servo",
    "kind",
    type=click.Choice(list(CLASSES)),
    default="standard",
    show_default=True,
    help="Class of servo to begin with.",
)
@click.option(
    "--within",
    type=Number(),
    default=0.2,
    show_default=True,
    metavar="MM",
    help="How far a heavy mesh may be off when it is thinned, mm; 0 keeps it as it is.",
)
@click.option("--no-originals", is_flag=True, help="Do not keep the file of a mesh that was thinned.")
@click.option("--no-pieces", is_flag=True, help="Do not cut meshes into convex pieces now.")
@json_option
def command(
    folder: str,
    files: tuple[str, ...],
    unit: str | None,
    up: Up | None,
    root: str | None,
    kind: str,
    within: float,
    no_originals: bool,
    no_pieces: bool,
    as_json: bool,
) -> None:
    """Make the new FOLDER of a prop that loads and can be posed at once.

    Without FILE it has a base, an arm, a servo and a drive, each key explained. FILE is STL, OBJ, PLY or GLB, one
    part a file or one a named node of a GLB; or one STEP or URDF file. FOLDER must not exist yet.
    """
    if not 0.0 <= within <= 10.0:
        raise PosekitError([error("out-of-range", "--within", f"= {exact(within)}: use 0 to 10 (mm)")])
    must_be_new(folder)
    name = Path(folder).resolve().name
    if files:
        assembly = _assembly(files, name, unit, up)
        wishes = Wishes(within_mm=within, pieces=not no_pieces, originals=not no_originals)
        made = _made(assembly, wishes, root, kind)
        unit = assembly.unit
    else:
        _refuse_without_files(unit=unit, up=up, root=root)
        made, unit = New(starter(name, kind), {}, ()), "mm"
    save_new(made.prop, folder, made.beside)
    if as_json:
        links = [link.name for link in made.prop.links]
        told = [finding.as_dict() for finding in made.findings]
        print_json({"folder": folder, "unit": unit, "links": links, "findings": told})
    else:
        _print(folder, made)
    finish(made.findings)


def _refuse_without_files(**given: str | None) -> None:
    """Raise PosekitError for options that say something of files where there are none."""
    told = [
        error(
            "wrong-use",
            f"--{name}",
            f"= '{value}': is about files, and none was given; name them, or leave it out",
        )
        for name, value in given.items()
        if value is not None
    ]
    if told:
        raise PosekitError(told)


def _assembly(files: tuple[str, ...], name: str, unit: str | None, up: Up | None) -> Assembly:
    """What the files on disk hold."""
    if twice := sorted({file for file in files if files.count(file) > 1}):
        raise PosekitError([error("wrong-files", "", "is named twice", file=file) for file in twice])
    right = "give STL, OBJ, PLY, GLB, STEP or URDF files"
    contents: dict[str, bytes] = {}
    left = IMPORT_BYTES
    for file in files:
        contents[file] = read_within(
            file, left, "with the files before it, what is brought in at once", right
        )
        left -= len(contents[file])
    try:
        return brought(
            contents, name, unit, up, meshes_of=_beside, convert=_converted, beside=on_disk_colours()
        )
    except FellError as reason:
        sentence = (
            f"is no STEP file that can be read: the reader {reason}; export it again, as AP214 or AP242"
        )
        raise PosekitError([error("step-unusable", "", sentence, file=files[0])]) from None


def _converted(content: bytes) -> bytes:
    must_be_readable()
    return apart(as_glb, content)


def _beside(urdf: str) -> MeshFiles:
    return on_disk(urdf, IMPORT_BYTES)


def _made(assembly: Assembly, wishes: Wishes, root: str | None, kind: str) -> New:
    """The prop, the work of heavy meshes side by side on all processors."""
    skins = sum(len(part.skins) for part in assembly.parts)
    heavy = sum(map(len, assembly.originals.values())) >= HEAVY_BYTES
    jobs = min(os.cpu_count() or 1, skins) if heavy else 1
    with workers(jobs, None) as pool, bars() as tell:

        def spread(work: Any, *given: Iterable[Any]) -> Iterator[Any]:
            for done, each in enumerate(pool.map(work, *given) if pool else map(work, *given)):
                yield each
                tell("thinning and cutting meshes", done + 1, skins)

        return prop_of(assembly, wishes, root, kind, spread)


def _print(folder: str, made: New) -> None:
    prop = made.prop
    parts, moving, drives = len(prop.links), len(prop.joints), len(prop.drives)
    say(
        f"{folder}: {counted(parts, 'part')} ({listed(link.name for link in prop.links)}), "
        f"{counted(moving, 'moving joint')}, {counted(drives, 'drive')}."
    )
    if made.findings:
        print_findings(made.findings)
    if any(finding.code == "held" for finding in made.findings):
        say("Make them move: posekit hinge finds the axis of a joint, posekit edit makes it.")
    say(f"Look at it: posekit show {folder}")
