"""What must hold between the parts of a URDF: links that exist, names once each, one tree, no mimic in a circle."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from posekit.errors import Finding, error
from posekit.exchange.urdf.model import Joint, Link, Robot
from posekit.text import listed
from posekit.toml.structure import nearest_name

LEADERS = ("revolute", "continuous", "prismatic")  # types of joints that others can mimic

_Problem = tuple[Link | Joint, str]


def broken_tree(robot: Robot, name: str) -> list[Finding]:
    """What does not hold; `name` is how messages call the file."""
    found = [*_twice(robot.links), *_twice(robot.joints), *_strangers(robot)]
    if not found:  # what these would break as well is not told
        found = [*_two_parents(robot), *_roots(robot), *_mimics(robot)]
    return [
        error("urdf", f"{type(where).__name__.lower()} '{where.name}'", sentence, file=name, line=where.line)
        for where, sentence in found
    ]


def _twice(named: Sequence[Link | Joint]) -> Iterator[_Problem]:
    first: dict[str, Link | Joint] = {}
    for each in named:
        if (other := first.setdefault(each.name, each)) is not each:
            yield each, f"has the same name as the one in line {other.line}; give it one of its own"


def _strangers(robot: Robot) -> Iterator[_Problem]:
    links = [link.name for link in robot.links]
    for joint in robot.joints:
        for end, link in (("parent", joint.parent), ("child", joint.child)):
            if link not in links:
                right = nearest_name(link, links, "there are")
                yield joint, f"{end} = '{link}': there is no link of that name; {right}"


def _two_parents(robot: Robot) -> Iterator[_Problem]:
    carrier: dict[str, Joint] = {}
    for joint in robot.joints:
        if (other := carrier.setdefault(joint.child, joint)) is not joint:
            yield joint, f"carries '{joint.child}', and so does '{other.name}'; a link hangs on one joint"


def _roots(robot: Robot) -> Iterator[_Problem]:
    """Roots after the first, and links that hang on each other in a circle, which no root reaches."""
    carried = {joint.child for joint in robot.joints}
    roots = [link for link in robot.links if link.name not in carried]
    for link in roots[1:]:
        yield (
            link,
            f"hangs on no joint, and neither does '{roots[0].name}'; add a joint that carries this one",
        )
    children: dict[str, list[str]] = {}
    for joint in robot.joints:
        children.setdefault(joint.parent, []).append(joint.child)
    reached = {root.name for root in roots}
    waiting = list(reached)
    # Ends: a link is put in once, when it is first reached.
    while waiting:
        for child in children.get(waiting.pop(), ()):
            if child not in reached:
                reached.add(child)
                waiting.append(child)
    if lost := [link for link in robot.links if link.name not in reached]:
        names = listed(link.name for link in lost)
        yield lost[0], f"hangs on itself by way of others (they are {names}); take one of their joints out"


def _mimics(robot: Robot) -> Iterator[_Problem]:
    joints = {joint.name: joint for joint in robot.joints}
    walked: set[str] = set()
    for joint in robot.joints:
        leader = joints.get(joint.mimic.joint) if joint.mimic else None
        if leader and leader.type not in LEADERS:
            yield joint, f"mimics '{leader.name}', which is {leader.type}; name one that turns or slides"
        way: dict[str, None] = {}
        at: Joint | None = joint
        # Ends: no joint is walked twice.
        while at and at.mimic and at.name not in walked:
            walked.add(at.name)
            way[at.name] = None
            at = joints.get(at.mimic.joint)
        if at and at.name in way:
            yield at, f"mimics itself by way of others (they are {listed(way)}); take one mimic out"
