"""Two poses beside each other: which values differ, and by how much each joint stands elsewhere."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from posekit.mechanism.joints import Mechanism, linked, unit_of
from posekit.pipeline import pose_at
from posekit.prop.model import Prop
from posekit.text import counted

DIGITS = 1  # of positions [deg | mm], which are compared as written: what is listed is seen to differ


@dataclass(frozen=True, slots=True)
class DriveDiffers:
    """A drive that is sent another value, and the joints it moves."""

    drive: str
    joints: tuple[str, ...]
    left: int
    right: int


@dataclass(frozen=True, slots=True)
class JointDiffers:
    """A joint that stands elsewhere, in DIGITS [deg | mm]; `part` is what it carries."""

    joint: str
    part: str
    unit: str
    left: float
    right: float


@dataclass(frozen=True, slots=True)
class Beside:
    """Two poses: what differs, and where each part is; world_from_link (2, L, 4, 4) [mm], left and right."""

    drives: tuple[DriveDiffers, ...]
    joints: tuple[JointDiffers, ...]
    of_drives: int
    world_from_link: np.ndarray

    @property
    def sentence(self) -> str:
        """What differs, counted."""
        if not self.drives and not self.joints:
            return "Nothing differs."
        sent = f"{len(self.drives)} of {counted(self.of_drives, 'drive')} differ{_s(self.drives)}"
        return f"{sent}; {counted(len(self.joints), 'joint')} stand{_s(self.joints)} elsewhere, read to {10**-DIGITS}."


def _s(those: tuple[object, ...]) -> str:
    """The end of a verb of which these are the subject."""
    return "s" if len(those) == 1 else ""


def _written(position: float) -> float:
    return round(float(position), DIGITS) + 0.0  # no minus before a zero


def beside(prop: Prop, left: ArrayLike, right: ArrayLike, mechanism: Mechanism) -> Beside:
    """What differs between two rows of values (D,) each."""
    rows = [np.rint(np.asarray(each, float)) for each in (left, right)]
    poses = [pose_at(prop, row, mechanism=mechanism) for row in rows]
    moves: dict[int, tuple[str, ...]] = {
        d: tuple(prop.joints[j].name for j in joints) for drives, joints in linked(prop) for d in drives
    }
    drives = tuple(
        DriveDiffers(drive.name, moves.get(d, ()), int(rows[0][d]), int(rows[1][d]))
        for d, drive in enumerate(prop.drives)
        if rows[0][d] != rows[1][d]
    )
    joints = tuple(
        JointDiffers(joint.name, joint.child, unit_of(joint), a, b)
        for joint in prop.joints
        if (a := _written(poses[0].joints[joint.name])) != (b := _written(poses[1].joints[joint.name]))
    )
    links = np.array([list(pose.links.values()) for pose in poses])
    return Beside(drives, joints, len(prop.drives), links)
