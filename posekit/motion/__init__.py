"""What the prop does over time: shows, the motion they really give, and what can be read from it."""

from posekit.motion.follow import Motion, follow, follow_shafts, limits_of, targets
from posekit.motion.pieces import Pieces, pieces
from posekit.motion.profile import Limits
from posekit.motion.readings import Readings, readings
from posekit.motion.shows import Show, read_show
from posekit.motion.suggest import Suggested, suggest

__all__ = [
    "Limits",
    "Motion",
    "Pieces",
    "Readings",
    "Show",
    "Suggested",
    "follow",
    "follow_shafts",
    "limits_of",
    "pieces",
    "read_show",
    "readings",
    "suggest",
    "targets",
]
