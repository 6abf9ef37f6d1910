"""What a linkage does to the servo's torque, and whether its rod still pushes well."""

from __future__ import annotations

import numpy as np

from posekit.arrays import Array
from posekit.errors import Finding, note, warning
from posekit.text import downward

# Rules of thumb for the least transmission angle: 40 to 45 deg in general (R. L. Norton, Design of
# Machinery, ch. 4, from memory), 30 deg for light loads (common practice).
GOOD_TRANSMISSION_DEG = 45.0
POOR_TRANSMISSION_DEG = 30.0


def mechanical_advantage(rate: Array) -> Array:
    """Torque at the joint per torque of the shaft; for a slide, force [N] per torque [N*mm] times 180 / pi.

    It is 1 / rate (power in is power out, friction left out): infinite where the joint stands still
    while the shaft turns, 0 at a dead point.
    """
    with np.errstate(divide="ignore"):
        return 1.0 / np.asarray(rate, dtype=np.float64)


def transmission_findings(subject: str, transmission_deg: Array) -> tuple[Finding, ...]:
    """A note if the least of the angles [deg] is below 45, a warning if below 30. nan: no rod, left out."""
    angles = transmission_deg[np.isfinite(transmission_deg)]
    least = float(angles.min(initial=90.0))
    if least >= GOOD_TRANSMISSION_DEG:
        return ()
    if least >= POOR_TRANSMISSION_DEG:
        said = f"transmission angle down to {downward(least, 1)} degrees: the rod pushes with loss; 45 or more is good"
        return (note("transmission-angle", subject, said),)
    said = f"transmission angle down to {downward(least, 1)} degrees: the rod may jam; keep it above 30, better 45"
    return (warning("transmission-angle", subject, said),)
