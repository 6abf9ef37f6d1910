"""What must hold between the parts of a prop: names that exist, one tree, one address a drive, numbers that agree."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from difflib import get_close_matches

import numpy as np

from posekit.linkage import Differential, Direct, Gear
from posekit.prop.model import Drive, Joint, Mesh, Prop, Servo
from posekit.prop.places import Path
from posekit.prop.placing import hinge

Problem = tuple[Path, str, str]  # key path, code, sentence

_COLOUR = re.compile(r"#[0-9a-fA-F]{6}")


def broken_rules(prop: Prop) -> list[Problem]:
    """Every rule this prop breaks."""
    joints = (*prop.joints, *prop.fixed)
    return [
        *(problem for servo in prop.servos for problem in _servo(servo)),
        *_shapes(prop),
        *(problem for joint in joints for problem in _joint(joint, prop)),
        *_tree(prop, joints),
        *_follow_loops(prop),
        *(problem for drive in prop.drives for problem in _drive(drive, prop)),
        *_shared_addresses(prop.drives),
        *_shared_joints(prop),
        *_clearance(prop),
    ]


def _unknown(path: Path, kind: str, name: str, known: Iterable[str]) -> Problem:
    names = list(known)
    near = get_close_matches(name, names, n=1)
    right = f"did you mean '{near[0]}'?" if near else f"there are: {', '.join(names) or 'none'}"
    return path, "unknown-name", f"= '{name}': there is no {kind} of that name; {right}"


def _rising(path: Path, pair: tuple[float, float]) -> Iterator[Problem]:
    if not pair[0] < pair[1]:
        yield path, "wrong-order", f"= [{pair[0]:g}, {pair[1]:g}]: the first must be below the second"


def _servo(servo: Servo) -> Iterator[Problem]:
    path: Path = ("servos", servo.name)
    yield from _rising((*path, "pulse_range"), servo.pulse_range)
    if servo.voltage and servo.voltage[0] > servo.voltage[1]:
        yield from _rising((*path, "voltage"), servo.voltage)
    if not servo.points:
        return
    pulse_us, shaft_deg = np.array(servo.points).T
    if len(servo.points) < 2:
        yield (*path, "points"), "too-few", "one point makes no line: measure two or more"
    elif not np.all(np.diff(pulse_us) > 0):
        yield (*path, "points"), "wrong-order", "pulse widths must rise from point to point"
    elif not (np.all(np.diff(shaft_deg) > 0) or np.all(np.diff(shaft_deg) < 0)):
        yield (*path, "points"), "turns-back", "angles must only rise or only fall from point to point"


def _shapes(prop: Prop) -> Iterator[Problem]:
    for link in prop.links:
        for i, shape in enumerate(link.shapes):
            path: Path = ("links", link.name, "shapes", i)
            if not _COLOUR.fullmatch(shape.colour):
                yield (*path, "colour"), "wrong-value", f"= '{shape.colour}': write it as #rrggbb"
            if isinstance(shape.form, Mesh):
                for key, file in (("mesh", shape.form.path), ("pieces", shape.form.pieces)):
                    if file is not None and file not in prop.files:
                        there = ", ".join(name for name in prop.files if name.startswith("meshes/"))
                        right = (
                            f"files there: {there}"
                            if there
                            else "put it into the folder meshes/ beside the prop file"
                        )
                        yield (
                            (*path, key),
                            "missing-file",
                            f"= '{file}': there is no such file beside the prop file; {right}",
                        )


def _joint(joint: Joint, prop: Prop) -> Iterator[Problem]:
    path: Path = ("joints", joint.name)
    links = [link.name for link in prop.links]
    for key, name in (("parent", joint.parent), ("child", joint.child)):
        if name not in links:
            yield _unknown((*path, key), "link", name, links)
    if np.linalg.norm(joint.axis) == 0 or not np.isfinite(np.linalg.norm(joint.axis)):
        yield (
            (*path, "axis"),
            "wrong-value",
            f"= {list(joint.axis)}: an axis needs a direction, such as [0, 1, 0]",
        )
    if joint.stops:
        yield from _rising((*path, "stops"), joint.stops)
    if joint.follow is None:
        return
    if joint.type == "fixed":
        yield (*path, "follow"), "wrong-kind", "a fixed joint cannot follow; make it revolute or prismatic"
    moving = [other.name for other in prop.joints]
    if joint.follow.joint not in moving:
        yield _unknown((*path, "follow", "joint"), "moving joint", joint.follow.joint, moving)


def _tree(prop: Prop, joints: tuple[Joint, ...]) -> Iterator[Problem]:
    if not prop.links:
        yield ("links",), "missing-key", "there is no link: a prop has at least one"
        return
    carrier: dict[str, Joint] = {}
    for joint in joints:
        if joint.child in carrier:
            other = carrier[joint.child].name
            sentence = (
                f"= '{joint.child}': that link hangs on joint '{other}' already; a link hangs on one joint"
            )
            yield ("joints", joint.name, "child"), "two-parents", sentence
        carrier.setdefault(joint.child, joint)
    roots = [link.name for link in prop.links if link.name not in carrier]
    if len(roots) > 1:
        for name in roots[1:]:
            sentence = (
                f"hangs on no joint, nor does '{roots[0]}': a prop has one root; add a joint with this child"
            )
            yield ("links", name), "two-roots", sentence
    yield from _loops(prop, carrier)


def _loops(prop: Prop, carrier: dict[str, Joint]) -> Iterator[Problem]:
    told: set[str] = set()
    for link in prop.links:
        way: list[str] = []
        name = link.name
        while name in carrier and name not in way and name not in told:
            way.append(name)
            name = carrier[name].parent
        if name in way:
            loop = way[way.index(name) :]
            told.update(loop)
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
    servos = [servo.name for servo in prop.servos]
    if drive.servo not in servos:
        yield _unknown((*path, "servo"), "servo type", drive.servo, servos)
    if drive.bits == 16 and drive.address == 512:
        yield (
            (*path, "address"),
            "out-of-range",
            "= 512: a 16-bit drive also needs the next address; use 511 or less",
        )
    if drive.rest is not None and drive.rest > drive.full_scale:
        yield (
            (*path, "rest"),
            "out-of-range",
            f"= {drive.rest}: use {drive.full_scale} or less ({drive.bits} bit)",
        )
    if isinstance(drive.linkage, Differential):
        yield from _differential(drive, drive.linkage, prop)
    else:
        yield from _moved_joint(drive, prop)


def _moved_joint(drive: Drive, prop: Prop) -> Iterator[Problem]:
    path: Path = ("drives", drive.name, "joint")
    joints = {joint.name: joint for joint in (*prop.joints, *prop.fixed)}
    if drive.joint is None:
        if drive.name not in _partners(prop):
            yield path, "missing-key", "is missing: name the joint that this drive moves"
    elif drive.joint not in joints:
        yield _unknown(path, "joint", drive.joint, joints)
    elif joints[drive.joint].type == "fixed":
        yield path, "wrong-kind", f"= '{drive.joint}': that joint is fixed; make it revolute or prismatic"
    elif joints[drive.joint].follow:
        yield (
            path,
            "wrong-kind",
            f"= '{drive.joint}': that joint follows another; drive the leader, or remove its follow",
        )
    elif not isinstance(drive.linkage, (Direct, Gear)):  # a rack or a belt may move a slide, too
        kind = joints[drive.joint].type
        wanted = "prismatic" if drive.linkage.moves == "slide" else "revolute"
        if kind != wanted:
            yield (
                path,
                "wrong-kind",
                f"= '{drive.joint}': this linkage needs a {wanted} joint, and that one is {kind}",
            )
    yield from _linkage(drive, joints.get(drive.joint or ""))


def _linkage(drive: Drive, joint: Joint | None) -> Iterator[Problem]:
    # A joint without a direction is told elsewhere and gives no place to judge the linkage in.
    place = hinge(joint) if joint and np.any(joint.axis) else None
    for key, sentence in drive.linkage.problems(place):
        yield ("drives", drive.name, "linkage", key), "wrong-linkage", sentence


def _differential(drive: Drive, linkage: Differential, prop: Prop) -> Iterator[Problem]:
    path: Path = ("drives", drive.name, "linkage")
    drives = {other.name: other for other in prop.drives}
    moving = {joint.name: joint for joint in prop.joints}
    if linkage.partner not in drives:
        yield _unknown((*path, "partner"), "drive", linkage.partner, drives)
    elif linkage.partner == drive.name:
        yield (
            (*path, "partner"),
            "wrong-value",
            f"= '{linkage.partner}': a differential needs another drive as partner",
        )
    elif not isinstance(drives[linkage.partner].linkage, Direct):
        sentence = (
            f"= '{linkage.partner}': that drive has its own linkage; a differential is described once, here"
        )
        yield (*path, "partner"), "wrong-value", sentence
    for key, name in (("sum", linkage.sum), ("difference", linkage.difference)):
        if name not in moving:
            yield _unknown((*path, key), "moving joint", name, moving)
        elif moving[name].follow:
            yield (*path, key), "wrong-kind", f"= '{name}': that joint follows another"
    if linkage.sum == linkage.difference:
        yield (
            (*path, "difference"),
            "wrong-value",
            f"= '{linkage.difference}': is the sum joint too; name two joints",
        )
    for other in (drive, drives.get(linkage.partner, drive)):
        if other.joint not in (None, linkage.sum, linkage.difference):
            sentence = f"= '{other.joint}': its differential moves '{linkage.sum}' and '{linkage.difference}'; name one"
            yield ("drives", other.name, "joint"), "wrong-value", sentence


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
        linkage = drive.linkage
        moved = (linkage.sum, linkage.difference) if isinstance(linkage, Differential) else (drive.joint,)
        for joint in moved:
            if joint is not None and mover.setdefault(joint, drive.name) != drive.name:
                sentence = (
                    f"joint '{joint}' is moved by drive '{mover[joint]}' already; a joint has one drive"
                )
                yield ("drives", drive.name, "joint"), "shared-joint", sentence
    shared = [drive.linkage.partner for drive in prop.drives if isinstance(drive.linkage, Differential)]
    for name in {name for name in shared if shared.count(name) > 1}:
        yield ("drives", name), "shared-joint", "is the partner of two differentials; a drive has one linkage"


def _clearance(prop: Prop) -> Iterator[Problem]:
    links = [link.name for link in prop.links]
    for i, pair in enumerate(prop.clearance.ignore):
        for side, name in enumerate(pair):
            if name not in links:
                yield _unknown(("clearance", "ignore", i, side), "link", name, links)
