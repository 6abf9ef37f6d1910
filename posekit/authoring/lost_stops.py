"""Hard stops of a joint that becomes another kind: degrees mean nothing to a slide, nor mm to a turn."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal

from posekit.authoring.contents import Changes
from posekit.errors import Finding, warning
from posekit.prop.model import Joint, Prop
from posekit.toml.places import Path, dotted

JointType = Literal["revolute", "prismatic", "fixed"]
_BECAUSE = {
    "revolute": "they were degrees",
    "prismatic": "they were millimetres",
    "fixed": "nothing says whether they were degrees or millimetres",
}


def loses_stops(joint: Joint, type: str | None) -> bool:
    """Whether a joint has stops that it must not take along into this type.

    One that becomes fixed loses them already: fixed, it would not say any more in what unit they were.
    """
    return joint.stops is not None and type not in (None, joint.type)


def lost_stops(joint: Joint, type: str | None, remedy: str) -> tuple[Finding, ...]:
    """What a builder is told where `loses_stops`, else nothing; `remedy` says how new ones are given."""
    if joint.stops is None or not loses_stops(joint, type):
        return ()
    because = "a fixed joint has none" if type == "fixed" else f"{_BECAUSE[joint.type]}; {remedy}"
    sentence = f"= [{joint.stops[0]:.12g}, {joint.stops[1]:.12g}]: are taken out, because {because}"
    return (warning("stops-lost", dotted(("joints", joint.name, "stops")), sentence),)


def with_lost_stops(prop: Prop, changes: Mapping[Path, Any]) -> tuple[Changes, tuple[Finding, ...]]:
    """Keys that are set, and the stops taken out that their types do away with, with what is told of them.

    Stops that are among the keys are new ones, and stay.
    """
    lost: Changes = {}
    told: list[Finding] = []
    for joint in (*prop.joints, *prop.fixed):
        path: Path = ("joints", joint.name)
        if not any(given[:3] == (*path, "stops") for given in changes):
            remedy = f"give it new ones with {dotted((*path, 'stops'))}=[LOW,HIGH]"
            if found := lost_stops(joint, changes.get((*path, "type")), remedy):
                lost[*path, "stops"] = None
                told += found
    return {**changes, **lost}, tuple(told)
