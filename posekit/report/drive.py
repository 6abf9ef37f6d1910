"""What one drive does: where it takes the prop between its end points, all others held."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from posekit.arrays import Array
from posekit.clearance.solids import Solids
from posekit.errors import PosekitError, error
from posekit.mechanism.joints import Mechanism, linked, mechanism_of, solve
from posekit.mechanism.kinematics import forward
from posekit.prop.model import Prop
from posekit.signal.calibration import pulses, shafts


@dataclass(frozen=True, slots=True)
class DriveReport:
    """One drive from value 0 to full scale in S steps: `values` (S,).

    `positions` (S,) [deg | mm] are those of `joint`, `world_from_link` (S, L, 4, 4) [mm] those of all links, and
    `trace` (S, 3) [mm] the way of the point that moves most.
    """

    joint: str
    values: Array
    positions: Array
    world_from_link: Array
    trace: Array


def drive_report(
    prop: Prop,
    name: str,
    values: Array,
    steps: int,
    parts: Solids,
    mechanism: Mechanism | None = None,
) -> DriveReport:
    """Where a drive takes the prop in so many steps, all others at values (D,).

    `parts` are the `solids` of the prop, `mechanism` its own. Raises PosekitError for a name that is no drive's.
    """
    d = column_of(prop, name)
    j = next(joints[drives.index(d)] for drives, joints in linked(prop) if d in drives)
    made = mechanism_of(prop) if mechanism is None else mechanism
    rows = np.tile(values, (steps, 1))
    rows[:, d] = np.rint(np.linspace(0, prop.drives[d].full_scale, steps))
    position = solve(prop, shafts(prop, pulses(prop, rows)), made).position
    world_from_link = forward(prop, position, made.tree)
    return DriveReport(
        joint=prop.joints[j].name,
        values=rows[:, d],
        positions=position[:, j],
        world_from_link=world_from_link,
        trace=_trace(parts, world_from_link),
    )


def column_of(prop: Prop, name: str) -> int:
    """Where a drive stands on the axis D. Raises PosekitError for a name that is no drive's."""
    for d, drive in enumerate(prop.drives):
        if drive.name == name:
            return d
    raise PosekitError([error("unknown-drive", name, "is not a drive of this prop")])


def _trace(parts: Solids, world_from_link: Array) -> Array:
    """The way (S, 3) [mm] of the point that moves most over these poses (S, L, 4, 4).

    The points looked at are the far sides of the solid pieces, as seen from the origins of their links.
    """
    away = np.linalg.norm(parts.centre, axis=1, keepdims=True)
    far = parts.centre * (1.0 + parts.reach[:, None] / np.where(away > 0.0, away, 1.0))
    frame = world_from_link[:, parts.owner]
    places = (frame[..., :3, :3] @ far[..., None])[..., 0] + frame[..., :3, 3]
    if not parts.owner.size:
        places = world_from_link[..., :3, 3]
    most = np.argmax(np.ptp(places, axis=0).sum(axis=-1))
    return np.asarray(places[:, most])
