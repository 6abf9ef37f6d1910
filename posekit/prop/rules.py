"""What must hold between the parts of a prop: names that exist, one tree, one address a drive, numbers that agree."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator, Mapping
from itertools import pairwise

import numpy as np

from posekit.arrays import Array
from posekit.fields import LONGEST_PULSE_US, MOST_TURN_DEG
from posekit.linkage import Direct, Gear
from posekit.prop.feeds import DEFAULT
from posekit.prop.folder import MESHES, in_folder
from posekit.prop.model import Drive, Joint, Prop, Servo
from posekit.prop.placing import hinge, joints_moved, partners
from posekit.text import exact, listed
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
    fixed = {joint.name for joint in prop.fixed}
    joint_of = {joint.name: joint for joint in joints}
    is_whole = {kind: len(found) == len(names.get(kind, ())) for kind, found in _tables(prop).items()}
    return [
        *(problem for servo in prop.servos for problem in _servo(servo)),
        *_shapes(prop),
        *(problem for joint in joints for problem in _joint(joint, fixed)),
        *_two_parents(joints),
        *(_roots(prop, joints) if is_whole["links"] and is_whole["joints"] else ()),
        *_loops(prop, joints),
        *_follow_loops(prop),
        *(problem for drive in prop.drives for problem in _drive(drive, joint_of, prop)),
        *(_idle(prop) if is_whole["drives"] else ()),
        *_shared_addresses(prop.drives),
        *_shared_joints(prop),
        *_weights(prop),
        *_supplies(prop),
    ]


def _tables(prop: Prop) -> dict[str, Collection[object]]:
    return {"links": prop.links, "joints": (*prop.joints, *prop.fixed), "drives": prop.drives}


def _weights(prop: Prop) -> Iterator[Problem]:
    """What is wrong with the way down, and with springs that have nothing to pull at."""
    if not has_direction(prop.gravity.down):
        sentence = f"= {list(prop.gravity.down)}: has no direction; use for example [0, 0, -1]"
        yield ("gravity", "down"), "wrong-value", sentence
    for spring in prop.springs:
        if spring.link == spring.other:
            sentence = (
                f"= '{spring.other}': both ends are on that part, so it moves nothing; name another part"
            )
            yield ("springs", spring.name, "other"), "wrong-value", sentence


def _supplies(prop: Prop) -> Iterator[Problem]:
    """A supply of the name under which that of all others is told."""
    if any(supply.name == DEFAULT for supply in prop.supplies):
        sentence = (
            f"is how the supply of all other drives is called: use another name, or write it as [{DEFAULT}]"
        )
        yield ("supplies", DEFAULT), "name-taken", sentence


def _rising(path: Path, pair: tuple[float, float]) -> Iterator[Problem]:
    if not pair[0] < pair[1]:
        yield (
            path,
            "wrong-order",
            f"= [{exact(pair[0])}, {exact(pair[1])}]: the first must be below the second",
        )


def _servo(servo: Servo) -> Iterator[Problem]:
    path: Path = ("servos", servo.name)
    yield from _rising((*path, "pulse_range"), servo.pulse_range)
    if servo.voltage and servo.voltage[0] > servo.voltage[1]:
        yield from _rising((*path, "voltage"), servo.voltage)
    volts = [row[0] for row in servo.rated]
    if falls := [i for i, (one, two) in enumerate(pairwise(volts), 1) if not one < two]:
        before, after = (exact(volts[falls[0] + step]) for step in (-1, 0))
        sentence = f"= {after}: follows {before} V; let the voltages rise from row to row"
        yield (*path, "rated", falls[0], 0), "wrong-order", sentence
    if beyond := list(_beyond((*path, "points"), servo.points)):
        yield from beyond
    elif servo.points:
        yield from _curve((*path, "points"), np.array(servo.points))


def _beyond(path: Path, points: tuple[tuple[float, float], ...]) -> Iterator[Problem]:
    for i, (pulse_us, shaft_deg) in enumerate(points):
        if not 0 < pulse_us <= LONGEST_PULSE_US:
            sentence = f"= {exact(pulse_us)}: use more than 0 and at most {exact(LONGEST_PULSE_US)} (µs)"
            yield (*path, i, 0), "out-of-range", sentence
        if not abs(shaft_deg) <= MOST_TURN_DEG:
            sentence = f"= {exact(shaft_deg)}: use {exact(-MOST_TURN_DEG)} to {exact(MOST_TURN_DEG)} (deg)"
            yield (*path, i, 1), "out-of-range", sentence


def _curve(path: Path, points: Array) -> Iterator[Problem]:
    """What keeps measured points (n, 2) [us, deg] from being a curve that can be followed both ways."""
    pulse_us, shaft_deg = points.T
    falls = np.flatnonzero(np.diff(pulse_us) <= 0)
    turns = np.diff(shaft_deg) * np.sign(shaft_deg[-1] - shaft_deg[0])
    if len(points) < 2:
        yield path, "too-few", "one point is not enough; measure two or more"
    elif falls.size:
        before, after = pulse_us[falls[0]], pulse_us[falls[0] + 1]
        sentence = f"{exact(after)} µs follows {exact(before)} µs: pulse widths must rise from point to point"
        yield path, "wrong-order", sentence
    elif (back := np.flatnonzero(turns <= 0)).size:
        before, after = shaft_deg[back[0]], shaft_deg[back[0] + 1]
        sentence = (
            f"{exact(after)} degrees follow {exact(before)}: angles must only rise or only fall; "
            "run `posekit fit` to fix that"
        )
        yield path, "turns-back", sentence


def _shapes(prop: Prop) -> Iterator[Problem]:
    there = listed(in_folder(prop.files, MESHES).values())
    for link in prop.links:
        for i, shape in enumerate(link.shapes):
            path: Path = ("links", link.name, "shapes", i)
            if not _COLOUR.fullmatch(shape.colour):
                yield (*path, "colour"), "wrong-value", f"= '{shape.colour}': write it as #rrggbb"
            for key, file in shape.form.names():
                if file not in prop.files:
                    right = (
                        f"files there: {there}"
                        if there != "none"
                        else "put it into the folder meshes/ beside the prop file"
                    )
                    sentence = f"= '{file}': no such file beside the prop file; {right}"
                    yield (*path, key), "missing-file", sentence


def _joint(joint: Joint, fixed: Collection[str]) -> Iterator[Problem]:
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
    if joint.follow.joint in fixed:
        sentence = f"= '{joint.follow.joint}': that joint is fixed; name one that moves"
        yield (*path, "follow", "joint"), "wrong-kind", sentence


def _two_parents(joints: tuple[Joint, ...]) -> Iterator[Problem]:
    carrier: dict[str, str] = {}
    for joint in joints:
        other = carrier.setdefault(joint.child, joint.name)
        if other != joint.name:
            sentence = (
                f"= '{joint.child}': joints '{other}' and '{joint.name}' both carry that link; "
                "a link hangs on one joint"
            )
            yield ("joints", joint.name, "child"), "two-parents", sentence


def _roots(prop: Prop, joints: tuple[Joint, ...]) -> Iterator[Problem]:
    if not prop.links:
        yield ("links",), "missing-key", "there are no links; a prop needs at least one"
    children = {joint.child for joint in joints}
    first, *others = [link.name for link in prop.links if link.name not in children] or [""]
    for name in others:
        sentence = (
            f"hangs on no joint, and neither does '{first}'; a prop has one root, so add a joint "
            "that carries this link"
        )
        yield ("links", name), "two-roots", sentence


def _loops(prop: Prop, joints: tuple[Joint, ...]) -> Iterator[Problem]:
    carrier = {joint.child: joint for joint in reversed(joints)}  # of two, the first holds
    told: set[str] = set()
    for link in prop.links:
        way: dict[str, None] = {}  # in the order of the walk, and quick to look into
        name = link.name
        # Ends: no name comes twice.
        while name in carrier and name not in way and name not in told:
            way[name] = None
            name = carrier[name].parent
        if name in way:
            names = list(way)
            loop = names[names.index(name) :]
            around = " - ".join([*loop, name])
            sentence = f"links {around} form a loop; remove one of these joints"
            yield ("joints", carrier[name].name), "loop", sentence
        told.update(way)


def _follow_loops(prop: Prop) -> Iterator[Problem]:
    leader = {joint.name: joint.follow.joint for joint in prop.joints if joint.follow}
    walked: set[str] = set()
    in_loop: set[str] = set()
    for start in leader:
        way: dict[str, None] = {}
        name = start
        # Ends: no name is walked twice.
        while name in leader and name not in walked:
            walked.add(name)
            way[name] = None
            name = leader[name]
        if name in way:
            names = list(way)
            in_loop.update(names[names.index(name) :])
    for name in leader:
        if name in in_loop:
            sentence = f"= '{leader[name]}': these joints follow each other in a circle; let one of them have a drive"
            yield ("joints", name, "follow", "joint"), "loop", sentence


def _drive(drive: Drive, joint_of: Mapping[str, Joint], prop: Prop) -> Iterator[Problem]:
    path: Path = ("drives", drive.name)
    if drive.bits == 16 and drive.address == 512:
        sentence = "= 512: a 16-bit drive also needs the next address; use 511 or less"
        yield (*path, "address"), "out-of-range", sentence
    if drive.rest is not None and drive.rest > drive.full_scale:
        sentence = f"= {drive.rest}: use {drive.full_scale} or less ({drive.bits} bit)"
        yield (*path, "rest"), "out-of-range", sentence
    if drive.linkage.partner_keys:
        yield from _coupled(drive, prop)
        return
    joint = joint_of.get(drive.joint or "")
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
    taken = _partners(prop)
    for drive in prop.drives:
        if drive.joint is None and not drive.linkage.joint_keys and drive.name not in taken:
            sentence = "is missing: name the joint that this drive moves"
            yield ("drives", drive.name, "joint"), "missing-key", sentence


def _coupled(drive: Drive, prop: Prop) -> Iterator[Problem]:
    """What is wrong with a linkage of several drives: their names and its joints' are all different and fit."""
    path: Path = ("drives", drive.name, "linkage")
    linkage = drive.linkage
    for key, sentence in linkage.problems():
        yield (*path, key), "wrong-linkage", sentence
    drives, joints = {drive.name: "this drive"}, dict[str, str]()
    others = {other.name: other for other in prop.drives}
    for key, name in zip(linkage.partner_keys, partners(linkage), strict=True):
        if name in drives:
            sentence = f"= '{name}': is {drives[name]} already; name another drive"
            yield (*path, key), "wrong-value", sentence
        elif name in others and not isinstance(others[name].linkage, Direct):
            sentence = f"= '{name}': that drive has a linkage of its own; describe the shared one once, here"
            yield (*path, key), "wrong-value", sentence
        drives.setdefault(name, f"its '{key}' drive")
    fixed = {joint.name for joint in prop.fixed}
    led = {joint.name for joint in prop.joints if joint.follow}
    for key in linkage.joint_keys:
        name = getattr(linkage, key)
        if name in joints:
            yield (
                (*path, key),
                "wrong-value",
                f"= '{name}': is its '{joints[name]}' joint already; name another",
            )
        elif name in fixed:
            sentence = f"= '{name}': that joint is fixed; make it revolute or prismatic"
            yield (*path, key), "wrong-kind", sentence
        elif name in led:
            sentence = f"= '{name}': that joint follows another; name its leader, or remove its follow"
            yield (*path, key), "wrong-kind", sentence
        joints.setdefault(name, key)
    known = {joint.name for joint in (*prop.joints, *prop.fixed)}
    moves = " and ".join(f"'{name}'" for name in joints)
    for name in drives:
        joint = others[name].joint if name in others else None
        if joint in known - set(joints):
            sentence = f"= '{joint}': its linkage moves {moves}; name one of them"
            yield ("drives", name, "joint"), "wrong-value", sentence


def _partners(prop: Prop) -> set[str]:
    return {name for drive in prop.drives for name in partners(drive.linkage)}


def _shared_addresses(drives: tuple[Drive, ...]) -> Iterator[Problem]:
    taken: dict[tuple[int, int], str] = {}
    for drive in drives:
        for address in range(drive.address, drive.address + drive.bits // 8):
            owner = taken.setdefault((drive.universe, address), drive.name)
            if owner != drive.name:
                # Both are named: whichever of the two was changed, the sentence is true of it.
                fine = "" if address == drive.address else f" (the fine byte of '{drive.name}')"
                sentence = (
                    f"= {drive.address}: '{owner}' and '{drive.name}' both use universe {drive.universe}, "
                    f"address {address}{fine}; give each drive its own"
                )
                yield ("drives", drive.name, "address"), "shared-address", sentence


def _shared_joints(prop: Prop) -> Iterator[Problem]:
    mover: dict[str, str] = {}
    taken = _partners(prop)
    for drive in prop.drives:
        if drive.name in taken:
            continue
        for keys, joint in joints_moved(drive):
            if (other := mover.setdefault(joint, drive.name)) != drive.name:
                sentence = (
                    f"= '{joint}': '{other}' and '{drive.name}' both move that joint; a joint has one drive"
                )
                yield ("drives", drive.name, *keys), "shared-joint", sentence
    owner: dict[str, str] = {}
    for drive in prop.drives:
        for name in dict.fromkeys(partners(drive.linkage)):
            if (other := owner.setdefault(name, drive.name)) != drive.name:
                sentence = f"the linkages of '{other}' and '{drive.name}' both take this drive; a drive has one linkage"
                yield ("drives", name), "shared-joint", sentence
