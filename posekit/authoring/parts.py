"""A part of a prop by its name, and the prop with another text."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Literal

from posekit.errors import PosekitError, error
from posekit.prop.folder import PROP_FILE
from posekit.prop.model import Drive, Joint, Link, Prop, Shape
from posekit.prop.reader import read
from posekit.text import counted, printable
from posekit.toml.places import dotted
from posekit.toml.structure import nearest_name

Kind = Literal["supplies", "servos", "links", "joints", "drives"]
KINDS: tuple[Kind, ...] = ("supplies", "servos", "links", "joints", "drives")
# What people call one of each.
_CALLED: Mapping[Kind, str] = {
    "supplies": "supply",
    "servos": "servo",
    "links": "part",
    "joints": "joint",
    "drives": "drive",
}
# What stands before each kind in a file, the nearest first.
BEFORE: Mapping[str, tuple[str, ...]] = {
    "supplies": ("supply",),
    "servos": ("supplies", "supply"),
    "links": ("servos", "supplies", "supply"),
    "joints": ("links", "servos", "supplies", "supply"),
    "drives": ("joints", "links", "servos", "supplies", "supply"),
    "clearance": ("drives", "joints", "links", "servos", "supplies", "supply"),
}


def rewritten(prop: Prop, text: str, files: Mapping[str, bytes] | None = None) -> Prop:
    """The prop with another text, and other files beside it where they are given. PosekitError for no valid prop."""
    try:
        return read({**(prop.files if files is None else files), PROP_FILE: text.encode()})
    except PosekitError as refused:
        # The text stands in no file yet, and a line of it led to another one of the builder's.
        told = [replace(finding, file=None, line=None) for finding in refused.findings]
        raise PosekitError(told) from refused


def names_of(prop: Prop, kind: Kind) -> list[str]:
    """The names of all parts of a kind, in the order of the prop."""
    if kind == "supplies":
        return [supply.name for supply in prop.supplies]
    if kind == "servos":
        return [servo.name for servo in prop.servos]
    if kind == "links":
        return [link.name for link in prop.links]
    if kind == "drives":
        return [drive.name for drive in prop.drives]
    return [joint.name for joint in (*prop.joints, *prop.fixed)]


def must_be_there(prop: Prop, kind: Kind, name: str) -> None:
    """Raises PosekitError, with the nearest name, if no part of the kind has this one."""
    names = names_of(prop, kind)
    if name not in names:
        sentence = f"there is no {_CALLED[kind]} of that name; {nearest_name(name, names, 'there are')}"
        raise PosekitError([error("unknown-name", dotted((kind, name)), sentence)])


def must_be_free(prop: Prop, kind: Kind, name: str) -> None:
    """Raises PosekitError if a part of the kind has this name, or none should, because it cannot be read or typed."""
    if not name.strip():
        raise PosekitError([error("bad-name", kind, f"a {_CALLED[kind]} needs a name; use for example jaw")])
    if name != name.strip() or name != printable(name, len(name)):
        sentence = "begins or ends with a space, or has a sign in it that nobody sees; use for example jaw"
        raise PosekitError([error("bad-name", dotted((kind, name)), sentence)])
    if name in names_of(prop, kind):
        sentence = f"there is a {_CALLED[kind]} of that name already; use another"
        raise PosekitError([error("name-taken", dotted((kind, name)), sentence)])


def joint_named(prop: Prop, name: str) -> Joint:
    """The joint of that name, a fixed one too. PosekitError if there is none."""
    must_be_there(prop, "joints", name)
    return next(joint for joint in (*prop.joints, *prop.fixed) if joint.name == name)


def link_named(prop: Prop, name: str) -> Link:
    """The link of that name. PosekitError if there is none."""
    must_be_there(prop, "links", name)
    return next(link for link in prop.links if link.name == name)


def shape_of(prop: Prop, link: str, number: int) -> Shape:
    """A shape of a link, by its number from 0. PosekitError if there is none."""
    shapes = link_named(prop, link).shapes
    if not 0 <= number < len(shapes):
        sentence = f"is not there: '{link}' has {counted(len(shapes), 'shape')}, numbered from 0"
        raise PosekitError(
            [error("unknown-name", dotted(("links", link, "shapes", max(number, 0))), sentence)]
        )
    return shapes[number]


def drive_named(prop: Prop, name: str) -> Drive:
    """The drive of that name. PosekitError if there is none."""
    must_be_there(prop, "drives", name)
    return next(drive for drive in prop.drives if drive.name == name)


def joint_to(prop: Prop, link: str) -> Joint:
    """The joint that carries a link. PosekitError for the one on which all others hang."""
    must_be_there(prop, "links", link)
    for joint in (*prop.joints, *prop.fixed):
        if joint.child == link:
            return joint
    sentence = "carries all other parts and hangs on none; hang the others"
    raise PosekitError([error("is-root", dotted(("links", link)), sentence)])


def subtree(prop: Prop, link: str) -> list[str]:
    """A link and all that hang on it, each after the one it hangs on."""
    children: dict[str, list[str]] = {}
    for joint in (*prop.joints, *prop.fixed):
        children.setdefault(joint.parent, []).append(joint.child)
    found = [link]
    for each in found:
        found += children.get(each, [])
    return found
