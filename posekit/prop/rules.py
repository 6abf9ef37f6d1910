"""What must hold between the parts of a prop: names that exist, one tree, one address a drive, numbers that agree."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping

import numpy as np

from posekit.arrays import Array
from posekit.fields import LONGEST_PULSE_US, MOST_TURN_DEG
from posekit.linkage import Differential, Direct, Gear
from posekit.prop.folder import MESHES, in_folder
from posekit.prop.model import Drive, Joint, Prop, Servo
from posekit.prop.placing import hinge
from posekit.toml.places import Path
from posekit.transforms import has_direction

Problem = tuple[Path, str, str]  # key path, code, sentence

_COLOUR = re.compile(r"#[0-9a-fA-F]{6}")


def broken_rules(prop: Prop, names: Mapping[str, Collection[str]]) -> list[Problem]:
    """Every rule this prop breaks. `names` are those in each table of its file.

    The prop may lack what could not be read, and name what is not there, which the reader tells: a rule
    that would only follow from that is not told.
    """
    joints = (*prop.joints, *prop.fixed)
    is_whole = {kind: len(found) == len(names.get(kind, ())) for kind, found in _tables(prop).items()}
    return [
        *(problem for servo in prop.servos for problem in _servo(servo)),
        *_shapes(prop),
        *(problem for joint in joints for problem in _joint(joint, prop)),
        *_two_parents(joints),
        *(_roots(prop, joints) if is_whole["links"] and is_whole["joints"] else ()),
        *_loops(prop, joints),
        *_follow_loops(prop),
        *(problem for drive in prop.drives for problem in _drive(drive, prop)),
        *(_idle(prop) if is_whole["drives"] else ()),
        *_shared_addresses(prop.drives),
        *_shared_joints(prop),
    ]


def _tables(prop: Prop) -> dict[str, Collection[object]]:
    return {"links": prop.links, "joints": (*prop.joints, *prop.fixed), "drives": prop.drives}


def _rising(path: Path, pair: tuple[float, float]) -> Iterator[Problem]:
    if not pair[0] < pair[1]:
        yield path, "wrong-order", f"= [{pair[0]:g}, {pair[1]:g}]: the first must be below the second"


def _servo(servo: Servo) -> Iterator[Problem]:
    path: Path = ("servos", servo.name)
    yield from _rising((*path, "pulse_range"), servo.pulse_range)
    if servo.voltage and servo.voltage[0] > servo.voltage[1]:
        yield from _rising((*path, "voltage"), servo.voltage)
    if beyond := list(_beyond((*path, "points"), servo.points)):
        yield from beyond
    elif servo.points:
        yield from _curve((*path, "points"), np.array(servo.points))


def _beyond(path: Path, points: tuple[tuple[float, float], ...]) -> Iterator[Problem]:
    for i, (pulse_us, shaft_deg) in enumerate(points):
        if not 0 < pulse_us <= LONGEST_PULSE_US:
            sentence = f"= {pulse_us:g}: use more than 0 and at most {LONGEST_PULSE_US:g} (µs)"
            yield (*path, i, 0), "out-of-range", sentence
        if not abs(shaft_deg) <= MOST_TURN_DEG:
            sentence = f"= {shaft_deg:g}: use {-MOST_TURN_DEG:g} to {MOST_TURN_DEG:g} (deg)"
            yield (*path, i, 1), "out-of-range", sentence


def _curve(path: Path, points: Array) -> Iterator[Problem]:
    """What keeps measured points (n, 2) [us, deg] from being a curve that can be followed both ways."""
    pulse_us, shaft_deg = points.T
    falls = np.flatnonzero(np.diff(pulse_us) <= 0)
    turns = np.diff(shaft_deg) * np.sign(shaft_deg[-1] - shaft_deg[0])
    if len(points) < 2:
        yield path, "too-few", "one point makes no line: measure two or more"
    elif falls.size:
        before, after = pulse_us[falls[0]], pulse_us[falls[0] + 1]
        sentence = f"{after:g} µs follows {before:g} µs: pulse widths must rise from point to point"
        yield path, "wrong-order", sentence
    elif (back := np.flatnonzero(turns <= 0)).size:
        before, after = shaft_deg[back[0]], shaft_deg[back[0] + 1]
        sentence = f"{after:g} degrees follow {before:g}: angles must only rise or only fall; `posekit fit` mends that"
        yield path, "turns-back", sentence


def _shapes(prop: Prop) -> Iterator[Problem]:
    for link in prop.links:
        for i, shape in enumerate(link.shapes):
            path: Path = ("links", link.name, "shapes", i)
            if not _COLOUR.fullmatch(shape.colour):
                yield (*path, "colour"), "wrong-value", f"= '{shape.colour}': write it as #rrggbb"
            for key, file in shape.form.names():
                if file not in prop.files:
                    there = ", ".join(in_folder(prop.files, MESHES).values())
                    right = (
                        f"files there: {there}"
                        if there
                        else "put it into the folder meshes/ beside the prop file"
                    )
                    sentence = f"= '{file}': there is no such file beside the prop file; {right}"
                    yield (*path, key), "missing-file", sentence


def _joint(joint: Joint, prop: Prop) -> Iterator[Problem]:
    path: Path = ("joints", joint.name)
    if not has_direction(joint.axis):
        sentence = f"= {list(joint.axis)}: an axis needs a direction, such as [0, 1, 0]"
        yield (*path, "axis"), "wrong-value", sentence
    if joint.stops:
        yield from _rising((*path, "stops"), joint.stops)
    if joint.follow is None:
        return
    if joint.type == "fixed":
        yield (*path, "follow"), "wrong-kind", "a fixed joint cannot follow; make it revolute or prismatic"
    if joint.follow.joint in {other.name for other in prop.fixed}:
        sentence = f"= '{joint.follow.joint}': that joint is fixed and leads nowhere; name one that moves"
        yield (*path, "follow", "joint"), "wrong-kind", sentence


def _two_parents(joints: tuple[Joint, ...]) -> Iterator[Problem]:
    carrier: dict[str, str] = {}
    for joint in joints:
        other = carrier.setdefault(joint.child, joint.name)
        if other != joint.name:
            sentence = (
                f"= '{joint.child}': that link hangs on joint '{other}' already; a link hangs on one joint"
            )
            yield ("joints", joint.name, "child"), "two-parents", sentence


def _roots(prop: Prop, joints: tuple[Joint, ...]) -> Iterator[Problem]:
    if not prop.links:
        yield ("links",), "missing-key", "there is no link: a prop has at least one"
    children = {joint.child for joint in joints}
    first, *others = [link.name for link in prop.links if link.name not in children] or [""]
    for name in others:
        sentence = f"hangs on no joint, nor does '{first}': a prop has one root; add a joint with this child"
        yield ("links", name), "two-roots", sentence


def _loops(prop: Prop, joints: tuple[Joint, ...]) -> Iterator[Problem]:
    carrier = {joint.child: joint for joint in reversed(joints)}  # of two, the first holds
    told: set[str] = set()
    for link in prop.links:
        way: list[str] = []
        name = link.name
        while name in carrier and name not in way and name not in told:
            way.append(name)
            name = carrier[name].parent
        if name in way:
            loop = way[way.index(name) :]
            around = " - ".join([*loop, name])
            sentence = f"links {around} form a loop: one of these joints must go"
            yield ("joints", carrier[name].name), "loop", sentence
        told.update(way)


def _follow_loops(prop: Prop) -> Iterator[Problem]:
    leader = {joint.name: joint.follow.joint for joint in prop.joints if joint.follow}
    for start in leader:
        name, steps = leader[start], 1
        while name in leader and name != start and steps <= len(leader):
            name, steps = leader[name], steps + 1
        if name == start:
            yield (
                ("joints", start, "follow", "joint"),
                "loop",
                f"= '{leader[start]}': these joints follow each other in a loop",
            )


def _drive(drive: Drive, prop: Prop) -> Iterator[Problem]:
    path: Path = ("drives", drive.name)
    if drive.bits == 16 and drive.address == 512:
        sentence = "= 512: a 16-bit drive also needs the next address; use 511 or less"
        yield (*path, "address"), "out-of-range", sentence
    if drive.rest is not None and drive.rest > drive.full_scale:
        sentence = f"= {drive.rest}: use {drive.full_scale} or less ({drive.bits} bit)"
        yield (*path, "rest"), "out-of-range", sentence
    if isinstance(drive.linkage, Differential):
        yield from _differential(drive, drive.linkage, prop)
        return
    joint = next((joint for joint in (*prop.joints, *prop.fixed) if joint.name == drive.joint), None)
    if joint is not None:
        yield from _moved_joint(drive, joint)
    # A joint without a direction is told elsewhere and gives no place to judge the linkage in.
    place = hinge(joint) if joint is not None and has_direction(joint.axis) else None
    for key, sentence in drive.linkage.problems(place):
        yield (*path, "linkage", key), "wrong-linkage", sentence


def _moved_joint(drive: Drive, joint: Joint) -> Iterator[Problem]:
    path: Path = ("drives", drive.name, "joint")
    if joint.type == "fixed":
        sentence = f"= '{joint.name}': that joint is fixed; make it revolute or prismatic"
        yield path, "wrong-kind", sentence
    elif joint.follow:
        sentence = f"= '{joint.name}': that joint follows another; drive the leader, or remove its follow"
        yield path, "wrong-kind", sentence
    elif not isinstance(drive.linkage, (Direct, Gear)):  # a rack or a belt may move a slide, too
        wanted = "prismatic" if drive.linkage.moves == "slide" else "revolute"
        if joint.type != wanted:
            sentence = f"= '{joint.name}': this linkage needs a {wanted} joint, and that one is {joint.type}"
            yield path, "wrong-kind", sentence


def _idle(prop: Prop) -> Iterator[Problem]:
    for drive in prop.drives:
        if (
            drive.joint is None
            and not isinstance(drive.linkage, Differential)
            and drive.name not in _partners(prop)
        ):
            sentence = "is missing: name the joint that this drive moves"
            yield ("drives", drive.name, "joint"), "missing-key", sentence


def _differential(drive: Drive, linkage: Differential, prop: Prop) -> Iterator[Problem]:
    path: Path = ("drives", drive.name, "linkage")
    partner = next((other for other in prop.drives if other.name == linkage.partner), None)
    if linkage.partner == drive.name:
        sentence = f"= '{linkage.partner}': a differential needs another drive as partner"
        yield (*path, "partner"), "wrong-value", sentence
    elif partner is not None and not isinstance(partner.linkage, Direct):
        sentence = (
            f"= '{linkage.partner}': that drive has its own linkage; a differential is described once, here"
        )
        yield (*path, "partner"), "wrong-value", sentence
    for key, name in (("sum", linkage.sum), ("difference", linkage.difference)):
        if name in {joint.name for joint in prop.fixed}:
            yield (
                (*path, key),
                "wrong-kind",
                f"= '{name}': that joint is fixed; make it revolute or prismatic",
            )
        if any(joint.name == name and joint.follow for joint in prop.joints):
            sentence = f"= '{name}': that joint follows another; name its leader, or remove its follow"
            yield (*path, key), "wrong-kind", sentence
    if linkage.sum == linkage.difference:
        sentence = f"= '{linkage.difference}': is the sum joint too; name two joints"
        yield (*path, "difference"), "wrong-value", sentence
    others = {joint.name for joint in (*prop.joints, *prop.fixed)} - {linkage.sum, linkage.difference}
    for each in dict.fromkeys((drive, partner or drive)):
        if each.joint in others:
            sentence = f"= '{each.joint}': its differential moves '{linkage.sum}' and '{linkage.difference}'; name one"
            yield ("drives", each.name, "joint"), "wrong-value", sentence


def _partners(prop: Prop) -> set[str]:
    return {drive.linkage.partner for drive in prop.drives if isinstance(drive.linkage, Differential)}


def _shared_addresses(drives: tuple[Drive, ...]) -> Iterator[Problem]:
    taken: dict[tuple[int, int], str] = {}
    for drive in drives:
        for address in range(drive.address, drive.address + drive.bits // 8):
            owner = taken.setdefault((drive.universe, address), drive.name)
            if owner != drive.name:
                byte = "" if address == drive.address else " (its fine byte)"
                sentence = f"= {drive.address}: universe {drive.universe} address {address}{byte} belongs to '{owner}'"
                yield (
                    ("drives", drive.name, "address"),
                    "shared-address",
                    f"{sentence} already; give each drive its own",
                )


def _shared_joints(prop: Prop) -> Iterator[Problem]:
    mover: dict[str, str] = {}
    partners = _partners(prop)
    for drive in prop.drives:
        if drive.name in partners:
            continue
        path: Path = ("drives", drive.name)
        for key, joint in _moved(drive):
            if joint is not None and mover.setdefault(joint, drive.name) != drive.name:
                sentence = (
                    f"= '{joint}': drive '{mover[joint]}' moves that joint already; a joint has one drive"
                )
                yield (*path, *key), "shared-joint", sentence
    shared = [drive.linkage.partner for drive in prop.drives if isinstance(drive.linkage, Differential)]
    for name in {name for name in shared if shared.count(name) > 1}:
        yield ("drives", name), "shared-joint", "is the partner of two differentials; a drive has one linkage"


def _moved(drive: Drive) -> tuple[tuple[Path, str | None], ...]:
    """The joints that a drive moves, with the keys that say so."""
    linkage = drive.linkage
    if isinstance(linkage, Differential):
        return (("linkage", "sum"), linkage.sum), (("linkage", "difference"), linkage.difference)
    return ((("joint",), drive.joint),)
