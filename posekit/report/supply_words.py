"""The figures of a supply in words, in the order in which people ask for them: the same at every door."""

from __future__ import annotations

from posekit.report.feeding import SupplyPower
from posekit.text import upward

PAUSE = "one after another, pause"
NEEDED = "supply to take, a quarter in reserve"
WIRE = "copper of each wire, for heat and a drop of 5 %"
LEAST = (PAUSE, NEEDED, WIRE)  # the least that will do, rounded to the safe side


def supply_figures(supply: SupplyPower) -> dict[str, str]:
    """Each figure with its unit, by what it is; empty where it is not known."""
    rows = [
        ("voltage of the supply", supply.voltage_v, "V"),
        ("voltage at the servos, at that current", supply.servo_volts, "V"),
        ("current of the supply", supply.current_a, "A"),
        ("all idle", supply.all_idle_a, "A"),
        ("all holding their worst", supply.all_holding_a, "A"),
        ("all moving", supply.all_moving_a, "A"),
        ("all stalled", supply.all_stalled_a, "A"),
        ("most over the show", supply.show_peak_a, "A"),
        ("that stands at", supply.show_peak_at_s, "s"),
        ("mean over the show", supply.show_mean_a, "A"),
        ("at power-on, all at once", supply.power_on_at_once_a, "A"),
        (PAUSE, supply.power_on_pause_s, "s"),
        ("one after another, most", supply.power_on_staggered_a, "A"),
        (NEEDED, supply.supply_needed_a, "A"),
        ("fuse for all of it", supply.fuse_a, "A"),
        (WIRE, supply.wire_mm2, "mm²"),
    ]
    told = {
        what: "" if figure is None else f"{upward(figure) if what in LEAST else f'{figure:.2f}'} {unit}"
        for what, figure, unit in rows
    }
    for what, share in (("torque", supply.torque_left), ("speed", supply.speed_left)):
        told[f"{what} that wires leave the servos"] = "" if share is None else f"{share:.0%}"
    return told
