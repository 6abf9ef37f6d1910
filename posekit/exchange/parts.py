"""Mesh files as an assembly: one part a file, or one a named node of a GLB, each where it was drawn.

The parts of a figure share one origin, that of the drawing, and no file tells of joints. So every part has its frame
at the origin of the world.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

import numpy as np

from posekit.errors import Finding, note
from posekit.exchange.assembly import Assembly, Part, Skin
from posekit.exchange.colour_files import NO_FILES, ColourFiles
from posekit.exchange.health import health_findings, health_of
from posekit.exchange.surfaces import Surface, reach_of, surfaces_of
from posekit.exchange.units import MM_PER_UNIT, size_words, taken_unit, unit_finding
from posekit.fields import Vector
from posekit.kinds import ending
from posekit.prop.model import ORIGIN

Up = Literal["y", "z"]

# glTF 2.0: +Y is up and +Z the front; here +Z is up and +X the front. So x of the file is our y, y our z, z our x.
UPRIGHT: Vector = (90.0, 0.0, 90.0)


def parts_of(
    files: Mapping[str, bytes],
    name: str,
    unit: str | None = None,
    up: Up | None = None,
    beside: ColourFiles = NO_FILES,
) -> Assembly:
    """The parts of mesh files (STL, OBJ, PLY, GLB), by file name, in their order.

    `unit` is a key of `MM_PER_UNIT`; without it, it is taken from kind and size, and told. `up` is the axis of the
    files that points up: without it y for GLB, as glTF says, and z for all others. `beside` has what colours take.
    Raises PosekitError with what is wrong with each of the files.
    """
    found = surfaces_of(files, beside=beside)
    return assembly_of(found, files, name, unit, up)


def assembly_of(
    found: list[Surface], files: Mapping[str, bytes], name: str, unit: str | None, up: Up | None
) -> Assembly:
    """The assembly of surfaces that were read from `files`."""
    low, high = reach_of(found)
    endings = [ending(surface.file) for surface in found]
    told: list[Finding] = []
    if unit is None:
        unit, why = taken_unit(endings, float((high - low).max()))
        largest = max(found, key=lambda each: float(np.prod(np.ptp(each.vertices, axis=0) + 1e-9)))
        scale = MM_PER_UNIT[unit]
        size = size_words(*(scale * corner for corner in reach_of([largest])))
        told.append(unit_finding(unit, why, size_words(scale * low, scale * high), largest.part, size))
    scale = MM_PER_UNIT[unit]
    if up is None and ".glb" in endings:
        sentence = (
            "turned upright: in a GLB +Y is up (glTF 2.0), here +Z is; if it lies now, choose z (--up z)"
        )
        told.append(note("turned-upright", "", sentence))
    skins: dict[str, list[Skin]] = {}
    for surface in found:
        told += _health(surface) + surface.colour_findings
        turned = (up or ("y" if ending(surface.file) == ".glb" else "z")) == "y"
        skins.setdefault(surface.part, []).append(
            Skin(
                name=surface.part,
                vertices=scale * surface.vertices,
                faces=surface.faces,
                colour=surface.colour.hex,
                turn=UPRIGHT if turned else ORIGIN,
                original=surface.file,
                scale=scale if surface.is_whole else None,
            )
        )
    parts = tuple(Part(name=part, skins=tuple(own)) for part, own in skins.items())
    return Assembly(name=name, unit=unit, parts=parts, originals=dict(files), findings=tuple(told))


def _health(surface: Surface) -> list[Finding]:
    health = health_of(surface.vertices, surface.faces)
    return health_findings(surface.part, health, surface.without_area, surface.file)
