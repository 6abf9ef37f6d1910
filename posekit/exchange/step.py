"""A CAD assembly in STEP (ISO 10303-21) as parts: one a named part or solid, where the assembly has it.

Open CASCADE reads it, by way of cascadio (`posekit[step]`), and gives a GLB in metres with the axes of the drawing,
in which a part that is used twice is there twice.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from importlib.util import find_spec
from pathlib import PurePath

from posekit.budgets import IMPORT_BYTES
from posekit.errors import PosekitError, error, note
from posekit.exchange.assembly import Assembly
from posekit.exchange.parts import Up, assembly_of
from posekit.exchange.step_names import named_places
from posekit.exchange.surfaces import Surface, reach_of, surfaces_of
from posekit.exchange.units import MM_PER_UNIT, size_words

UNSTATED = "mm"  # what Open CASCADE takes a drawing to be in that states no unit
WITHIN_MM = 0.05  # how far the triangles may be from the curved surface: a quarter of what thinning may lose
TURN_RAD = 0.35  # from one triangle to the next along a curve: 18 flats a round
HEAD = 64 * 1024  # bytes in which a STEP file says what it is, with any comments before
TAIL = 4096  # bytes in which it ends
_INCH = re.compile(rb"CONVERSION_BASED_UNIT\s*\(\s*'INCH'", re.IGNORECASE)
_CONVERTED = re.compile(rb"CONVERSION_BASED_UNIT\s*\(\s*'(FOOT|FEET|YARD|MILE|MIL)\b", re.IGNORECASE)
_METRE = re.compile(rb"SI_UNIT\s*\(\s*(\$|\.\w+\.)\s*,\s*\.METRE\.\s*\)")
_LENGTH = re.compile(rb"LENGTH_UNIT\s*\(", re.IGNORECASE)
_SI = {b"$": "m", b".CENTI.": "cm", b".MILLI.": "mm"}


def step_parts(
    content: bytes,
    file: str,
    name: str,
    unit: str | None = None,
    up: Up | None = None,
    convert: Callable[[bytes], bytes] | None = None,
    *,
    knows_places: bool = True,
) -> Assembly:
    """The parts of a STEP file. Its unit is read from it; `unit` says otherwise for one that is wrong or not stated.

    A file in a unit of its own, such as feet, has no unit here, and takes none.

    `convert` does what `as_glb` does, perhaps elsewhere; if not `knows_places`, its solids are named as
    `step_names.named_places` says, and the names of their places are read from the file.

    Raises PosekitError for what is no STEP file, holds no surface, or where the library is missing.
    """
    if len(content) > IMPORT_BYTES:
        raise _unusable(file, f"has {len(content)} bytes; use {IMPORT_BYTES} or fewer")
    if b"ISO-10303-21;" not in content[:HEAD].replace(b" ", b"") or b"FILE_SCHEMA" not in content[:HEAD]:
        raise _unusable(
            file, "is no STEP file, which begins with ISO-10303-21; and its header; export it again"
        )
    if b"END-ISO-10303-21" not in content[-TAIL:]:
        raise _unusable(file, "does not end with END-ISO-10303-21; it is cut short; export or copy it again")
    stated = _unit(content)
    own = stated is None and _LENGTH.search(content) is not None
    if unit and own:
        sentence = (
            "is drawn in a unit of its own, by which it is brought into mm; leave out the unit (--unit)"
        )
        raise _unusable(file, sentence)
    glb = (convert or as_glb)(content)
    if not glb:
        raise _unusable(
            file, "holds nothing that can be read as surfaces; export the solids as AP203, AP214 or AP242"
        )
    inside = str(PurePath(file).with_suffix(".glb"))
    try:
        found = surfaces_of(
            {inside: glb}, None if knows_places else lambda paths: named_places(paths, content)
        )
    except PosekitError as problem:
        said = "; ".join(finding.message for finding in problem.findings)
        raise _unusable(file, f"holds no solid or surface ({said})") from problem
    # What comes is in metres whatever the drawing was in; `unit` is for a drawing that says the wrong one.
    factor = MM_PER_UNIT["m"] * (MM_PER_UNIT[unit] / MM_PER_UNIT[stated or UNSTATED] if unit else 1.0)
    found = [replace(each, file=file, vertices=each.vertices * factor) for each in found]
    made = assembly_of(found, {file: content}, name, "mm", up or "z")
    findings = made.findings if unit else (note("unit-stated", "", _told(stated, own, found)), *made.findings)
    return replace(made, unit=None if own else unit or stated or UNSTATED, findings=findings)


def _told(stated: str | None, own: bool, found: list[Surface]) -> str:
    """What the drawing was taken to be in, and how to say otherwise where that counts."""
    figure = f"the figure is {size_words(*reach_of(found))}"
    if own:
        return f"drawn in a unit of its own, as the file says, and brought into mm by it: {figure}"
    drawn = (
        f"drawn in {stated}, as the file says"
        if stated
        else f"taken to be in {UNSTATED}, as no unit is stated"
    )
    return f"{drawn}: {figure}; if that is wrong, choose another unit (--unit)"


def _unit(content: bytes) -> str | None:
    """The unit of length that a STEP file states; None for another than of `MM_PER_UNIT`, or none."""
    if _INCH.search(content):
        return "inch"
    if _CONVERTED.search(content):  # beside the metre of which it is told
        return None
    stated = _METRE.search(content)
    return _SI.get(stated[1].upper()) if stated else None


def must_be_readable() -> None:
    """Raises PosekitError where the library that reads STEP files is not installed."""
    if find_spec("cascadio") is None:
        reason = "STEP files need a library that is not installed; pip install 'posekit[step]'"
        raise PosekitError([error("extra-missing", "", reason)])


def as_glb(content: bytes) -> bytes:
    """A STEP file as GLB, as Open CASCADE sees it; empty where it sees nothing.

    On a broken file it may take the whole process with it, and it prints: commands call it in a process of its own.
    """
    import cascadio

    return bytes(cascadio.load(content, "step", tol_linear=WITHIN_MM, tol_angular=TURN_RAD))


def _unusable(file: str, sentence: str) -> PosekitError:
    return PosekitError([error("step-unusable", "", sentence, file=file)])
