"""`posekit linkage`: the linkage that makes a movement, from what can be bought and drilled."""

from __future__ import annotations

from typing import Literal

import click

import posekit
from posekit.authoring.movement import Movement, Proposals, proposals, with_linkage
from posekit.authoring.synthesis import SEARCHES, Candidate, Place, Sizes, Stock
from posekit.cli.files import write_prop
from posekit.cli.lengths import counts_of_teeth, heights, point, points, positions_of, sizes, whole
from posekit.cli.options import Number, Whole, json_option, model_argument
from posekit.cli.printing import finish, print_aside, print_findings, print_json, table
from posekit.errors import Finding, PosekitError, error, note
from posekit.fields import Vector
from posekit.linkage.advantage import POOR_TRANSMISSION_DEG
from posekit.text import downward, exact, plain, upward


@click.command("linkage")
@model_argument
@click.argument("drive")
@click.option("--joint", type=Number(), nargs=2, metavar="FIRST LAST",
              help="Where the joint stands at value 0 and at full scale; default: its hard stops.")  # fmt: skip
@click.option("--at", "positions", callback=positions_of, metavar="VALUE:POSITION", multiple=True,
              help="Instead: where it stands at a value, such as 128:12.5; two or more.")  # fmt: skip
@click.option("--type", "types", type=click.Choice(list(SEARCHES)), multiple=True,
              help="Look for this type only; may be given several times.")  # fmt: skip
@click.option("--horn", callback=sizes, metavar="MM",
              help="Horn radii: 8,10,12.5 or any of 8:20.  [default: 8,10,12.5,15,17.5,20]")  # fmt: skip
@click.option("--arm", callback=sizes, metavar="MM", help="Lengths of the arm on the joint.  [default: 8:40]")
@click.option(
    "--rod", callback=sizes, metavar="MM", help="Lengths of the rod between the pins.  [default: 20:150]"
)
@click.option("--ground", callback=sizes, metavar="MM",
              help="Four-bar: from the shaft to the joint's axis.  [default: 20:120]")  # fmt: skip
@click.option("--offset", callback=heights, metavar="MM",
              help="Slider-crank: height of the slide above the shaft.  [default: -30:30]")  # fmt: skip
@click.option("--teeth", callback=counts_of_teeth, metavar="N",
              help="Gears: numbers of teeth: 12,18,36 or any of 12:60.  [default: 12:60]")  # fmt: skip
@click.option("--servo-at", callback=points, metavar="X,Y,Z", multiple=True,
              help="Push-rod: a point on the shaft, in the part that carries the joint; or several.")  # fmt: skip
@click.option("--servo-axis", callback=point, metavar="X,Y,Z",
              help="Push-rod: direction of the shaft.  [default: the joint's axis]")  # fmt: skip
@click.option("--horn-along", type=Number(), default=0.0, metavar="MM",
              help="Push-rod: from --servo-at along the shaft to the horn's ball.")  # fmt: skip
@click.option("--arm-along", type=Number(), default=0.0, metavar="MM",
              help="Push-rod: from the joint along its axis to the arm's ball.")  # fmt: skip
@click.option("--transmission", type=Number(), default=POOR_TRANSMISSION_DEG, show_default=True,
              help="Least angle between rod and arm, degrees.")  # fmt: skip
@click.option(
    "--straight", type=Number(), help="Most that joint over shaft may bend from a line, degrees or mm."
)
@click.option("--within", type=Number(), default=0.5, show_default=True,
              help="Most that a wanted position may be missed by, degrees or mm.")  # fmt: skip
@click.option("--branch", type=click.Choice(["open", "crossed"]),
              help="Four-bar, slider-crank: one side only; the other is strong at the other end.")  # fmt: skip
@click.option("--write", type=Whole(min=1), metavar="N",
              help="Write number N of the table into the prop file.")  # fmt: skip
@json_option
def command(
    model: str,
    drive: str,
    joint: tuple[float, float] | None,
    positions: tuple[tuple[int, float], ...],
    types: tuple[str, ...],
    horn: Sizes | None,
    arm: Sizes | None,
    rod: Sizes | None,
    ground: Sizes | None,
    offset: Sizes | None,
    teeth: Sizes | None,
    servo_at: tuple[Vector, ...],
    servo_axis: Vector | None,
    horn_along: float,
    arm_along: float,
    transmission: float,
    straight: float | None,
    within: float,
    branch: Literal["open", "crossed"] | None,
    write: int | None,
    as_json: bool,
) -> None:
    """Find linkages that take the joint of DRIVE through a range, between the end points it has.

    The list is ordered by the least transmission angle, which is 90 for gears. The reach of each contains the range
    wanted, or ends up to 0.1 short of it where a hard stop stands there, and no position is missed by more than
    --within. Lengths are whole tenths of a millimetre. Exit status 1 if nothing fits; which wish is in the way is told.
    """
    if joint and positions:
        raise PosekitError([error("wrong-use", "--at", "say either --joint or --at, not both")])
    if not servo_at and (servo_axis or horn_along or arm_along):
        raise PosekitError([error("wrong-use", "--servo-at", "is missing: say where the servo's shaft is")])
    prop = posekit.load(model)
    movement = Movement(
        joint=joint,
        positions=positions,
        transmission_deg=transmission,
        straightness=straight,
        within=within,
        branch=branch,
    )
    usual = Stock()
    stock = Stock(
        horns=horn or usual.horns, arms=arm or usual.arms, rods=rod or usual.rods, grounds=ground or usual.grounds,
        offsets=offset or usual.offsets,
        teeth=usual.teeth if teeth is None else whole(teeth),
        places=tuple(
            Place(shaft_at=at, shaft_axis=servo_axis, horn_along=horn_along, arm_along=arm_along) for at in servo_at
        ),
    )  # fmt: skip
    found = proposals(prop, drive, movement, stock, types)
    written = [] if write is None else [_write(prop, model, found, write)]
    if as_json:
        print_json(found.as_dict())
        print_aside(written)
    else:
        _print(found)
        if found.findings or written:
            print_findings([*found.findings, *written])
    finish(found.findings)


def _write(prop: posekit.Prop, model: str, found: Proposals, number: int) -> Finding:
    """Write one of those found into the prop file."""
    if number > len(found.candidates):
        said = f"= {number}: {len(found.candidates)} were found; give one of their numbers"
        raise PosekitError([error("wrong-use", "--write", said), *found.findings])
    chosen = found.candidates[number - 1]
    changed = with_linkage(prop, found.drive, chosen)
    place = write_prop(model, prop, changed)
    return note(
        "written", f"drives.{found.drive}.linkage", f"is now number {number}, {chosen.type}, in {place}"
    )


def _print(found: Proposals) -> None:
    unit = "mm" if found.unit == "mm" else "°"
    low, high = found.wanted
    if not found.candidates:
        return
    force = "N per N·m, ends>" if found.unit == "mm" else "torque ×, ends>"
    table(
        f"{found.drive}: linkages that take {found.joint} from {exact(low)} to {exact(high)} {found.unit}",
        ("n>", "type", "reach>", "least angle>", f"bend {unit}>", "dead point>", force, "dimensions"),
        (_row(number, each) for number, each in enumerate(found.candidates, start=1)),
    )


def _row(number: int, each: Candidate) -> tuple[str, ...]:
    given = each.dimensions
    if each.type == "push_rod":  # the balls alone say little; the servo's place is known
        lengths = {"horn": each.horn_mm, "arm": each.arm_mm}
        given = lengths | {key: given[key] for key in ("rod", "horn_ball", "joint_ball")}
    sizes = (f"{key} {_said(value)}" for key, value in given.items())
    return (
        str(number),
        each.type,
        f"{each.reach[0]:.2f} to {each.reach[1]:.2f}",
        f"{downward(each.transmission_deg, 1)}°",
        upward(each.straightness),
        "none" if each.dead_deg is None else f"{downward(each.dead_deg, 0)}° on",
        f"{plain(each.torque[0], 3)} and {plain(each.torque[1], 3)}",
        each.remark or ", ".join(sizes),
    )


def _said(value: object) -> str:
    if isinstance(value, list):
        return "[" + ", ".join(exact(each) for each in value) + "]"
    return exact(value) if isinstance(value, float) else str(value)
