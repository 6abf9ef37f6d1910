"""Figures that are left behind as a joint becomes another kind, or as another joint is followed or driven in its place:
degrees mean nothing to a slide, nor mm to a turn.

What can be left out of the file is taken out. A linkage that moves turns and slides alike stays, and what it makes of a
degree of the shaft is told, as it is of a ratio of 1 that stands nowhere. Where two joints no longer fit, as where one
becomes fixed that another follows, the rules of the prop refuse it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from posekit.authoring.contents import Changes
from posekit.errors import Finding, warning
from posekit.prop.model import Drive, Joint, Prop
from posekit.prop.placing import joints_moved
from posekit.text import exact, listed
from posekit.toml.places import Path, dotted

JointType = Literal["revolute", "prismatic", "fixed"]
Remedy = Callable[[Path], str]
Becomes = Callable[[Path, str], tuple[Joint, str, str] | None]
_POSITION = {"revolute": "degrees", "prismatic": "millimetres"}
_EFFORT = {"revolute": "N·m", "prismatic": "N"}


@dataclass(frozen=True, slots=True)
class Lost:
    """A key that is taken out, or a table that `stays`, because what it counts is another from now on."""

    path: Path
    sentence: str
    stays: bool = False


def _lost_units(
    prop: Prop, changes: Mapping[Path, Any], remedy: Remedy
) -> tuple[Changes, tuple[Finding, ...]]:
    """What goes with the types of joints that are set by `changes`, and with the joints that are named there: keys to
    take out, and what a builder is told.

    Keys that are among the changes are new ones, and stay. `remedy` says how a key is given anew.
    """
    types = _types(prop, changes)
    # Of two joints that change both, one that follows the other is told once.
    found = {lost.path: lost for lost in _lost(prop, types, changes, remedy) if not _given(lost, changes)}
    gone: Changes = {path: None for path, lost in found.items() if not lost.stays}
    return gone, tuple(_told(lost) for lost in found.values())


def with_lost_units(
    prop: Prop, changes: Mapping[Path, Any], remedy: Remedy | None = None
) -> tuple[Changes, tuple[Finding, ...]]:
    """The same with the changes themselves; without a `remedy` a key is given anew by its whole path."""
    gone, told = _lost_units(prop, changes, remedy or by_key)
    return {**changes, **gone}, told


def of_type(
    prop: Prop, joint: str, type: JointType | None, remedy: Remedy, given: Sequence[str] = ()
) -> tuple[Finding, ...]:
    """What a builder is told of one joint that becomes another, but for its keys that are `given` anew."""
    keys: Changes = {("joints", joint, "type"): type} if type else {}
    return _lost_units(prop, keys | {("joints", joint, key): None for key in given}, remedy)[1]


def by_key(path: Path) -> str:
    """How a key is given anew by its whole path."""
    if path[-1] == "stops":
        return f"give new ones with {dotted(path)}=[LOW,HIGH]"
    return f"give it anew with {dotted(path)}=NUMBER"


def _types(prop: Prop, changes: Mapping[Path, Any]) -> dict[str, str]:
    """The types that joints have from now on, of those that become another."""
    types: dict[str, str] = {}
    for joint in (*prop.joints, *prop.fixed):
        path: Path = ("joints", joint.name)
        table = changes.get(path)
        given = changes.get((*path, "type"), table.get("type") if isinstance(table, Mapping) else None)
        if given is not None and given != joint.type:
            types[joint.name] = str(given)
    return types


def _given(lost: Lost, changes: Mapping[Path, Any]) -> bool:
    """Whether it is set anew: as part of a table, or, where it does not stay, by a part of its own."""
    path = lost.path
    return any(path[: len(key)] == key or (not lost.stays and key[: len(path)] == path) for key in changes)


def _lost(
    prop: Prop, types: Mapping[str, str], changes: Mapping[Path, Any], remedy: Remedy
) -> Iterator[Lost]:
    joints = {joint.name: joint for joint in (*prop.joints, *prop.fixed)}
    for name, type in types.items():
        yield from _of_joint(joints[name], type, remedy)

    def becomes(key: Path, named: str) -> tuple[Joint, str, str] | None:
        """The joint that a key names from now on, the type that the joint before it had, and the type of this one;
        None where there is no such joint, which the rules tell."""
        joint = joints.get(str(changes.get(key) or named))
        return None if joint is None else (joint, joints[named].type, types.get(joint.name, joint.type))

    for joint in joints.values():
        yield from _of_follow(joint, types, becomes, remedy)
    for drive in prop.drives:
        yield from _of_linkage(drive, becomes, remedy)


def _of_joint(joint: Joint, type: str, remedy: Remedy) -> Iterator[Lost]:
    """Stops and torque. One that becomes fixed loses them already: fixed, it would not say any more in what unit
    they were."""
    path: Path = ("joints", joint.name)
    if joint.stops is not None:
        because = _because("they were", joint, _POSITION, type, remedy((*path, "stops")))
        stops = f"= [{exact(joint.stops[0])}, {exact(joint.stops[1])}]"
        yield Lost((*path, "stops"), f"{stops}: are taken out, because {because}")
    if joint.torque:
        because = _because("it was", joint, _EFFORT, type, remedy((*path, "torque")))
        yield Lost((*path, "torque"), f"= {exact(joint.torque)}: is taken out, because {because}")


def _because(was: str, joint: Joint, units: Mapping[str, str], type: str, remedy: str) -> str:
    if type == "fixed":
        return "a fixed joint has none"
    unknown = f"nothing says whether {was} {' or '.join(units.values())}"  # of a joint that was fixed by hand
    return f"{f'{was} {units[joint.type]}' if joint.type in units else unknown}; {remedy}"


def _of_follow(joint: Joint, types: Mapping[str, str], becomes: Becomes, remedy: Remedy) -> Iterator[Lost]:
    """Ratio and offset of a joint that follows, where it or its leader is another."""
    path: Path = ("joints", joint.name, "follow")
    follow = joint.follow
    if follow is None or (leader := becomes((*path, "joint"), follow.joint)) is None:
        return
    before, after = (joint.type, leader[1]), (types.get(joint.name, joint.type), leader[2])
    if before == after or not set(after) <= set(_POSITION):
        return  # of a fixed one the rules tell more
    was, now = (f"{_POSITION[own]} per {_one(_POSITION[other])}" for own, other in (before, after))
    if follow.ratio == 1.0:
        sentence = f"= 1: was {was} and is {now} from now on; {remedy((*path, 'ratio'))}"
    else:
        gone = f"= {exact(follow.ratio)}: is taken out, because it was {was}"
        sentence = f"{gone}; 1 stands in its place, in {now}; {remedy((*path, 'ratio'))}"
    yield Lost((*path, "ratio"), sentence, stays=follow.ratio == 1.0)
    if follow.offset and joint.name in types:
        gone = f"= {exact(follow.offset)}: is taken out, because it was {_POSITION[joint.type]}"
        yield Lost((*path, "offset"), f"{gone}; {remedy((*path, 'offset'))}")


def _of_linkage(drive: Drive, becomes: Becomes, remedy: Remedy) -> Iterator[Lost]:
    """What a linkage makes of a degree of its shafts, of those that the rules let move turns and slides alike."""
    moved = (becomes(("drives", drive.name, *keys), name) for keys, name in joints_moved(drive))
    changed = [each for each in moved if each and each[1] != each[2] and each[2] in _POSITION]
    if not changed:
        return
    path: Path = ("drives", drive.name, "linkage")
    was = _POSITION[changed[0][1]]
    if offset := getattr(drive.linkage, "offset", 0.0):
        gone = f"= {exact(offset)}: is taken out, because it was {was}"
        yield Lost((*path, "offset"), f"{gone}; {remedy((*path, 'offset'))}")
    now = listed([f"'{joint.name}' by {_POSITION[type]}" for joint, _, type in changed])
    yield Lost(
        path, f"stays, and moves {now} from now on, no longer by {was}: see to its figures", stays=True
    )


def _one(units: str) -> str:
    return units.removesuffix("s")


def _told(lost: Lost) -> Finding:
    return warning(
        "unit-changed" if lost.stays else f"{lost.path[-1]}-lost", dotted(lost.path), lost.sentence
    )
