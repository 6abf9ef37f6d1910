"""What the supply of a prop has to give: currents of all servos together, power-on, fuse and wire."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from posekit.arrays import Array
from posekit.errors import Finding, note, warning
from posekit.prop.model import Prop
from posekit.report.strength import DrivePower
from posekit.signal.calibration import servo_of
from posekit.statics.currents import current_at, wire_drop
from posekit.statics.over_show import ShowTorques
from posekit.statics.power_on import power_on
from posekit.toml.places import dotted

RESERVE = 1.25  # of the current that is drawn, for supply and fuse (common practice)
MOVING_SHARE = 1 / 3  # of stall current, of a servo that moves a usual load (common practice)
DROP_SHARE = 0.05  # of the voltage that wires may take (common practice)
AMPERES_PER_MM2 = 5.0  # of short copper wire in free air (common practice); bundles and hot places take less
# Of blade fuses, A (ISO 8820-3, from memory).
FUSES_A = (1.0, 2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0)


@dataclass(frozen=True, slots=True)
class SupplyPower:
    """Currents [A] of all servos together, of those whose figures are known; None for what is not known.

    `servo_volts` is what its wires leave of the voltage at the current it is made for. `power_on_pause_s` is the least
    pause from one servo to the next that keeps below the supply; `fuse_a` and `wire_mm2` follow from the largest
    current of holding and show, with a reserve of a quarter. The wire is what the fuse keeps from getting hot and what
    drops a twentieth at most, whichever is more. No pause is found where a stall current is not known.
    """

    voltage_v: float | None
    current_a: float | None
    servo_volts: float | None
    all_idle_a: float | None
    all_holding_a: float | None
    all_moving_a: float | None
    all_stalled_a: float | None
    show_peak_a: float | None
    show_peak_at_s: float | None
    show_mean_a: float | None
    power_on_at_once_a: float | None
    power_on_pause_s: float | None
    power_on_staggered_a: float | None
    supply_needed_a: float | None
    fuse_a: float | None
    wire_mm2: float | None


def supply_power(
    prop: Prop, drives: tuple[DrivePower, ...], volts: float | None, over: ShowTorques | None
) -> SupplyPower:
    """What the servos of a prop draw together, `volts` being what they get; with a show, over that too."""
    servos = [servo_of(prop, drive) for drive in prop.drives]
    idle = np.array([servo.idle_current or 0.0 for servo in servos])
    stall = np.array([each.rating.stall_a or 0.0 for each in drives])
    holding = np.array([each.current_a or 0.0 for each in drives])
    peak, at, mean = _over_show(drives, idle, over)
    given = prop.supply.current if prop.supply else None
    ways = [
        2.0 * servo.travel / each.rating.speed_deg_s
        for servo, each in zip(servos, drives, strict=True)
        if each.rating.speed_deg_s
    ]
    begun = power_on(stall, holding, max(ways, default=1.0), given)
    moving = float(np.maximum(holding, MOVING_SHARE * stall).sum())
    # Nothing is chosen by a sum from which a servo is missing.
    whole = bool(drives) and all(each.rating.stall_a for each in drives)
    known = [each.rating.stall_a is not None for each in drives]
    needed = RESERVE * max(moving, peak or 0.0) if whole else None
    fuse = None if needed is None else next((size for size in FUSES_A if size >= needed), None)
    wire = prop.supply.wire if prop.supply else None
    area = None
    if wire is not None and prop.supply is not None and fuse is not None:
        drops = wire_drop(fuse, wire.length, 1.0) / (DROP_SHARE * prop.supply.voltage)
        area = max(drops, fuse / AMPERES_PER_MM2)
    return SupplyPower(
        voltage_v=prop.supply.voltage if prop.supply else None,
        current_a=given,
        servo_volts=volts,
        all_idle_a=_sum(idle, [servo.idle_current is not None for servo in servos]),
        all_holding_a=_sum(holding, [each.current_a is not None for each in drives]),
        all_moving_a=moving if any(known) else None,
        all_stalled_a=_sum(stall, known),
        show_peak_a=peak,
        show_peak_at_s=at,
        show_mean_a=mean,
        power_on_at_once_a=begun.at_once_a if any(known) else None,
        power_on_pause_s=begun.pause_s if whole else None,
        power_on_staggered_a=begun.staggered_a if whole else None,
        supply_needed_a=needed,
        fuse_a=fuse,
        wire_mm2=area,
    )


def _sum(currents: Array, known: list[bool]) -> float | None:
    """The sum of currents (D,) [A]; None where none of them is known."""
    return float(currents.sum()) if any(known) else None


def _over_show(
    drives: tuple[DrivePower, ...], idle: Array, over: ShowTorques | None
) -> tuple[float | None, float | None, float | None]:
    """The largest current of all together over a show [A], when it is [s], and the mean [A]."""
    if over is None or all(each.rating.stall_a is None for each in drives):
        return None, None, None
    whole = np.zeros(len(over.times))
    for d, each in enumerate(drives):
        able = each.rating
        if able.stall_nm is not None and able.stall_a is not None:
            whole += current_at(over.torque[:, d], able.stall_nm, able.stall_a, float(idle[d]))
    lasts = np.diff(over.times, append=over.times[-1])
    mean = float((whole * lasts).sum() / lasts.sum()) if lasts.sum() > 0 else float(whole[0])
    top = int(np.argmax(whole))
    return float(whole[top]), float(over.times[top]), mean


def feeding_findings(prop: Prop, supply: SupplyPower) -> Iterator[Finding]:
    """A wire or supply that is too small for what moves, or for power-on; a fuse that does not fit it."""
    given = supply.current_a
    if given is None:
        return
    yield from _wire(prop, supply)
    yield from _fuse(supply, given)
    if supply.supply_needed_a is not None and supply.supply_needed_a > given:
        sentence = (
            f"= {given:g}: the servos draw up to {supply.supply_needed_a / RESERVE:.1f} A while they move; with a "
            f"quarter in reserve take {supply.supply_needed_a:.1f} A or more"
        )
        yield warning("supply-small", "supply.current", sentence)
    if supply.power_on_at_once_a is None or supply.power_on_at_once_a <= given:
        return
    if supply.power_on_pause_s is None:
        more = (
            f"those servos whose current is known may draw {supply.power_on_at_once_a:.1f} A at once"
            if supply.supply_needed_a is None
            else "even one servo after another may draw more"
        )
        sentence = f"= {given:g}: at power-on {more}; take a larger supply"
        yield warning("power-on", "supply.current", sentence)
        return
    sentence = (
        f"= {given:g}: at power-on all servos at once may draw {supply.power_on_at_once_a:.1f} A; one after another, "
        f"{supply.power_on_pause_s:.2f} s apart, {supply.power_on_staggered_a:.1f} A at most"
    )
    yield note("power-on", "supply.current", sentence)


def _wire(prop: Prop, supply: SupplyPower) -> Iterator[Finding]:
    """Wire of the file that is thinner than what follows."""
    wire, fuse = prop.supply.wire if prop.supply else None, supply.fuse_a
    if wire is None or fuse is None or supply.wire_mm2 is None or wire.area >= supply.wire_mm2:
        return
    what = (
        f"gets hot, and may burn, before a fuse of {fuse:g} A blows (copper in free air: {AMPERES_PER_MM2:g} A/mm2, "
        "common practice)"
        if wire.area < fuse / AMPERES_PER_MM2
        else f"takes more than a twentieth of the voltage at {fuse:g} A"
    )
    sentence = f"= {wire.area:g}: {what}; take {supply.wire_mm2:.2f} mm2 or more"
    yield warning("wire-thin", "supply.wire.area", sentence)


def _fuse(supply: SupplyPower, given: float) -> Iterator[Finding]:
    """Fuses that blow at power-on, or never, or that are not made."""
    fuse, begun = supply.fuse_a, supply.power_on_staggered_a or supply.power_on_at_once_a
    if fuse is None:
        if supply.supply_needed_a is not None:
            sentence = (
                f"has no fuse for all of it: {supply.supply_needed_a:.1f} A is more than the largest of "
                f"{FUSES_A[-1]:g} A; make groups, each with its own fuse and wire"
            )
            yield warning("fuse", "supply", sentence)
        return
    if begun is not None and begun > fuse:
        how = "servos one after another" if supply.power_on_pause_s else "all servos at once"
        sentence = (
            f"may blow its fuse of {fuse:g} A at power-on, when {how} draw up to {begun:.1f} A for a moment: take a "
            "slow-blow fuse and leave longer pauses, or a larger fuse with wire for it "
            f"({AMPERES_PER_MM2:g} A/mm2 at most)"
        )
        yield warning("fuse", "supply", sentence)
    if fuse > given:
        sentence = (
            f"= {given:g}: a fuse of {fuse:g} A may never blow on it; the supply has to limit its current by itself, "
            "or be larger"
        )
        yield note("fuse", "supply.current", sentence)


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
            sentence = "has no stall_torque, so whether it is strong enough is not known; take it from its data sheet"
            yield note("torque-unknown", path, sentence)
        if servo.stall_current is None and not servo.rated:
            yield note(
                "current-unknown",
                path,
                "has no stall_current, so it is missing in all currents, and neither supply nor fuse can be chosen",
            )
