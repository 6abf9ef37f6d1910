"""New parts, each in a table of its own behind those of its kind."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from posekit.authoring.contents import at_zero, inverse
from posekit.authoring.numbers import PLACED_MM, short_all, turn_of
from posekit.authoring.parts import (
    BEFORE,
    drive_named,
    link_named,
    must_be_free,
    must_be_there,
    names_of,
    rewritten,
)
from posekit.errors import PosekitError, error
from posekit.prop.model import Prop
from posekit.signal.patch import slots_of
from posekit.text import listed
from posekit.toml.editing import add, append, remove, set_keys
from posekit.toml.layout import layout

SLOTS = 512  # of a universe (E1.11)


def add_supply(prop: Prop, name: str, keys: Mapping[str, Any]) -> Prop:
    """The prop with one more supply; `keys` are those of its table. Raises PosekitError."""
    must_be_free(prop, "supplies", name)
    return rewritten(prop, _added(prop.text, "supplies", name, keys))


def add_servo(prop: Prop, name: str, keys: Mapping[str, Any]) -> Prop:
    """The prop with a new type of servo; `keys` are those of its table. Raises PosekitError."""
    must_be_free(prop, "servos", name)
    return rewritten(prop, _added(prop.text, "servos", name, keys))


def add_link(
    prop: Prop,
    name: str,
    parent: str,
    keys: Mapping[str, Any] | None = None,
    *,
    joint: str | None = None,
    joint_keys: Mapping[str, Any] | None = None,
) -> Prop:
    """The prop with a new link on a new joint at `parent`; a link without a joint would be a second root.

    `keys` are those of the link's table, `shapes` (a list of tables) among them. The joint is called as the link is,
    or `joint`, and is fixed at the origin of the world with its frame along the world's, so that places of shapes are
    places of the world, unless `joint_keys` say otherwise. Raises PosekitError.
    """
    must_be_free(prop, "links", name)
    must_be_there(prop, "links", parent)
    called = joint if joint is not None else name if name not in names_of(prop, "joints") else f"{name}_joint"
    must_be_free(prop, "joints", called)
    table = dict(keys or {})
    shapes = table.pop("shapes", [])
    if not (isinstance(shapes, list) and all(isinstance(each, Mapping) for each in shapes)):
        table["shapes"], shapes = shapes, []  # the reader tells what would be right
    text = _added(prop.text, "links", name, table)
    for number, shape in enumerate(shapes):
        text = add(text, ("links", name, "shapes", number), shape)
    parent_from_world = inverse(at_zero(prop)[parent])
    at = short_all(parent_from_world[:3, 3], PLACED_MM)
    turn = turn_of(parent_from_world[:3, :3])
    place: dict[str, Any] = {"at": at if any(at) else None, "turn": turn if any(turn) else None}
    text = _added(
        text,
        "joints",
        called,
        {"type": "fixed", "parent": parent, "child": name, **place, **(joint_keys or {})},
    )
    return rewritten(prop, text)


def add_shape(prop: Prop, link: str, keys: Mapping[str, Any]) -> Prop:
    """The prop with one more shape on a link; `keys` are those of its table: its form, and `at`, `turn`, `colour`.

    Raises PosekitError.
    """
    number = len(link_named(prop, link).shapes)
    return rewritten(prop, add(prop.text, ("links", link, "shapes", number), keys))


def ignore(prop: Prop, link: str, other: str) -> Prop:
    """The prop with a pair of links more that is not judged for clearance. Raises PosekitError."""
    for name in (link, other):
        must_be_there(prop, "links", name)
    if _pair_at(prop, link, other) is not None:
        raise PosekitError(
            [error("name-taken", "clearance.ignore", f"'{link}' and '{other}' are left out already")]
        )
    if link == other:
        raise PosekitError(
            [error("wrong-value", "clearance.ignore", f"'{link}' twice is no pair; name two links")]
        )
    if layout(prop.text).has(("clearance",)):
        return rewritten(prop, append(prop.text, ("clearance", "ignore"), [link, other]))
    return rewritten(prop, _table_added(prop.text, ("clearance",), {"ignore": [[link, other]]}, "clearance"))


def judge(prop: Prop, link: str, other: str) -> Prop:
    """The prop with a pair of links judged again that `ignore` left out. Raises PosekitError."""
    number = _pair_at(prop, link, other)
    if number is None:
        pairs = listed(f"{a} and {b}" for a, b in prop.clearance.ignore)
        sentence = f"'{link}' and '{other}' are judged already; left out are: {pairs}"
        raise PosekitError([error("unknown-name", "clearance.ignore", sentence)])
    return rewritten(prop, remove(prop.text, ("clearance", "ignore", number)))


def add_drive(
    prop: Prop, name: str, keys: Mapping[str, Any], linkage: Mapping[str, Any] | None = None
) -> Prop:
    """The prop with a new drive; `keys` are those of its table, among them `servo` and `joint`.

    Without an address it has the first that is free behind all others of its universe. `linkage` are the keys of its
    linkage, `type` first; without them it is direct. Raises PosekitError.
    """
    must_be_free(prop, "drives", name)
    table = dict(keys)
    if "address" not in table:
        # What is no universe and no number of bits the reader tells.
        universe, bits = table.get("universe", 1), table.get("bits", 8)
        table["address"] = free_address(
            prop, universe if isinstance(universe, int) else 1, bits if bits in (8, 16) else 8
        )
    text = _added(prop.text, "drives", name, table)
    if linkage:
        text = add(text, ("drives", name, "linkage"), linkage)
    return rewritten(prop, text)


def set_linkage(prop: Prop, drive: str, linkage: Mapping[str, Any] | None) -> Prop:
    """The prop with other dimensions, or another kind, of a drive's linkage; direct where there are none.

    Keys that stay keep their comments. Raises PosekitError.
    """
    drive_named(prop, drive)
    path = ("drives", drive, "linkage")
    if linkage and not layout(prop.text).has(path):
        return rewritten(prop, add(prop.text, path, linkage))
    return rewritten(prop, set_keys(prop.text, {path: dict(linkage) if linkage else None}))


def free_address(prop: Prop, universe: int = 1, bits: int = 8) -> int:
    """The first address of a universe behind all that are taken; PosekitError if none is left there."""
    taken = [slot for drive in prop.drives for where, slot in slots_of(drive) if where == universe]
    address = max(taken, default=0) + 1
    if address + bits // 8 - 1 > SLOTS:
        sentence = (
            f"universe {universe} has no address left behind {address - 1}; give one, or another universe"
        )
        raise PosekitError([error("no-address", "drives", sentence)])
    return address


def _added(text: str, kind: str, name: str, keys: Mapping[str, Any]) -> str:
    return _table_added(text, (kind, name), keys, kind)


def _table_added(text: str, path: tuple[str, ...], keys: Mapping[str, Any], kind: str) -> str:
    return add(text, path, {key: value for key, value in keys.items() if value is not None}, BEFORE[kind])


def _pair_at(prop: Prop, link: str, other: str) -> int | None:
    pairs = [frozenset(pair) for pair in prop.clearance.ignore]
    wanted = frozenset((link, other))
    return pairs.index(wanted) if wanted in pairs else None
