"""Currents of servos by the linear motor model, and what wires leave of a supply's voltage.

A motor's current rises in a straight line with its torque, from idle without any to the stall current at stall torque,
and its speed falls in one from no load to nothing (any text book on direct current motors). Servos have a gear and a
regulator besides, so that these are figures to choose a supply by, not to measure against.
"""

from __future__ import annotations

import numpy as np

from posekit.arrays import Array

# Of annealed copper at 20 degrees: 1/58 ohm mm2/m (IEC 60028, from memory); 0.4 % more for each degree above.
COPPER_OHM_MM2_M = 1.0 / 58.0


def current_at(torque: Array, stall_nm: float, stall_a: float, idle_a: float) -> Array:
    """Current [A] of a servo at torques [N*m] of any sign and shape; at most that at stall."""
    share = np.minimum(np.abs(torque) / stall_nm, 1.0)
    return np.asarray(idle_a + (stall_a - idle_a) * share)


def torque_left(speed_deg_s: Array, stall_nm: float, no_load_deg_s: float) -> Array:
    """The torque [N*m] that a servo has at a speed, by the line from stall to no load; any shape."""
    return np.asarray(stall_nm * np.maximum(1.0 - np.abs(speed_deg_s) / no_load_deg_s, 0.0))


def speed_left(torque: float, stall_nm: float, no_load_deg_s: float) -> float:
    """The speed [deg/s] that a servo reaches against a torque [N*m], by the same line."""
    return no_load_deg_s * max(1.0 - abs(torque) / stall_nm, 0.0)


def wire_drop(current_a: float, length_mm: float, area_mm2: float) -> float:
    """What two copper wires of one length, there and back, take of the voltage [V] at 20 degrees: 2 L I rho / A."""
    return 2.0 * (length_mm / 1000.0) * current_a * COPPER_OHM_MM2_M / area_mm2
