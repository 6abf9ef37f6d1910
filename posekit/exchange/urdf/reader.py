"""From the text of a URDF to what it says (`model.py`), with every problem told at once, by its line.

The format by its public description, "URDF XML specification" of ROS (robot, link, joint), with what version 1.1
adds: capsules and quaternions. Tags that posekit has no use for are counted and passed over.
"""

from __future__ import annotations

import math
from collections import Counter
from typing import get_args

from posekit.budgets import PARTS, ROW_LETTERS, SHAPES
from posekit.errors import Finding, PosekitError, error
from posekit.exchange.urdf.attributes import Attributes
from posekit.exchange.urdf.model import Joint, JointType, Link, Mimic, Robot, Triple
from posekit.exchange.urdf.solids import Colours, colours_of, solid_of
from posekit.exchange.urdf.tree import broken_tree
from posekit.exchange.xmltree import Element, xml_tree
from posekit.text import exact, shortened

X: Triple = (1.0, 0.0, 0.0)  # the axis where none is given
_TYPES: tuple[JointType, ...] = get_args(JointType)
_USED = ("link", "joint", "material")


def read_urdf(content: bytes, name: str) -> tuple[Robot, tuple[Finding, ...]]:
    """What a URDF says, and what there is to tell of it; `name` is how messages call the file.

    Raises PosekitError with every problem at once: what is no XML, xacro that is not expanded, what lacks a part or a
    number, and links that make no tree.
    """
    root = xml_tree(content, name)
    _refuse_xacro(root, name)
    if root.tag != "robot":
        sentence = f"begins with <{shortened(root.tag, ROW_LETTERS)}>, and a URDF with <robot>; give the URDF"
        raise PosekitError([error("not-urdf", "", sentence, file=name, line=root.line)])
    read = Attributes(name)
    _refuse_too_many(root, read)
    colours = colours_of(root, read)
    robot = Robot(
        name=root.attributes.get("name", "").strip(),
        links=tuple(_link(element, colours, read) for element in root.every("link")),
        joints=tuple(_joint(element, read) for element in root.every("joint")),
        passed_over=dict(Counter(child.tag for child in root.children if child.tag not in _USED)),
    )
    if problems := read.problems or broken_tree(robot, name):
        raise PosekitError(problems)
    return robot, tuple(read.notes)


def _refuse_xacro(root: Element, name: str) -> None:
    """Raise PosekitError for a file that xacro has yet to make a URDF of."""
    for element in root.walk():
        values = [value for value in element.attributes.values() if "${" in value or "$(" in value]
        if element.tag.startswith("xacro:") or values:
            found = f"'{values[0]}'" if values else f"<{element.tag}>"
            sentence = (
                f"has {shortened(found, ROW_LETTERS)}, so it is xacro, from which a URDF is made first: "
                "run `xacro robot.urdf.xacro > robot.urdf` (xacro comes with ROS, and as a Python package), "
                "and give that file"
            )
            raise PosekitError([error("xacro", "", sentence, file=name, line=element.line)])


def _refuse_too_many(root: Element, read: Attributes) -> None:
    """Raise PosekitError for no links at all, and for more than a prop may have of anything."""
    links, joints = root.every("link"), root.every("joint")
    shapes = sum(child.tag in ("visual", "collision") for link in links for child in link.children)
    if not links:
        read.tell(root, "robot", "has no <link>; a figure needs at least one")
    for kind, count, most in (
        ("links", len(links), PARTS),
        ("joints", len(joints), PARTS),
        ("visuals and collisions", shapes, SHAPES),
    ):
        if count > most:
            read.tell(root, "robot", f"has {count} {kind}; a prop may have {most} at most")
    if read.problems:
        raise PosekitError(read.problems)


def _link(element: Element, colours: Colours, read: Attributes) -> Link:
    """A link with its mass, visuals and collisions."""
    name = read.text(element, "name", "link")
    subject = f"link '{name}'"
    inertial = element.one("inertial")
    given = inertial.one("mass") if inertial else None
    mass = read.number(given, "value", subject) if given else 0.0
    if given and mass < 0:
        read.tell(given, subject, f"has a mass of {exact(mass)}; use 0 kg or more")
    visuals, collisions = (
        tuple(solid_of(each, f"{kind} of {subject}", colours, read) for each in element.every(kind))
        for kind in ("visual", "collision")
    )
    return Link(name, element.line, mass or None, visuals, collisions)


def _joint(element: Element, read: Attributes) -> Joint:
    """A joint with its place, axis, limits and what it mimics."""
    name = read.text(element, "name", "joint")
    subject = f"joint '{name}'"
    given = element.attributes.get("type", "")
    kind = next((each for each in _TYPES if each == given), None)
    if kind is None:
        read.tell(element, subject, f"type = '{given}': use one of {', '.join(_TYPES)}")
    ends = []
    for end in ("parent", "child"):
        if (held := element.one(end)) is None:
            read.tell(element, subject, f"has no <{end}>; name the link, as <{end} link='...'/>")
        ends.append("" if held is None else read.text(held, "link", subject))
    return Joint(
        name=name,
        line=element.line,
        type=kind or "fixed",
        parent=ends[0],
        child=ends[1],
        origin=read.pose(element, subject),
        axis=X if kind in ("fixed", "floating") else _axis(element.one("axis"), subject, read),
        limits=_limits(element.one("limit"), subject, read) if kind in ("revolute", "prismatic") else None,
        mimic=_mimic(element.one("mimic"), subject, read),
    )


def _axis(element: Element | None, subject: str, read: Attributes) -> Triple:
    axis = X if element is None else read.triple(element, "xyz", subject, X)
    if element is not None and not 1e-9 < math.hypot(*axis) < 1e9:
        read.tell(element, subject, f"axis = {list(axis)}: give it a direction, such as 0 0 1")
    return axis


def _limits(element: Element | None, subject: str, read: Attributes) -> tuple[float, float] | None:
    """Lower and upper of a <limit>, each 0 where it is not given."""
    if element is None:
        return None
    lower, upper = (read.number(element, end, subject, 0.0, math.inf) for end in ("lower", "upper"))
    if lower > upper:
        read.tell(
            element, subject, f"lower = {exact(lower)} lies above upper = {exact(upper)}; change them over"
        )
    return lower, upper


def _mimic(element: Element | None, subject: str, read: Attributes) -> Mimic | None:
    if element is None:
        return None
    factor, offset = (
        read.number(element, key, subject, by) for key, by in (("multiplier", 1.0), ("offset", 0.0))
    )
    return Mimic(read.text(element, "joint", subject), factor, offset)
