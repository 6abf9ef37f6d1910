"""A skin as the files that a prop keeps of it: a mesh that is no heavier than it need be, and its convex pieces."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import PurePath

import numpy as np

from posekit.arrays import Array, Faces
from posekit.budgets import MESH_BYTES, MESH_TRIANGLES
from posekit.clearance.decompose import decompose, file_units
from posekit.errors import Finding, PosekitError, error, note
from posekit.exchange.assembly import Skin
from posekit.exchange.thin import MANY, thinned
from posekit.kinds import ending
from posekit.shape.mesh_file.writing import ply_bytes
from posekit.shape.piece_file import write_pieces
from posekit.text import exact, upward

HEAVY = 20_000  # triangles of one part that are told, if they cannot be fewer
HOLLOW = 0.1  # how hollow a piece may be that is cut at once, a share of the part's size


@dataclass(frozen=True, slots=True, kw_only=True)
class Wishes:
    """What becomes of meshes: `within_mm` is how far a thinned one may lie off, 0 for never thinner; `pieces` False
    leaves the cutting to later; `originals` False keeps no file that a thinned mesh was made of."""

    within_mm: float = 0.2
    pieces: bool = True
    originals: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """A mesh file: `content`, its ending, the factor from its units to mm, its file of pieces if it has one.

    `is_thinner` is True if it is not all of what was brought; `findings` tell what was done, with codes that group
    what is alike.
    """

    content: bytes
    ending: str
    scale: float
    pieces: bytes | None
    is_thinner: bool
    findings: tuple[Finding, ...]


def kept_of(skin: Skin, original: bytes | None, wishes: Wishes) -> Kept:
    """The files of a skin. Raises nothing: what cannot be is a finding of level error."""
    subject, file = f"links.{skin.name}", skin.original
    told: list[Finding] = []
    vertices, faces, off = _thin(skin, wishes, told)
    if len(faces) > MESH_TRIANGLES:
        sentence = (
            f"has {len(faces)} triangles; a prop may have {MESH_TRIANGLES} of one mesh. Allow more deviation "
        )
        sentence += "(--within 0.5), or export it coarser"
        told.append(error("mesh-too-fine", subject, sentence, file=file))
    as_it_is = skin.scale is not None and original is not None and off == 0.0 and len(original) <= MESH_BYTES
    if as_it_is and original is not None and skin.scale is not None and skin.original is not None:
        content, kind, scale = original, ending(PurePath(skin.original).name), skin.scale
    else:
        # Rounded first as the file rounds them, so that the pieces cover what will be read.
        vertices = vertices.astype("<f4").astype(float)
        content, kind, scale = ply_bytes(vertices, faces), ".ply", 1.0
    pieces = _pieces(skin, vertices, faces, off, scale, wishes, told)
    return Kept(
        content=content, ending=kind, scale=scale, pieces=pieces, is_thinner=off > 0.0, findings=tuple(told)
    )


def _thin(skin: Skin, wishes: Wishes, told: list[Finding]) -> tuple[Array, Faces, float]:
    """Vertices and faces to keep, and how far they lie off [mm] at most."""
    count, subject = len(skin.faces), f"links.{skin.name}"
    if count <= MANY or wishes.within_mm <= 0.0:
        return skin.vertices, skin.faces, 0.0
    try:
        found = thinned(skin.vertices, skin.faces, wishes.within_mm)
    except PosekitError:
        sentence = (
            f"has {count} triangles, which make page and links slow; pip install 'posekit[thin]', then again"
        )
        told.append(note("mesh-heavy", subject, sentence, file=skin.original))
        return skin.vertices, skin.faces, 0.0
    if found is None:
        if count > HEAVY:
            sentence = (
                f"has {count} triangles, and far fewer would be more than {exact(wishes.within_mm)} mm off; "
            )
            sentence += "--within takes another distance"
            told.append(note("mesh-heavy", subject, sentence, file=skin.original))
        return skin.vertices, skin.faces, 0.0
    sentence = f"{count} triangles became {len(found.faces)}, at most {upward(found.deviation_mm)} mm off"
    told.append(note("mesh-thinned", subject, sentence, file=skin.original))
    # Never 0, which stands for "as it was".
    return found.vertices, found.faces, max(found.deviation_mm, float(np.finfo(float).tiny))


def _pieces(
    skin: Skin, vertices: Array, faces: Faces, off: float, scale: float, wishes: Wishes, told: list[Finding]
) -> bytes | None:
    """The file of convex pieces, which cover the thinned skin and, with `off` more, the whole one."""
    if not (skin.solid and wishes.pieces):
        return None
    subject = f"links.{skin.name}"
    try:
        found = decompose(vertices, faces, HOLLOW, quick=True)
    except PosekitError:
        sentence = "clearance takes the whole part as its hull, any hollow filled; pip install 'posekit[pieces]', then "
        told.append(note("no-pieces", subject, f"{sentence}cut it with posekit pieces", file=skin.original))
        return None
    except (RuntimeError, ValueError, OSError) as reason:
        sentence = (
            f"could not be cut into convex pieces ({reason}); clearance takes its hull, any hollow filled"
        )
        told.append(note("no-pieces", subject, sentence, file=skin.original))
        return None
    return write_pieces(file_units(replace(found, skin_mm=found.skin_mm + off), scale))
