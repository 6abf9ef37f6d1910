"""Strikes at the end points: each drive alone at value 0 and at full scale, all others at rest."""

from __future__ import annotations

from typing import Literal

import numpy as np

from posekit.clearance.distance import Asked, separations
from posekit.clearance.watch import Watch
from posekit.errors import Finding, error
from posekit.mechanism.joints import positions
from posekit.mechanism.kinematics import forward
from posekit.prop.model import Drive, Prop
from posekit.signal.calibration import pulses
from posekit.text import exact
from posekit.toml.places import dotted

TOUCH = Asked(beyond_mm=1.0, points=False)


def end_point_findings(prop: Prop, watched: Watch) -> list[Finding]:
    """An error for each end point that alone makes parts strike; the subject is its key in the prop file.

    Pairs that strike at rest already are told once, by name. What several drives do together only the
    envelope can tell.
    """
    D = len(prop.drives)
    values = np.tile([float(drive.rest_value) for drive in prop.drives], (2 * D + 1, 1))
    values[np.arange(D), np.arange(D)] = 0.0
    values[D + np.arange(D), np.arange(D)] = [float(drive.full_scale) for drive in prop.drives]
    world_from_link = forward(prop, positions(prop, pulses(prop, values)))
    strikes = separations(watched, world_from_link, TOUCH).upper == 0.0
    names = watched.pairs
    at_rest = [
        error("strikes", " - ".join(names[k]), "touch or overlap at rest, before any value moves them")
        for k in np.flatnonzero(strikes[-1]).tolist()
    ]
    return at_rest + [
        _end_finding(prop.drives[pose % D], ("low", "high")[pose // D], names[k])
        for pose, k in np.argwhere(strikes[:-1] & ~strikes[-1]).tolist()
    ]


def _end_finding(drive: Drive, end: Literal["low", "high"], pair: tuple[str, str]) -> Finding:
    sentence = (
        f"= {exact(getattr(drive.pulse, end))}: there '{pair[0]}' and '{pair[1]}' touch or overlap, all other drives "
        "at rest; `posekit envelope` tells which end point is safe"
    )
    return error("strikes", dotted(("drives", drive.name, "pulse", end)), sentence)
