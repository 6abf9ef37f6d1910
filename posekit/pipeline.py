"""The whole flow, from a channel snapshot to a pose. Read this first."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from posekit.arrays import Array
from posekit.errors import Finding, PosekitError, error
from posekit.mechanism.joints import Mechanism, joint_findings, mechanism_of, solve
from posekit.mechanism.kinematics import forward
from posekit.mechanism.pose import Pose
from posekit.prop.model import Prop
from posekit.signal.batch import rows
from posekit.signal.calibration import clamp_findings, clamped, commanded, shafts
from posekit.signal.patch import patched
from posekit.signal.snapshot import Snapshot
from posekit.text import exact


def pose(prop: Prop, snapshot: Snapshot) -> Pose:
    """The pose that a snapshot gives, with everything there is to tell about it."""
    values, notes = patched(prop, snapshot)
    return pose_at(prop, values, notes)


def pose_at(
    prop: Prop,
    values: ArrayLike,
    notes: list[Finding] | None = None,
    mechanism: Mechanism | None = None,
) -> Pose:
    """The pose at drive values (D,), rounded to whole ones; `notes` are findings from before they were known.

    Who asks for one pose after the other gives the `mechanism_of` the prop. Raises PosekitError for
    more or less than one row, and for each value that its drive cannot be sent.
    """
    made = mechanism_of(prop) if mechanism is None else mechanism
    value = _one_row(prop, values, made.calibration.full_scale)
    asked = commanded(prop, value, made.calibration)
    pulse = clamped(prop, asked, made.calibration)
    shaft = shafts(prop, pulse, made.calibration)
    solved = solve(prop, shaft, made)
    world_from_link = np.ascontiguousarray(forward(prop, solved.position, made.tree)[0])
    told = (*clamp_findings(prop, asked[0], pulse[0]), *joint_findings(prop, shaft, solved))
    findings = [*(notes or ()), *told]
    drives, joints = [drive.name for drive in prop.drives], [joint.name for joint in prop.joints]
    return Pose(
        values=dict(zip(drives, value[0].astype(int).tolist(), strict=True)),
        pulses=dict(zip(drives, pulse[0].tolist(), strict=True)),
        shafts=dict(zip(drives, shaft[0].tolist(), strict=True)),
        joints=dict(zip(joints, solved.position[0].tolist(), strict=True)),
        links={link.name: world_from_link[i] for i, link in enumerate(prop.links)},
        findings=tuple(findings),
        solved=solved,
    )


def _one_row(prop: Prop, values: ArrayLike, full_scale: Array) -> Array:
    """Whole values (1, D) that the drives can be sent."""
    value = np.rint(rows(values, prop.drives, "values"))
    if len(value) != 1:
        sentence = (
            f"has {len(value)} rows; a pose is one row of {len(prop.drives)} values, one for each drive"
        )
        raise PosekitError([error("wrong-array", "values", sentence)])
    beyond = np.flatnonzero((value[0] < 0) | (value[0] > full_scale))
    if len(beyond):
        found = [(prop.drives[d], value[0, d]) for d in beyond.tolist()]
        raise PosekitError(
            error("out-of-range", drive.name, f"= {exact(asked)}: use a value of 0 to {drive.full_scale}")
            for drive, asked in found
        )
    return value


def rest(prop: Prop) -> Pose:
    """The pose before the first frame."""
    return pose_at(prop, [drive.rest_value for drive in prop.drives])
