"""What gravity, loads and springs ask of the joints' holders and of the servos, at rest.

torques          at the joints: positive where the holder must push the joint forward
shaft_torques    at the servo shafts, through followers and linkages, by virtual work
worst_holding    the most that each servo has to hold over everything the end points allow, proved
"""

from __future__ import annotations

from posekit.statics.gravity import torques
from posekit.statics.shafts import shaft_torques
from posekit.statics.worst import worst_holding

__all__ = ["shaft_torques", "torques", "worst_holding"]
