"""What the servos make of a show: the motion it really gives, and what can be read from that.

In reading order, each building on those above it:

    deadband    changes of pulse that a servo does not answer
    profile     the quickest move of one shaft under its limits, in closed form
    runs        many moves in a row, each cut off by the next
    follow      the motion of all shafts over a show
    stopwatch   how long a drive alone takes from end point to end point
    stepped     steps of a controller: how fast each is, from times at some
    segments    a motion cut into segments of constant acceleration
    instants    the instants at which a motion is looked at
    sampled     a motion as a drawing can hold it
    extent      how far parts reach: where a motion shows most
    steps       what one value moves, and slow moves that are seen to go by steps
    readings    whether drives keep up, how fast joints and parts go
    swing       one shaft between its end points, to and fro
    suggest     the gentlest limits with which a show still arrives in time
"""

from posekit.motion.follow import Motion, follow, follow_shafts, limits_of, targets
from posekit.motion.profile import Limits
from posekit.motion.readings import Readings, readings
from posekit.motion.sampled import Sampled, sampled
from posekit.motion.segments import Segments, segments
from posekit.motion.suggest import Suggested, suggest

__all__ = [
    "Limits",
    "Motion",
    "Readings",
    "Sampled",
    "Segments",
    "Suggested",
    "follow",
    "follow_shafts",
    "limits_of",
    "readings",
    "sampled",
    "segments",
    "suggest",
    "targets",
]
