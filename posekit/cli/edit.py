"""`posekit edit`: parts added, renamed, removed and placed, without a hand on the prop file."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import click

from posekit.authoring import add as adding
from posekit.authoring import remove as removing
from posekit.authoring import rename as renaming
from posekit.authoring import world
from posekit.authoring.lost_units import JointType, by_key, of_type, with_lost_units
from posekit.authoring.measured import measured_findings, with_measured
from posekit.authoring.notes import left_without_part, unread_notes
from posekit.authoring.parts import Kind, rewritten
from posekit.authoring.references import unread_shows
from posekit.authoring.reset_drive import reset_drive
from posekit.authoring.servo_types import typical_keys
from posekit.authoring.zero import move_zero
from posekit.cli.edited import act
from posekit.cli.fit import read_measured
from posekit.cli.lengths import point
from posekit.cli.options import Number, Whole, model_argument
from posekit.cli.typed_keys import nested, typed_keys
from posekit.errors import Finding, PosekitError, error
from posekit.fields import Vector
from posekit.prop.model import Prop
from posekit.prop.servo_classes import CLASSES
from posekit.signal.fit import fit
from posekit.toml.editing import set_keys
from posekit.toml.layout import layout
from posekit.toml.places import Path, parse

Edited = tuple[Prop, Sequence[Finding]]
WORDS: dict[str, Kind] = {
    "supply": "supplies",
    "servo": "servos",
    "part": "links",
    "link": "links",
    "joint": "joints",
    "drive": "drives",
}
# What begins with a minus is a number here, and no option.
NUMBERS = {"ignore_unknown_options": True}

kind_argument = click.argument(
    "kind", type=click.Choice(["supply", "servo", "part", "link", "shape", "joint", "drive"])
)
keys_argument = click.argument("keys", metavar="[KEY=VALUE]...", nargs=-1)


@click.group("edit")
@model_argument
def command(model: str) -> None:
    """Change MODEL: one act, shown as the lines that change; --write writes them.

    All that an act does not touch stays to the letter, comments and order too. Places are in the world, in mm, with
    every joint at 0. KEY=VALUE are keys of the prop file: travel=180, pulse.low=1100, "speed=0.16 s/60deg".
    """


def _act(name: str, **settings: Any) -> Callable[[Callable[..., Edited]], click.Command]:
    return lambda edit: command.command(name, **settings)(act(edit))


@_act("set")
@click.argument("keys", metavar="KEY=VALUE...", nargs=-1, required=True)
def _set(prop: Prop, keys: tuple[str, ...]) -> Edited:
    """Set keys by their whole path: drives.jaw.pulse.low=1100 joints.jaw.stops=[-5,30].

    A joint that is given another type loses stops and other figures of another unit, unless new ones are set with it.
    """
    changes = {path: value for word in keys for path, value in typed_keys([word]).items()}
    kept, told = with_lost_units(prop, changes)
    return rewritten(prop, set_keys(prop.text, kept)), told


@_act("unset")
@click.argument("keys", metavar="KEY...", nargs=-1, required=True)
def _unset(prop: Prop, keys: tuple[str, ...]) -> Edited:
    """Take keys out by their whole path, so that their defaults hold."""
    paths = {key: parse(key) for key in keys}
    if wrong := [key for key, path in paths.items() if not path]:
        raise PosekitError(
            [error("unknown-key", key, "is no key; write it as joints.jaw.zone") for key in wrong]
        )
    there = layout(prop.text)
    if absent := [key for key, path in paths.items() if not there.has(path)]:
        sentence = "is not in the prop file, so there is nothing to take out"
        raise PosekitError([error("unknown-key", key, sentence) for key in absent])
    return rewritten(prop, set_keys(prop.text, dict.fromkeys(paths.values()))), ()


@_act("add")
@kind_argument
@click.argument("name")
@keys_argument
@click.option("--on", "parent", metavar="PART", help="The part that a new part or joint hangs on.")
@click.option(
    "--typical", type=click.Choice(list(CLASSES)), help="A servo with the typical figures of a class."
)
def _add(
    prop: Prop, kind: str, name: str, keys: tuple[str, ...], parent: str | None, typical: str | None
) -> Edited:
    """Add a supply, a servo type, a part with its joint, a shape to the part NAME, or a drive.

    \b
    add supply NAME voltage=6 current=10           drives with supply=NAME are fed by it
    add servo NAME [travel=180 ...] [--typical standard]
    add part NAME --on PART [mass=40 ...]          it hangs on a fixed joint of its name
    add joint NAME --on PART [type=revolute ...]   a part NAME without shapes hangs on it
    add shape PART box=[10,20,30] [at=[0,0,5] ...]
    add drive NAME servo=SERVO joint=JOINT [address=9 linkage.type=gear linkage.ratio=2 ...]
    """
    if typical and kind != "servo":
        raise PosekitError([error("wrong-use", "--typical", "is for servos")])
    if parent is not None and kind in ("supply", "servo", "shape", "drive"):
        raise PosekitError([error("wrong-use", "--on", "is for parts and joints")])
    table = nested(typed_keys(keys, (WORDS.get(kind, "links"), name)))
    if kind == "supply":
        return adding.add_supply(prop, name, table), ()
    if kind == "servo":
        return adding.add_servo(prop, name, (typical_keys(typical) if typical else {}) | table), ()
    if kind == "shape":
        return adding.add_shape(prop, name, table), ()
    if kind == "drive":
        linkage = table.pop("linkage") if isinstance(table.get("linkage"), dict) else None
        return adding.add_drive(prop, name, table, linkage), ()
    if parent is None:
        raise PosekitError([error("wrong-use", "--on", f"is missing: name the part that '{name}' hangs on")])
    if kind == "joint":
        if twice := [key for key in ("parent", "child") if key in table]:
            sentence = "is what --on and the name of the joint say; leave it out"
            raise PosekitError([error("wrong-use", f"{key}={table[key]}", sentence) for key in twice])
        return adding.add_link(prop, name, parent, joint_keys=table), ()
    return adding.add_link(prop, name, parent, table), ()


@_act("linkage")
@click.argument("drive")
@keys_argument
def _linkage(prop: Prop, drive: str, keys: tuple[str, ...]) -> Edited:
    """Give a drive this linkage: type=four_bar crank=12 coupler=40 ...; without keys it is direct."""
    return adding.set_linkage(prop, drive, nested(typed_keys(keys, ("drives", drive, "linkage")))), ()


@_act("ignore")
@click.argument("part")
@click.argument("other")
def _ignore(prop: Prop, part: str, other: str) -> Edited:
    """Leave a pair of parts out of clearance."""
    return adding.ignore(prop, part, other), ()


@_act("judge")
@click.argument("part")
@click.argument("other")
def _judge(prop: Prop, part: str, other: str) -> Edited:
    """Judge a pair of parts for clearance again."""
    return adding.judge(prop, part, other), ()


@_act("rename")
@click.argument("kind", type=click.Choice(["supply", "servo", "part", "link", "joint", "drive", "file"]))
@click.argument("name")
@click.argument("new")
def _rename(prop: Prop, kind: str, name: str, new: str) -> Edited:
    """Rename a supply, servo, part, joint, drive or file, wherever it is named.

    Of a file give its path beside the prop file: rename file looks/alert.csv looks/awake.csv.
    """
    unread = unread_shows(prop) if kind in ("drive", "file") else []
    unread += unread_notes(prop) if kind in ("part", "link", "file") else []
    if kind == "file":
        return renaming.rename_file(prop, name, new), unread
    return renaming.rename(prop, WORDS[kind], name, new), unread


@_act("remove")
@kind_argument
@click.argument("name")
@click.argument("number", type=Whole(), required=False)
@click.option("--with-all", is_flag=True, help="Take out all that goes with it, too.")
def _remove(prop: Prop, kind: str, name: str, number: int | None, with_all: bool) -> Edited:
    """Remove a supply, servo, part, joint, drive or shape; what goes with it is told first.

    Of a shape give its part and its number, from 0: remove shape head 2.
    """
    if (kind == "shape") != (number is not None):
        raise PosekitError(
            [error("wrong-use", "NUMBER", "is for a shape, and a shape needs it: remove shape PART 0")]
        )
    if number is not None:
        return removing.remove_shape(prop, name, number), ()
    unread = unread_shows(prop) if kind == "drive" or with_all else []
    edited = removing.remove(prop, WORDS[kind], name, with_all=with_all)
    return edited, [*unread, *left_without_part(prop, edited)]


@_act("place")
@click.argument("joint")
@click.option(
    "--at", "where", callback=point, metavar="X,Y,Z", required=True, help="A point of its axis, mm."
)
@click.option(
    "--along", callback=point, metavar="X,Y,Z", help="The direction of its axis; default: as it is."
)
@click.option(
    "--type", "kind", type=click.Choice(["revolute", "prismatic", "fixed"]), help="Its type from now on."
)
@click.option("--stops", type=Number(), nargs=2, metavar="LOW HIGH", help="Its hard stops, degrees or mm.")
def _place(
    prop: Prop,
    joint: str,
    where: Vector,
    along: Vector | None,
    kind: JointType | None,
    stops: tuple[float, float] | None,
) -> Edited:
    """Place a joint in the world; every part stays where it is."""
    placed = world.place_joint(prop, joint, where, along, type=kind)
    if stops is not None:
        placed = rewritten(placed, set_keys(placed.text, {("joints", joint, "stops"): list(stops)}))
    return placed, of_type(prop, joint, kind, _placed_anew, () if stops is None else ("stops",))


def _placed_anew(path: Path) -> str:
    return "give it new ones with --stops LOW HIGH" if path[-1] == "stops" else by_key(path)


@_act("hang")
@click.argument("part")
@click.argument("parent")
def _hang(prop: Prop, part: str, parent: str) -> Edited:
    """Hang a part, with all that hangs on it, on another; it stays where it is."""
    return world.hang(prop, part, parent), ()


@_act("move")
@click.argument("part")
@click.argument("number", type=Whole())
@click.argument("to")
def _move(prop: Prop, part: str, number: int, to: str) -> Edited:
    """Move a shape of a part, by its number from 0, to another part; it stays where it is."""
    return world.move_shape(prop, part, number, to), ()


@_act("zero", context_settings=NUMBERS)
@click.argument("joint")
@click.argument("position", type=Number())
def _zero(prop: Prop, joint: str, position: float) -> Edited:
    """Count a joint from where it now stands at POSITION; every value gives the pose it gave."""
    return move_zero(prop, joint, position), ()


@_act("reset")
@click.argument("drive")
def _reset(prop: Prop, drive: str) -> Edited:
    """Put a drive back to where it began: 90 degrees about neutral, as fast as its servo."""
    return reset_drive(prop, drive), ()


@_act("measured")
@click.argument("servo")
@click.argument("measured", metavar="MEASURED.csv")
def _measured(prop: Prop, servo: str, measured: str) -> Edited:
    """Take what was measured of a servo type as its points: a CSV with the header us,degrees, as of `posekit fit`."""
    pairs = read_measured(measured)
    fitted = fit(pairs, measured)
    return with_measured(prop, servo, pairs), (*fitted.findings, *measured_findings(prop, servo, fitted))
