"""A prop out of what an importer gave: links with their meshes, joints, and drives for the joints that move."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import cycle
from pathlib import PurePath

import numpy as np

from posekit.authoring.first_drives import first_drives
from posekit.authoring.mesh_kept import Kept, Wishes, kept_of
from posekit.authoring.prop_text import LinkText, prop_text
from posekit.errors import Finding, PosekitError, error, note
from posekit.exchange.assembly import Assembly, Part, Skin
from posekit.exchange.names import plain_name, unique
from posekit.linkage import Gear
from posekit.paths import what_is_wrong
from posekit.prop.folder import MESHES, ORIGINALS, PROP_FILE
from posekit.prop.model import Drive, Joint, Prop, Servo, Shape
from posekit.prop.reader import read
from posekit.prop.servo_classes import CLASSES
from posekit.shape import Mesh
from posekit.text import listed

# For parts whose file has no colour: calm, and told apart by lightness as well.
PALETTE = ("#8f9aa6", "#b8a88a", "#6f8a80", "#c2b6ae", "#7a7f95", "#a7b59a", "#94796b", "#cfcabc")

# Of a mesh file's name: of four bytes each, and with its endings, systems still take it (255).
FILE_LETTERS = 60

Spread = Callable[..., Iterable[Kept]]  # called as `map` is


@dataclass(frozen=True, slots=True)
class New:
    """A new prop, the files to keep beside it that are no part of it, by path, and what there is to tell."""

    prop: Prop
    beside: Mapping[str, bytes]
    findings: tuple[Finding, ...]


def prop_of(
    assembly: Assembly,
    wishes: Wishes | None = None,
    root: str | None = None,
    kind: str = "standard",
    spread: Spread = map,
) -> New:
    """The prop of an assembly.

    A part that no joint carries is fixed to `root`, or without a word to the largest of them, where it stands. Joints
    that move by themselves get a drive each, with a servo of the class `kind` and end points within the stops.
    `spread` is `map`, or one that does the work of many meshes side by side. Raises PosekitError.
    """
    given = wishes or Wishes()
    told = list(assembly.findings)
    # Skins of one surface are one file, wherever they stand.
    skins = list({_surface(skin): skin for part in assembly.parts for skin in part.skins}.values())
    originals = [assembly.originals.get(skin.original or "") for skin in skins]
    kept = list(spread(kept_of, skins, originals, [given] * len(skins)))
    told += [finding for each in kept for finding in each.findings]
    if wrong := [finding for finding in told if finding.level == "error"]:
        raise PosekitError(wrong)
    held = _held(assembly, root, told)
    drives = _drives(assembly.joints, CLASSES[kind].servo, told)
    files: dict[str, bytes] = {}
    form_of = {
        _surface(skin): _form(name, each, files)
        for name, skin, each in zip(unique(_file_name(s) for s in skins), skins, kept, strict=True)
    }
    colours = cycle(PALETTE)
    links = [_link(part, form_of, next(colours)) for part in assembly.parts]
    brought = "" if assembly.unit in ("mm", None) else f", brought from {assembly.unit}"
    said = [f"Lengths in mm{brought}. +Z is up, +X is the front. All keys: posekit schema"]
    text = prop_text(assembly.name, said, links, (*assembly.joints, *held), drives, kind)
    whole = {
        skin.original: content
        for skin, each, content in zip(skins, kept, originals, strict=True)
        if given.originals and each.is_thinner and content is not None and skin.original is not None
    }
    beside = dict(zip(_places_of_originals(whole), whole.values(), strict=True))
    return New(read({PROP_FILE: text.encode(), **files}, PROP_FILE), beside, tuple(told))


def _surface(skin: Skin) -> tuple[int, ...]:
    """What is the same for skins of one mesh file; one that clearance judges has pieces beside it."""
    return id(skin.vertices), id(skin.faces), skin.solid


def _file_name(skin: Skin) -> str:
    """A name, without ending, that a mesh file can have on every system."""
    name = plain_name(skin.name)[:FILE_LETTERS] or "part"
    return f"{name}_mesh" if what_is_wrong(name) else name


def _places_of_originals(files: Iterable[str]) -> Iterator[str]:
    """Where each of these files is kept: under its own name where every system takes it, each in a place of its own."""
    names = [PurePath(file) for file in files]
    fitting = [
        name.stem if not what_is_wrong(name.name) else f"{plain_name(name.stem)}_mesh" for name in names
    ]
    return (f"{ORIGINALS}{stem}{name.suffix}" for stem, name in zip(unique(fitting), names, strict=True))


def _form(name: str, kept: Kept, files: dict[str, bytes]) -> Mesh:
    """The form of a mesh whose files are put among `files`."""
    path = f"{MESHES}{name}{kept.ending}"
    files[path] = kept.content
    if kept.pieces is None:
        return Mesh(path=path, scale=kept.scale)
    files[pieces := f"{MESHES}{name}.pieces.json"] = kept.pieces
    return Mesh(path=path, scale=kept.scale, pieces=pieces)


def _link(part: Part, form_of: Mapping[tuple[int, ...], Mesh], colour: str) -> LinkText:
    meshes = [
        Shape(
            form=form_of[_surface(skin)],
            at=skin.at,
            turn=skin.turn,
            colour=skin.colour or colour,
            solid=skin.solid,
            drawn=skin.drawn,
        )
        for skin in part.skins
    ]
    return LinkText(name=part.name, mass=part.mass, shapes=(*meshes, *part.shapes))


def _held(assembly: Assembly, root: str | None, told: list[Finding]) -> list[Joint]:
    """A fixed joint at the origin of the world for each part that no joint carries, but for the one that stands."""
    loose = assembly.loose
    names = [part.name for part in loose]
    if root is not None and root not in names:
        raise PosekitError([error("unknown-name", "--root", f"= '{root}': the parts are {listed(names)}")])
    if len(loose) < 2:
        return []
    stands = root or max(loose, key=_size).name
    others = [name for name in names if name != stands]
    sentence = f"everything else is fixed to it where it was drawn: {listed(others, 6)}; another can stand (--root). "
    told.append(
        note(
            "held",
            f"links.{stands}",
            sentence + "Make a joint where one is to move",
        )
    )
    taken = [joint.name for joint in assembly.joints]
    called = unique([*taken, *others])[len(taken) :]
    return [
        Joint(name=name, type="fixed", parent=stands, child=child)
        for name, child in zip(called, others, strict=True)
    ]


def _size(part: Part) -> float:
    """How much room a part takes [mm3], by its skins."""
    if not part.skins:
        return 0.0
    points = np.concatenate([skin.vertices for skin in part.skins])
    return float(np.prod(np.ptp(points, axis=0) + 1e-3))


def _drives(joints: Sequence[Joint], servo: Servo, told: list[Finding]) -> list[Drive]:
    """A drive for each joint that moves by itself, from universe 1, address 1 on."""
    drives = first_drives(joints, servo)
    if drives:
        last = f"universe {drives[-1].universe}, address {drives[-1].address}"
        sentence = (
            f"made, {len(drives)} of them, each a {servo.name} servo of typical figures, at universe 1, "
        )
        sentence += (
            f"address 1 to {last}, with end points at the hard stops; put in your servos, linkages and patch"
        )
        told.append(note("drives-made", "drives", sentence))
    if geared := [drive.joint for drive in drives if isinstance(drive.linkage, Gear)]:
        sentence = f"geared, as they go farther than that servo turns, or slide: {listed(map(str, geared))}; see what "
        sentence += "linkage you will build with posekit linkage"
        told.append(note("drives-geared", "drives", sentence))
    return drives
