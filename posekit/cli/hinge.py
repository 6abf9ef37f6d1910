"""`posekit hinge`: where a joint's axis is, read off the parts themselves."""

from __future__ import annotations

from typing import Any

import click

import posekit
from posekit.authoring.hinge import Axis, Place, axis_of, axis_through, axis_through_holes, surface_at
from posekit.authoring.lost_units import JointType, of_type
from posekit.authoring.parts import joint_named
from posekit.authoring.typed_sizes import typed_vector
from posekit.authoring.world import place_joint
from posekit.cli.files import write_prop
from posekit.cli.options import json_option, model_argument
from posekit.cli.printing import finish, print_findings, print_json, say, table
from posekit.errors import Finding, PosekitError, error, note
from posekit.fields import Vector
from posekit.prop.folder import PROP_FILE
from posekit.text import upward

SPOT = "PART@X,Y,Z"


@click.command("hinge", context_settings={"ignore_unknown_options": True})  # a point may begin with a minus
@model_argument
@click.argument("spot", metavar=SPOT)
@click.argument("other", metavar=f"[{SPOT}]", required=False)
@click.option("--joint", metavar="NAME", help="Place this joint on the axis; a fixed one becomes revolute.")
@click.option("--write", is_flag=True, help="Write that into the prop file.")
@json_option
def command(model: str, spot: str, other: str | None, joint: str | None, write: bool, as_json: bool) -> None:
    """Find the axis of the round wall of a PART at a point of the world.

    The point is in mm, of the figure with all joints at 0: on the wall of a hole, pin or bearing, or in the hole. With
    a second PART@X,Y,Z the axis goes through the middles of both; X,Y,Z without a part is a point as it stands. What a
    part is there, and how well it fits, is told; a plane, cone, ball or freely bent surface gives no axis (exit
    status 1).
    """
    prop = posekit.load(model)
    if write and not joint:
        raise PosekitError([error("wrong-use", "--write", "needs a joint to place: add --joint NAME")])
    spots = [_spot(typed) for typed in (spot, other) if typed is not None]
    if len(spots) == 1 and spots[0][0] is None:
        raise PosekitError(
            [error("wrong-use", spot, f"one point tells no axis; write {SPOT}, or two points")]
        )
    places = [None if part is None else surface_at(prop, part, point) for part, point in spots]
    findings: list[Finding] = []
    axis = None
    try:
        axis = _axis(places, [point for _, point in spots])
    except PosekitError as refused:
        findings += refused.findings
    if axis is not None and joint is not None:
        old = joint_named(prop, joint)
        is_fixed = old.type == "fixed"
        kind: JointType | None = "revolute" if is_fixed else None
        placed = place_joint(prop, joint, axis.point, axis.direction, type=kind)
        findings += of_type(prop, joint, kind, lambda path: f"give new ones in {PROP_FILE}")
        if write:
            place = write_prop(model, prop, placed)
            turns = "; it was fixed and is revolute now" if is_fixed else ""
            findings.append(note("written", joint, f"its place and axis are written into {place}{turns}"))
        else:
            findings.append(note("not-written", joint, "can be placed there; add --write to do it"))
    found = [place for place in places if place is not None]
    if as_json:
        print_json(_as_data(prop, axis, found, findings))
    else:
        _print(axis, found)
        if findings:
            print_findings(findings)
    finish(findings)


def _axis(places: list[Place | None], points: list[Vector]) -> Axis:
    """The axis that one or two places tell; None for a point that is taken as it stands."""
    if len(places) == 1 and places[0] is not None:
        return axis_of(places[0])
    one, two = places
    if one is not None and two is not None:
        return axis_through_holes(one, two)
    ends = [
        point if place is None else axis_of(place).point for place, point in zip(places, points, strict=True)
    ]
    return axis_through(ends[0], ends[1])


def _spot(typed: str) -> tuple[str | None, Vector]:
    """The part, if any, and the point of `head@10,0,52.5`; a name may hold an @ itself."""
    part, _, at = typed.rpartition("@")
    if (point := typed_vector(at)) is None:
        sentence = f"is no place; write {SPOT}, such as head@10,0,52.5 (mm, with all joints at 0)"
        raise PosekitError([error("wrong-use", typed, sentence)])
    return part or None, point


def _as_data(
    prop: posekit.Prop, axis: Axis | None, found: list[Place], findings: list[Finding]
) -> dict[str, Any]:
    return {
        "prop": prop.name,
        "axis": None
        if axis is None
        else {"point": list(axis.point), "direction": list(axis.direction), "radius_mm": axis.radius},
        "places": [place.as_dict() for place in found],
        "findings": [finding.as_dict() for finding in findings],
    }


def _print(axis: Axis | None, found: list[Place]) -> None:
    columns = (
        "part",
        "is there",
        "radius mm>",
        "length mm>",
        "of a turn>",
        "off mm, mean>",
        "most>",
        "known to>",
    )
    if found:
        table("At these points", columns, (_row(place) for place in found))
    if axis is not None:
        x, y, z = axis.point
        along = ", ".join(f"{each:z.5f}" for each in axis.direction)
        say(f"Axis through {x:z.3f}, {y:z.3f}, {z:z.3f} mm along {along}, with all joints at 0.")


def _row(place: Place) -> tuple[str, ...]:
    found = place.surface
    kind = "bent freely" if found.kind == "none" else f"a {found.kind}"
    if found.kind == "cylinder":
        kind = "a hole" if found.is_hole else "a pin"
    has_axis = found.kind in ("cylinder", "cone")
    return (
        place.link,
        kind,
        f"{found.radius:.3f}" if has_axis or found.kind == "sphere" else "",
        f"{found.length:.2f}" if has_axis else "",
        f"{found.share:.0%}" if has_axis else "",
        f"{found.rms:.3f}" if found.kind != "none" else "",
        upward(found.worst, 3) if found.kind != "none" else "",
        f"{upward(found.uncertain_mm, 3)} mm, {upward(found.uncertain_deg)}°"
        if found.kind == "cylinder"
        else "",
    )
