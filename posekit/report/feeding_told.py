"""What there is to tell of the supplies of a prop: wire, fuse, power-on, what the file does not say, other groups."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from posekit.errors import Finding, note, warning
from posekit.mechanism.supply_check import most_volts
from posekit.prop.feeds import Feed
from posekit.prop.model import Prop
from posekit.report.feeding import AMPERES_PER_MM2, FUSES_A, RESERVE, SupplyPower
from posekit.report.stall import servo_volts
from posekit.report.strength import DrivePower
from posekit.signal.calibration import servo_of
from posekit.statics.grouping import Group, grouping
from posekit.statics.ratings import rating
from posekit.text import exact, listed, upward
from posekit.toml.places import dotted


def feeding_findings(feed: Feed, supply: SupplyPower) -> Iterator[Finding]:
    """A wire or supply that is too small for what moves, or for power-on; a fuse that does not fit it."""
    given, current = supply.current_a, dotted((*feed.path, "current"))
    if given is None:
        return
    yield from _wire(feed, supply)
    yield from _fuse(feed, supply, given)
    if supply.supply_needed_a is not None and supply.supply_needed_a > given:
        sentence = (
            f"= {exact(given)}: the servos draw up to {upward(supply.supply_needed_a / RESERVE, 1)} "
            "A while they move; with a "
            f"quarter in reserve take {upward(supply.supply_needed_a, 1)} A or more"
        )
        yield warning("supply-small", current, sentence)
    if supply.power_on_at_once_a is None or supply.power_on_at_once_a <= given:
        return
    if supply.power_on_pause_s is None or supply.power_on_staggered_a is None:
        more = (
            f"those servos whose current is known may draw {upward(supply.power_on_at_once_a, 1)} A at once"
            if supply.supply_needed_a is None
            else "even one servo after another may draw more"
        )
        sentence = f"= {exact(given)}: at power-on {more}; take a larger supply"
        yield warning("power-on", current, sentence)
        return
    sentence = (
        f"= {exact(given)}: at power-on all servos at once may draw {upward(supply.power_on_at_once_a, 1)} "
        "A; one after another, "
        f"{upward(supply.power_on_pause_s)} s apart, {upward(supply.power_on_staggered_a, 1)} A at most"
    )
    yield note("power-on", current, sentence)


def _wire(feed: Feed, supply: SupplyPower) -> Iterator[Finding]:
    """Wire of the file that is thinner than what follows."""
    wire, fuse = feed.supply.wire if feed.supply else None, supply.fuse_a
    if wire is None or fuse is None or supply.wire_mm2 is None or wire.area >= supply.wire_mm2:
        return
    what = (
        f"gets hot, and may burn, before a fuse of {exact(fuse)} A blows (copper in free air: "
        f"{exact(AMPERES_PER_MM2)} A/mm2, "
        "common practice)"
        if wire.area < fuse / AMPERES_PER_MM2
        else f"takes more than a twentieth of the voltage at {exact(fuse)} A"
    )
    sentence = f"= {exact(wire.area)}: {what}; take {upward(supply.wire_mm2)} mm2 or more"
    yield warning("wire-thin", dotted((*feed.path, "wire", "area")), sentence)


def _fuse(feed: Feed, supply: SupplyPower, given: float) -> Iterator[Finding]:
    """Fuses that blow at power-on, or never, or that are not made."""
    fuse, begun = supply.fuse_a, supply.power_on_staggered_a or supply.power_on_at_once_a
    if fuse is None:
        if supply.supply_needed_a is not None:
            sentence = (
                f"has no fuse for all of it: {upward(supply.supply_needed_a, 1)} A is more than the largest of "
                f"{exact(FUSES_A[-1])} A; make groups, each with its own fuse and wire"
            )
            yield warning("fuse", dotted(feed.path), sentence)
        return
    if begun is not None and begun > fuse:
        how = "servos one after another" if supply.power_on_pause_s else "all servos at once"
        sentence = (
            f"may blow its fuse of {exact(fuse)} A at power-on, when {how} draw up to {upward(begun, 1)} A "
            "for a moment: take a "
            "slow-blow fuse and leave longer pauses, or a larger fuse with wire for it "
            f"({exact(AMPERES_PER_MM2)} A/mm2 at most)"
        )
        yield warning("fuse", dotted(feed.path), sentence)
    if fuse > given:
        sentence = (
            f"= {exact(given)}: a fuse of {exact(fuse)} A may never blow on it; the supply has to "
            "limit its current by itself, "
            "or be larger"
        )
        yield note("fuse", dotted((*feed.path, "current")), sentence)


def unknown_findings(prop: Prop) -> Iterator[Finding]:
    """What the file does not say of the servos in use, and what is not known for it."""
    used = {drive.servo for drive in prop.drives}
    for servo in prop.servos:
        if servo.name not in used:
            continue
        path = dotted(("servos", servo.name))
        if servo.friction is None:
            sentence = (
                "has no friction, so whether it may sleep is not known; measure it with a spring balance"
            )
            yield note("friction-unknown", path, sentence)
        if servo.stall_torque is None and not servo.rated:
            sentence = (
                "has no stall_torque, so whether it is strong enough is not known, nor what it draws over a show; take "
                "it from its data sheet"
            )
            yield note("torque-unknown", path, sentence)
        if servo.stall_current is None and not servo.rated:
            yield note(
                "current-unknown",
                path,
                "has no stall_current, so it is missing in all currents, and neither supply nor fuse can be chosen",
            )


def proposed_groups(prop: Prop, fed: Sequence[Feed], drives: Sequence[DrivePower]) -> tuple[Group, ...]:
    """Which drives might go on which of the supplies, rows of `fed`, so that each holds with all of them stalled.

    None where they hold as they are, or a current is not known. No servo goes where the voltage might destroy it, or
    would be below what it takes; one whose voltages the file does not give only where it has the same as now.
    """
    given = [feed.supply for feed in fed]
    if any(each.rating.stall_a is None for each in drives) or any(
        feed.supply is None and feed.drives for feed in fed
    ):
        return ()
    # A servo draws more, stalled, the higher the voltage.
    stall = np.zeros((len(drives), len(fed)))
    for row, supply in enumerate(given):
        if supply is not None:
            volts = servo_volts(supply)
            stall[:, row] = [rating(servo_of(prop, drive), volts).stall_a or np.inf for drive in prop.drives]
    gives = np.array([0.0 if supply is None else supply.current for supply in given])
    now = np.zeros(len(drives), dtype=np.intp)
    for row, feed in enumerate(fed):
        now[list(feed.drives)] = row
    if (np.bincount(now, stall[np.arange(len(now)), now], len(fed)) <= gives).all():
        return ()
    may = np.zeros((len(drives), len(fed)), bool)
    for d, drive in enumerate(prop.drives):
        servo, own = servo_of(prop, drive), given[now[d]]
        most = most_volts(servo)
        for row, supply in enumerate(given):
            if supply is None or own is None:
                continue
            volts = supply.voltage
            least = servo.voltage[0] if servo.voltage else servo.rated[0][0] if servo.rated else volts
            may[d, row] = volts == own.voltage if most is None else least <= volts <= most
    return grouping(stall, now, may, gives)


def proposal_findings(prop: Prop, fed: Sequence[Feed], groups: Sequence[Group]) -> Iterator[Finding]:
    """Other groups, as a proposal."""
    if not groups:
        return
    told = []
    for group in groups:
        feed = fed[group.like]
        assert feed.supply is not None
        called = f"one more like '{feed.name}'" if group.more else f"'{feed.name}'"
        names = listed(prop.drives[d].name for d in group.members)
        told.append(f"{called}: {names} ({upward(group.stalled_a, 1)} of {exact(feed.supply.current)} A)")
    sentence = (
        "could be grouped so that each supply holds with all of its servos stalled (a proposal, by stall currents, the "
        f"largest first; look at where the wires run): {'; '.join(told)}. Their signals need the minus of all "
        "supplies joined, and the plus of none (common practice)"
    )
    yield note("grouping", "drives", sentence)
