"""The figures of a supply in words, in the order in which people ask for them: the same at every door.

What is drawn and what will do is rounded up, what is left over is rounded down; what the file gives stays as it is.
"""

from __future__ import annotations

from posekit.report.feeding import SupplyPower
from posekit.text import downward, exact, upward

PAUSE = "one after another, pause"
NEEDED = "supply to take, a quarter in reserve"
WIRE = "copper of each wire, for heat and a drop of 5 %"


def supply_figures(supply: SupplyPower) -> dict[str, str]:
    """Each figure with its unit, by what it is; empty where it is not known."""
    rows = [
        ("voltage of the supply", supply.voltage_v, exact, "V"),
        ("voltage at the servos, at that current", supply.servo_volts, downward, "V"),
        ("current of the supply", supply.current_a, exact, "A"),
        ("all idle", supply.all_idle_a, upward, "A"),
        ("all holding their worst", supply.all_holding_a, upward, "A"),
        ("all moving", supply.all_moving_a, upward, "A"),
        ("all stalled", supply.all_stalled_a, upward, "A"),
        ("most over the show", supply.show_peak_a, upward, "A"),
        ("that stands at", supply.show_peak_at_s, _instant, "s"),
        ("mean over the show", supply.show_mean_a, upward, "A"),
        ("at power-on, all at once", supply.power_on_at_once_a, upward, "A"),
        (PAUSE, supply.power_on_pause_s, upward, "s"),
        ("one after another, most", supply.power_on_staggered_a, upward, "A"),
        (NEEDED, supply.supply_needed_a, upward, "A"),
        ("fuse for all of it", supply.fuse_a, exact, "A"),
        (WIRE, supply.wire_mm2, upward, "mm²"),
    ]
    told = {what: "" if number is None else f"{say(number)} {unit}" for what, number, say, unit in rows}
    for what, share in (("torque", supply.torque_left), ("speed", supply.speed_left)):
        told[f"{what} that wires leave the servos"] = "" if share is None else f"{downward(100 * share, 0)}%"
    return told


def _instant(at_s: float) -> str:
    """A time of the show, as finely as the table of servos tells it."""
    return f"{at_s:.2f}"
