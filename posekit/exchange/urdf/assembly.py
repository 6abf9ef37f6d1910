"""A URDF as an assembly: metres become millimetres, radians degrees, kilograms grams; what is otherwise is told.

A prop moves by servos, so that it knows joints that turn or slide by one value. A continuous joint becomes one that
turns without hard stops; floating and planar joints, of six and three values, are held where they stand.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from itertools import chain, count
from typing import Literal

from posekit.budgets import NAME_LETTERS
from posekit.errors import Finding, PosekitError, note, warning
from posekit.exchange.assembly import Assembly, Part
from posekit.exchange.colour_files import NO_FILES, ColourFiles
from posekit.exchange.urdf.forms import MM_PER_M, Forms, placed
from posekit.exchange.urdf.lookup import MeshFiles
from posekit.exchange.urdf.model import Joint, Robot
from posekit.exchange.urdf.reader import read_urdf
from posekit.fields import KILOMETRE_MM, MOST_TURN_DEG
from posekit.prop import model as prop
from posekit.text import listed, printable
from posekit.toml.structure import nearest_name

GRAMS_PER_KG = 1000.0
NARROWEST = 1e-6  # rad or m between limits; less is none at all
DEG_PER_RAD = math.degrees(1.0)

_KIND: dict[str, Literal["revolute", "prismatic", "fixed"]] = {
    "revolute": "revolute",
    "continuous": "revolute",
    "prismatic": "prismatic",
    "fixed": "fixed",
    "floating": "fixed",
    "planar": "fixed",
}


def urdf_assembly(
    content: bytes, name: str, mesh_files: MeshFiles, beside: ColourFiles = NO_FILES
) -> Assembly:
    """The parts and joints of a URDF; `name` is how messages call it, `mesh_files` finds what it names,
    `beside` what the colours of that take.

    Raises PosekitError, with file and line, for what is no URDF and for every mesh that is missing, may not be reached
    or cannot be read.
    """
    robot, told = read_urdf(content, name)
    forms = Forms(name, mesh_files, beside)
    names = _fitting([link.name for link in robot.links]), _fitting([joint.name for joint in robot.joints])
    parts = []
    for link in robot.links:
        skins, shapes = forms.of(link)
        mass = None if link.mass is None else GRAMS_PER_KG * link.mass
        parts.append(Part(name=names[0][link.name], skins=skins, shapes=shapes, mass=mass))
    if forms.problems:
        raise PosekitError(forms.problems)
    renamed = [
        note("renamed", f"{kind} '{old}'", f"is called '{new}' in the prop", file=name)
        for kind, table in zip(("link", "joint"), names, strict=True)
        for old, new in table.items()
        if old != new
    ]
    kind_of = {joint.name: _KIND[joint.type] for joint in robot.joints}
    title = robot.name or name.replace("\\", "/").rpartition("/")[2].rpartition(".")[0]
    return Assembly(
        name=printable(title, NAME_LETTERS) or "robot",
        unit="m",
        parts=tuple(parts),
        joints=tuple(_joint(joint, *names, kind_of) for joint in robot.joints),
        originals=forms.originals,
        findings=(*told, *forms.notes, *renamed, *_otherwise(robot, name)),
    )


def _joint(
    joint: Joint, links: dict[str, str], joints: dict[str, str], kind_of: Mapping[str, str]
) -> prop.Joint:
    at, turn = placed(joint.origin)
    kind = _KIND[joint.type]
    follow = None
    if joint.mimic and kind != "fixed" and joint.mimic.joint in kind_of:
        # The factor goes between SI units, and follows them to those of the prop: a slide may mimic a turn.
        own, leading = _per_si(kind), _per_si(kind_of[joint.mimic.joint])
        follow = prop.Follow(
            joint=joints[joint.mimic.joint],
            ratio=joint.mimic.multiplier * own / leading,
            offset=joint.mimic.offset * own,
        )
    return prop.Joint(
        name=joints[joint.name],
        type=kind,
        parent=links[joint.parent],
        child=links[joint.child],
        at=at,
        turn=turn,
        axis=(0.0, 0.0, 1.0) if kind == "fixed" else joint.axis,
        stops=_stops(joint),
        follow=follow,
    )


def _per_si(kind: str) -> float:
    return DEG_PER_RAD if kind == "revolute" else MM_PER_M


def _stops(joint: Joint) -> tuple[float, float] | None:
    """Hard stops [deg or mm]; None where the limits are none: both the same, or farther apart than anything moves."""
    if joint.limits is None or joint.limits[1] - joint.limits[0] < NARROWEST:
        return None
    unit, most = (DEG_PER_RAD, MOST_TURN_DEG) if joint.type == "revolute" else (MM_PER_M, KILOMETRE_MM)
    low, high = (unit * limit for limit in joint.limits)
    return (low, high) if -most <= low and high <= most else None


def _otherwise(robot: Robot, name: str) -> Iterator[Finding]:
    """What a prop has otherwise than the URDF, each kind of it once, with the names of what it is true of."""
    joints = robot.joints

    def named(chosen: list[Joint]) -> str:
        return listed(joint.name for joint in chosen)

    if endless := [joint for joint in joints if joint.type == "continuous"]:
        said = "turn without end in the URDF (continuous); here they have no hard stops, and turn as far as their servo"
        yield note("continuous", named(endless), said, file=name, line=endless[0].line)
    if held := [joint for joint in joints if joint.type in ("floating", "planar")]:
        kinds = " and ".join(sorted({joint.type for joint in held}))
        said = (
            f"move freely in the URDF ({kinds}), which no one servo does; they are held where they stand at 0"
        )
        yield warning("held", named(held), said, file=name, line=held[0].line)
    if mimics := [joint for joint in held if joint.mimic]:
        yield warning("held", named(mimics), "mimic another joint, and are held all the same", file=name)
    known = {joint.name for joint in joints}
    for joint in joints:
        if joint.mimic and joint.mimic.joint not in known:
            right = nearest_name(joint.mimic.joint, known, "there are")
            there = f"mimics '{joint.mimic.joint}', and there is no joint of that name ({right})"
            yield warning(
                "mimic", joint.name, f"{there}; here it moves by itself", file=name, line=joint.line
            )
    limited = [joint for joint in joints if joint.type in ("revolute", "prismatic")]
    if free := [joint for joint in limited if _stops(joint) is None]:
        said = "have no limits that are any (none, both the same, or endless), so no hard stops; put in the real ones"
        yield warning("no-stops", named(free), said, file=name, line=free[0].line)
    if robot.passed_over:
        counted = listed(f"{count} {tag}" for tag, count in robot.passed_over.items())
        yield note(
            "passed-over", "", f"holds what a prop has no use for, and is left out: {counted}", file=name
        )
    said = (
        "centres of mass, inertias, and effort, velocity and friction of joints are left out: posekit finds the first "
        "two from solid shapes, and the rest comes with servos"
    )
    yield note("left-out", "", said, file=name)


def _fitting(names: list[str]) -> dict[str, str]:
    """Each name as a prop takes it: letters that can be seen, at most `NAME_LETTERS` of them, no two alike."""
    fitting: dict[str, str] = {}
    taken = {name for name in names if printable(name, NAME_LETTERS) == name}
    for name in names:
        fits = printable(name, NAME_LETTERS)
        if fits != name:
            numbered = (f"{printable(name, NAME_LETTERS - 8)} {number}" for number in count(2))
            fits = next(each for each in chain([fits], numbered) if each not in taken)
            taken.add(fits)
        fitting[name] = fits
    return fitting
