"""What the prop does over time: shows, the motion they really give, and what can be read from it."""

from posekit.motion.follow import Motion, follow, follow_shafts, limits_of
from posekit.motion.profile import Limits

__all__ = ["Limits", "Motion", "follow", "follow_shafts", "limits_of"]
