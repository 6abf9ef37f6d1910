"""posekit: from a channel snapshot to the pose of an animated prop. Start reading in `posekit.pipeline`."""

from __future__ import annotations

from importlib import import_module
from types import ModuleType
from typing import TYPE_CHECKING

from posekit.errors import Finding, PosekitError
from posekit.mechanism.joints import positions
from posekit.mechanism.kinematics import forward
from posekit.mechanism.pose import Pose
from posekit.mechanism.values import residual, values
from posekit.pipeline import check, pose, pose_at
from posekit.prop.model import Prop
from posekit.prop.reader import load, read
from posekit.prop.writer import edit, save
from posekit.signal.calibration import pulses
from posekit.signal.snapshot import Snapshot

if TYPE_CHECKING:
    from posekit import clearance, gltf, motion, stream

__version__ = "0.1.0"

__all__ = [
    "Finding",
    "Pose",
    "PosekitError",
    "Prop",
    "Snapshot",
    "check",
    "clearance",
    "edit",
    "forward",
    "gltf",
    "load",
    "motion",
    "pose",
    "pose_at",
    "positions",
    "pulses",
    "read",
    "residual",
    "save",
    "stream",
    "values",
]


def __getattr__(name: str) -> ModuleType:
    """The parts that a pose does not need, imported when first named: a page is ready the sooner."""
    if name in ("clearance", "gltf", "motion", "stream"):
        return import_module(f"posekit.{name}")
    raise AttributeError(f"module 'posekit' has no attribute {name!r}")
