"""The linkage that makes a movement, for a drive of a prop: asked, found and written into its prop file."""

from __future__ import annotations

from collections.abc import Generator, Iterator, Mapping
from dataclasses import dataclass, replace
from math import isfinite
from typing import Any, Literal

import numpy as np

from posekit.authoring.add import set_linkage
from posekit.authoring.searching import Searching, missing_steps
from posekit.authoring.synthesis import (
    SEARCHES,
    SLIDES,
    TURNS,
    Candidate,
    Place,
    Stock,
    Wish,
    best_first,
)
from posekit.budgets import POSITIONS, SERVO_PLACES
from posekit.errors import Finding, PosekitError, error, note
from posekit.linkage import LINKAGES, Hinge, PushRod
from posekit.linkage.advantage import POOR_TRANSMISSION_DEG
from posekit.mechanism.joints import unit_of
from posekit.mechanism.values import every_shaft
from posekit.prop.model import Drive, Joint, Prop
from posekit.prop.placing import hinge, partners
from posekit.signal.calibration import servo_of, shaft_angle
from posekit.stepwise import finished
from posekit.text import exact, listed
from posekit.transforms import has_direction, unit

PLACING = ("ground_along", "height", "offset_along", "slide_at")  # keys that say where a linkage lies
LEAST_RANGE = 0.5  # deg | mm: below, a reach is as much rounding as movement


@dataclass(frozen=True, slots=True, kw_only=True)
class Movement:
    """What a joint is to do. `joint` is where it stands at value 0 and at full scale; None: its hard stops.

    `positions`, at values of the drive, replace `joint`. Positions are degrees, or mm for a slide.
    """

    joint: tuple[float, float] | None = None
    positions: tuple[tuple[int, float], ...] = ()
    transmission_deg: float = POOR_TRANSMISSION_DEG
    straightness: float | None = None
    within: float = 0.5
    branch: Literal["open", "crossed"] | None = None


@dataclass(frozen=True, slots=True)
class Proposals:
    """Linkages that make a movement of a drive's joint, those that push best first."""

    drive: str
    joint: str
    unit: str
    wanted: tuple[float, float]
    candidates: tuple[Candidate, ...]
    findings: tuple[Finding, ...]

    def as_dict(self) -> dict[str, Any]:
        """As the command line prints it. `straightness_deg` is mm for a slide, as all of `unit`."""
        return {
            "drive": self.drive,
            "joint": self.joint,
            "unit": self.unit,
            "wanted": list(self.wanted),
            "candidates": [
                {
                    "type": each.type,
                    "dimensions": each.dimensions,
                    "reach": list(each.reach),
                    "transmission_deg": each.transmission_deg,
                    "straightness_deg": each.straightness,
                    "dead_point_deg": each.dead_deg,
                    "torque_at_ends": list(each.torque),
                    "off": each.off,
                    "remark": each.remark,
                }
                for each in self.candidates
            ],
            "findings": [finding.as_dict() for finding in self.findings],
        }


def proposals(
    prop: Prop,
    name: str,
    movement: Movement,
    stock: Stock | None = None,
    types: tuple[str, ...] = (),
) -> Proposals:
    """What `proposal_steps` finds in the end."""
    return finished(proposal_steps(prop, name, movement, stock, types))


def proposal_steps(
    prop: Prop,
    name: str,
    movement: Movement,
    stock: Stock | None = None,
    types: tuple[str, ...] = (),
) -> Generator[Searching, None, Proposals]:
    """Linkages for a drive, from a stock; of all types that its joint can have, or of those named.

    Without places in the stock a push-rod has its servo where it has it now. Raises PosekitError for a drive that has
    no joint of its own, and for a movement that no linkage of one drive can make.
    """
    d, joint = _drive_and_joint(prop, name)
    wish = _wish(prop, d, joint, movement)
    place = hinge(joint)
    stock = _placed(stock or Stock(), prop.drives[d], place)
    if len(stock.places) > SERVO_PLACES:
        said = f"{len(stock.places)} places of the servo: give {SERVO_PLACES} at most, each takes a search of its own"
        raise PosekitError([error("too-many-places", "servo at", said)])
    if any(each.shaft_axis is not None and not has_direction(each.shaft_axis) for each in stock.places):
        raise PosekitError([error("wrong-value", "servo axis", "has no direction; use for example 0,1,0")])
    possible = SLIDES if wish.moves == "slide" else TURNS
    asked = _types(types, possible, name, joint)
    findings: list[Finding] = []
    if "push_rod" in asked and not stock.places:
        asked = tuple(kind for kind in asked if kind != "push_rod")
        said = "push-rods are not looked for: say where the servo sits, with --servo-at and --servo-axis"
        findings.append(note("no-place", name, said) if asked else error("no-place", name, said))
    found: list[Candidate] = []
    for kind in asked:
        yield Searching(kind, False, tuple(found))
        found = best_first([*found, *SEARCHES[kind](wish, stock, place)])
    findings += yield from missing_steps(found, wish, stock, place, asked, name)
    return Proposals(name, joint.name, unit_of(joint), wish.wanted, tuple(found), tuple(findings))


def with_linkage(prop: Prop, name: str, candidate: Candidate) -> Prop:
    """The prop with this linkage in its drive; all comments of the prop file stay but those of keys that go.

    Raises PosekitError if the result is no valid prop.
    """
    return with_dimensions(prop, name, candidate.type, candidate.dimensions)


def with_dimensions(prop: Prop, name: str, type: str, dimensions: Mapping[str, Any]) -> Prop:
    """The same by its type and keys. Where it lies stays as it was said, if its type does. Raises PosekitError."""
    d, _ = _drive_and_joint(prop, name)
    now = prop.drives[d].linkage
    kept = {
        key: getattr(now, key) for key in PLACING if hasattr(now, key) and isinstance(now, LINKAGES[type])
    }
    placed = {
        key: list(value) if isinstance(value, tuple) else value
        for key, value in kept.items()
        if value is not None
    }
    return set_linkage(prop, name, {"type": type, **placed, **dimensions})


def _drive_and_joint(prop: Prop, name: str) -> tuple[int, Joint]:
    column = {drive.name: d for d, drive in enumerate(prop.drives)}
    if name not in column:
        right = f"the drives are: {listed(column)}"
        raise PosekitError([error("unknown-drive", name, f"is not a drive of this prop; {right}")])
    drive = prop.drives[column[name]]
    shared = [other.name for other in prop.drives if name in partners(other.linkage)]
    if shared or drive.linkage.partner_keys:
        others = shared or list(partners(drive.linkage))
        said = (
            f"shares a linkage with {listed(others)}, which move their joints together: no single movement says what "
            "it has to be; name a drive that moves a joint alone"
        )
        raise PosekitError([error("shared-linkage", name, said)])
    return column[name], next(joint for joint in prop.joints if joint.name == drive.joint)


def _wish(prop: Prop, d: int, joint: Joint, movement: Movement) -> Wish:
    drive, shafts = prop.drives[d], every_shaft(prop, d)
    servo = servo_of(prop, drive)
    wanted = _positions(drive, joint, movement)
    span = (float(shafts[0]), float(shafts[-1]))
    wrong = list(_wrong(drive, joint, span, wanted, movement))
    if wrong:
        raise PosekitError(wrong)
    travel = shaft_angle(np.array(servo.pulse_range), servo).tolist()
    if (travel[1] - travel[0]) * (span[1] - span[0]) < 0.0:
        travel.reverse()
    return Wish(
        moves="slide" if joint.type == "prismatic" else "turn",
        span=span,
        shafts=tuple(float(shafts[value]) for value, _ in wanted),
        joints=tuple(position for _, position in wanted),
        travel=(travel[0], travel[1]),
        stops=joint.stops,
        transmission_deg=movement.transmission_deg,
        bend=movement.straightness,
        branch=movement.branch,
        within=movement.within,
    )


def _positions(drive: Drive, joint: Joint, movement: Movement) -> list[tuple[int, float]]:
    """Values and positions wanted, in the order of the values."""
    if movement.positions:
        return sorted(movement.positions)
    if movement.joint is None and joint.stops is None:
        said = "say what the joint is to do, such as --joint -10 35: it has no hard stops to go by"
        raise PosekitError([error("no-range", joint.name, said)])
    first, last = movement.joint or joint.stops or (0.0, 0.0)
    return [(0, first), (drive.full_scale, last)]


def _wrong(
    drive: Drive,
    joint: Joint,
    span: tuple[float, float],
    wanted: list[tuple[int, float]],
    movement: Movement,
) -> Iterator[Finding]:
    """What keeps a movement from being one of a linkage."""
    unit_name = unit_of(joint)
    values, joints = [value for value, _ in wanted], [position for _, position in wanted]
    if abs(span[1] - span[0]) < LEAST_RANGE:
        said = "the shaft stands at the same angle at both end points; set pulse.low and pulse.high apart"
        yield error("no-travel", drive.name, said)
    if not all(map(isfinite, joints)):
        yield error("wrong-value", joint.name, f"= {joints}: finite positions are needed")
        return
    if len(set(values)) != len(values) or len(values) < 2:
        yield error(
            "wrong-value", drive.name, f"= {values}: two or more positions at different values are needed"
        )
        return
    if len(values) > POSITIONS:
        yield error("too-many-positions", drive.name, f"{len(values)} positions: give {POSITIONS} at most")
    for value in values:
        if not 0 <= value <= drive.full_scale:
            said = f"= {value}: its values go from 0 to {drive.full_scale}"
            yield error("out-of-range", drive.name, said)
    steps = np.diff(joints)
    if max(joints) - min(joints) < LEAST_RANGE:
        said = f"is to move {exact(max(joints) - min(joints))} {unit_name}; use {exact(LEAST_RANGE)} or more"
        yield error("out-of-range", joint.name, said)
    elif not (steps != 0.0).all():
        said = (
            "is to stand still between two of these values; a linkage is looked for that moves it all the way"
        )
        yield error("stands-still", joint.name, said)
    elif not ((steps > 0.0).all() or (steps < 0.0).all()):
        said = (
            "is to turn back on the way; a linkage is looked for that only rises or only falls with the value"
        )
        yield error("turns-back", joint.name, said)
    elif joint.type == "revolute" and max(joints) - min(joints) > 350.0:
        said = f"is to turn {exact(max(joints) - min(joints))} degrees; use 350 or less"
        yield error("out-of-range", joint.name, said)
    if joint.stops is not None and (min(joints) < joint.stops[0] or max(joints) > joint.stops[1]):
        first, last = joint.stops
        said = (
            f"is to go from {exact(min(joints))} to {exact(max(joints))} {unit_name}, and its hard "
            f"stops stand at {exact(first)} and "
            f"{exact(last)}: want less, or move the stops first"
        )
        yield error("past-stop", joint.name, said)
    if not 0.0 < movement.transmission_deg < 90.0:
        said = f"= {exact(movement.transmission_deg)}: use more than 0 and less than 90 degrees"
        yield error("out-of-range", "transmission", said)
    if movement.straightness is not None and not movement.straightness > 0.0:
        yield error("out-of-range", "straightness", f"= {exact(movement.straightness)}: use more than 0")
    if not movement.within >= 0.05:
        yield error("out-of-range", "within", f"= {exact(movement.within)}: use 0.05 or more")


def _placed(stock: Stock, drive: Drive, place: Hinge) -> Stock:
    """The stock, with the servo where the push-rod of the prop has it if no place is given."""
    linkage = drive.linkage
    if stock.places or not isinstance(linkage, PushRod):
        return stock
    along = unit(linkage.shaft_axis) @ np.subtract(linkage.horn_ball, linkage.shaft_at)
    arm_along = unit(place.axis) @ np.subtract(linkage.joint_ball, place.at)
    here = Place(
        shaft_at=linkage.shaft_at,
        shaft_axis=linkage.shaft_axis,
        horn_along=float(along),
        arm_along=float(arm_along),
    )
    return replace(stock, places=(here,))


def _types(types: tuple[str, ...], possible: tuple[str, ...], name: str, joint: Joint) -> tuple[str, ...]:
    if wrong := [kind for kind in types if kind not in possible]:
        kind = "known" if wrong[0] in SEARCHES else "looked for at all"
        said = f"= '{wrong[0]}': is not {kind} for a {joint.type} joint; use {listed(possible)}"
        raise PosekitError([error("wrong-value", name, said.replace("is not known", "does not fit"))])
    return tuple(dict.fromkeys(types)) or possible
