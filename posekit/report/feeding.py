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
from posekit.statics.currents import COPPER_OHM_MM2_M, current_at
from posekit.statics.over_show import ShowTorques
from posekit.statics.power_on import power_on
from posekit.toml.places import dotted

RESERVE = 1.25  # of the current that is drawn, for supply and fuse (common practice)
MOVING_SHARE = 1 / 3  # of stall current, of a servo that moves a usual load (common practice)
DROP_SHARE = 0.05  # of the voltage that wires may take (common practice)
# Of blade fuses, A (ISO 8820-3, from memory).
FUSES_A = (1.0, 2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0)


@dataclass(frozen=True, slots=True)
class SupplyPower:
    """Currents [A] of all servos together, of those whose stall current is known; None for what is not known.

    `servo_volts` is what its wires leave of the voltage at the current it is made for. `power_on_pause_s` is the least
    pause from one servo to the next that keeps below the supply; `fuse_a` and `wire_mm2` follow from the largest
    current of holding and show, with a reserve of a quarter and a drop of a twentieth.
    """

    voltage_v: float | None
    current_a: float | None
    servo_volts: float | None
    all_idle_a: float
    all_holding_a: float
    all_moving_a: float
    all_stalled_a: float
    show_peak_a: float | None
    show_peak_at_s: float | None
    show_mean_a: float | None
    power_on_at_once_a: float
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
    needed = (
        RESERVE * max(moving, peak or 0.0) if all(each.rating.stall_a for each in drives) and drives else None
    )
    fuse = None if needed is None else next((size for size in FUSES_A if size >= needed), None)
    wire = prop.supply.wire if prop.supply else None
    area = None
    if wire is not None and prop.supply is not None and fuse is not None:
        area = 2 * (wire.length / 1000) * fuse * COPPER_OHM_MM2_M / (DROP_SHARE * prop.supply.voltage)
    return SupplyPower(
        voltage_v=prop.supply.voltage if prop.supply else None,
        current_a=given,
        servo_volts=volts,
        all_idle_a=float(idle.sum()),
        all_holding_a=float(holding.sum()),
        all_moving_a=moving,
        all_stalled_a=float(stall.sum()),
        show_peak_a=peak,
        show_peak_at_s=at,
        show_mean_a=mean,
        power_on_at_once_a=begun.at_once_a,
        power_on_pause_s=begun.pause_s,
        power_on_staggered_a=begun.staggered_a,
        supply_needed_a=needed,
        fuse_a=fuse,
        wire_mm2=area,
    )


def _over_show(
    drives: tuple[DrivePower, ...], idle: Array, over: ShowTorques | None
) -> tuple[float | None, float | None, float | None]:
    """The largest current of all together over a show [A], when it is [s], and the mean [A]."""
    if over is None:
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


def feeding_findings(supply: SupplyPower) -> Iterator[Finding]:
    """A supply that is too small for what moves, or for all servos at power-on."""
    given = supply.current_a
    if given is None:
        return
    if supply.supply_needed_a is not None and supply.supply_needed_a > given:
        sentence = (
            f"= {given:g}: the servos draw up to {supply.supply_needed_a / RESERVE:.1f} A while they move; with a "
            f"quarter in reserve take {supply.supply_needed_a:.1f} A or more"
        )
        yield warning("supply-small", "supply.current", sentence)
    if supply.power_on_at_once_a <= given:
        return
    if supply.power_on_pause_s is None:
        sentence = (
            f"= {given:g}: at power-on even one servo after another may draw more; take a larger supply"
        )
        yield warning("power-on", "supply.current", sentence)
        return
    sentence = (
        f"= {given:g}: at power-on all servos at once may draw {supply.power_on_at_once_a:.1f} A; one after another, "
        f"{supply.power_on_pause_s:.2f} s apart, {supply.power_on_staggered_a:.1f} A at most"
    )
    yield note("power-on", "supply.current", sentence)


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
        if servo.stall_current is None and not servo.rated:
            yield note(
                "current-unknown",
                path,
                "has no stall_current, so it is missing in all currents, and neither supply nor fuse can be chosen",
            )
