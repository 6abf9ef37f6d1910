"""posekit: from a channel snapshot to the pose of an animated prop. Start reading in `posekit.pipeline`.

load, read, save, edit        a prop from its folder or a GLB, and changed
Snapshot                      values of a lighting control, from a file or typed text
pose, pose_at                 what they look like; `pose_report` with the distances of the parts
check                         what end points, linkages, stops and supply have to tell over the whole range
envelope, move                whether parts can strike: at all, and on the way from one look to another
Show, follow                  frames over time, and what the servos really do
pulses, positions, forward, values, residual    each arrow of the flow, for many poses at once
clearance, statics, motion, stream, gltf  the parts behind them
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from posekit.later import named_later

if TYPE_CHECKING:
    from posekit import clearance, gltf, motion, statics, stream
    from posekit.clearance import envelope
    from posekit.errors import Finding, PosekitError
    from posekit.mechanism.joints import positions
    from posekit.mechanism.kinematics import forward
    from posekit.mechanism.pose import Pose
    from posekit.mechanism.values import residual, values
    from posekit.motion import follow
    from posekit.pipeline import pose, pose_at
    from posekit.prop.model import Prop
    from posekit.prop.reader import load, read
    from posekit.prop.writer import edit, save
    from posekit.report.check import check
    from posekit.report.move import between as move
    from posekit.report.pose import pose_report
    from posekit.signal.calibration import pulses
    from posekit.signal.snapshot import Snapshot
    from posekit.stream.show import Show

__version__ = "0.1.0"

__all__ = [
    "Finding",
    "Pose",
    "PosekitError",
    "Prop",
    "Show",
    "Snapshot",
    "check",
    "clearance",
    "edit",
    "envelope",
    "follow",
    "forward",
    "gltf",
    "load",
    "motion",
    "move",
    "pose",
    "pose_at",
    "pose_report",
    "positions",
    "pulses",
    "read",
    "residual",
    "save",
    "statics",
    "stream",
    "values",
]

# Each is imported when it is first named: a command can stop while numpy loads, and a page is ready the sooner.
# Name here, module, and name in it.
_PLACES = {
    "Finding": ("errors", "Finding"),
    "Pose": ("mechanism.pose", "Pose"),
    "PosekitError": ("errors", "PosekitError"),
    "Prop": ("prop.model", "Prop"),
    "Show": ("stream.show", "Show"),
    "Snapshot": ("signal.snapshot", "Snapshot"),
    "check": ("report.check", "check"),
    "clearance": ("clearance", ""),
    "edit": ("prop.writer", "edit"),
    "envelope": ("clearance", "envelope"),
    "follow": ("motion", "follow"),
    "forward": ("mechanism.kinematics", "forward"),
    "gltf": ("gltf", ""),
    "load": ("prop.reader", "load"),
    "motion": ("motion", ""),
    "move": ("report.move", "between"),
    "pose": ("pipeline", "pose"),
    "pose_at": ("pipeline", "pose_at"),
    "pose_report": ("report.pose", "pose_report"),
    "positions": ("mechanism.joints", "positions"),
    "pulses": ("signal.calibration", "pulses"),
    "read": ("prop.reader", "read"),
    "residual": ("mechanism.values", "residual"),
    "save": ("prop.writer", "save"),
    "statics": ("statics", ""),
    "stream": ("stream", ""),
    "values": ("mechanism.values", "values"),
}

__getattr__ = named_later(__name__, _PLACES)


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
