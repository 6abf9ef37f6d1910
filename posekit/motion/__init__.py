"""What the servos make of a show: the motion it really gives, and what can be read from that."""

from posekit.motion.follow import Motion, follow, follow_shafts, limits_of, targets
from posekit.motion.profile import Limits
from posekit.motion.readings import Readings, readings
from posekit.motion.segments import Segments, segments
from posekit.motion.suggest import Suggested, suggest

__all__ = [
    "Limits",
    "Motion",
    "Readings",
    "Segments",
    "Suggested",
    "follow",
    "follow_shafts",
    "limits_of",
    "readings",
    "segments",
    "suggest",
    "targets",
]
