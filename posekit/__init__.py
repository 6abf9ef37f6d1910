"""posekit: from a channel snapshot to the pose of an animated prop. Start reading in `posekit.pipeline`."""

from posekit import clearance, gltf, motion
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
    "values",
]
