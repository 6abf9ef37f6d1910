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
from posekit.text import listed

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

    `unit` is a key of `MM_PER_UNIT`, of all files; without it, it is taken from kind and size, and told. `up` is the
    axis of the files that points up: without it y for GLB, as glTF says, and z for all others. `beside` has what
    colours take.
    Raises PosekitError with what is wrong with each of the files.
    """
    found = surfaces_of(files, beside=beside)
    return assembly_of(found, files, name, unit, up)


def assembly_of(
    found: list[Surface], files: Mapping[str, bytes], name: str, unit: str | None, up: Up | None
) -> Assembly:
    """The assembly of surfaces that were read from `files`."""
    told: list[Finding] = []
    kinds = {ending(surface.file) for surface in found}
    turned = {kind: (up or ("y" if kind == ".glb" else "z")) == "y" for kind in kinds}
    units = dict.fromkeys(kinds, unit) if unit else _taken(found, turned, told)
    if up is None and ".glb" in kinds:
        sentence = (
            "turned upright: in a GLB +Y is up (glTF 2.0), here +Z is; if it lies now, choose z (--up z)"
        )
        told.append(note("turned-upright", "", sentence))
    skins: dict[str, list[Skin]] = {}
    for surface in found:
        told += _health(surface) + surface.colour_findings
        kind = ending(surface.file)
        scale = MM_PER_UNIT[units[kind]]
        skins.setdefault(surface.part, []).append(
            Skin(
                name=surface.part,
                vertices=scale * surface.vertices,
                faces=surface.faces,
                colour=surface.colour.hex,
                turn=UPRIGHT if turned[kind] else ORIGIN,
                original=surface.file,
                scale=scale if surface.is_whole else None,
            )
        )
    parts = tuple(Part(name=part, skins=tuple(own)) for part, own in skins.items())
    one_unit = units[kinds.pop()] if len(set(units.values())) == 1 else None
    return Assembly(name=name, unit=one_unit, parts=parts, originals=dict(files), findings=tuple(told))


def _taken(found: list[Surface], turned: Mapping[str, bool], told: list[Finding]) -> dict[str, str]:
    """The unit of each kind of file, by its ending: a GLB says its own, all others are taken to be in one.

    What was taken is told, with the sizes that come of it as the parts stand: front to back, side to side, height.
    """
    by_own_unit: dict[bool, list[Surface]] = {}
    for surface in found:
        by_own_unit.setdefault(ending(surface.file) == ".glb", []).append(surface)
    units: dict[str, str] = {}
    for together in by_own_unit.values():
        kinds = [ending(surface.file) for surface in together]
        low, high = reach_of(together)
        unit, why = taken_unit(kinds, float((high - low).max()))
        units |= dict.fromkeys(kinds, unit)
        largest = max(together, key=lambda each: float(np.prod(np.ptp(each.vertices, axis=0) + 1e-9)))
        whole, largest_size = (
            size_words(*(MM_PER_UNIT[unit] * np.roll(corner, turned[kinds[0]]) for corner in corners))
            for corners in ((low, high), reach_of([largest]))
        )
        files = listed(dict.fromkeys(surface.file for surface in together), 3) if len(by_own_unit) > 1 else ""
        told.append(unit_finding(unit, why, largest.part, whole, largest_size, files))
    return units


def _health(surface: Surface) -> list[Finding]:
    health = health_of(surface.vertices, surface.faces)
    return health_findings(surface.part, health, surface.without_area, surface.file)
