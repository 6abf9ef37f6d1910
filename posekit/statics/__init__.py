"""What gravity, loads, springs and motion ask of the joints' holders and of the servos.

torques          at the joints: positive where the holder must push the joint forward
shaft_torques    at the servo shafts, through followers and linkages, by virtual work
moving_torques   at the joints in motion
torques_over     at the servo shafts over a show
worst_holding    the most that each servo has to hold over everything the end points allow, proved
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from posekit.later import named_later

if TYPE_CHECKING:
    from posekit.statics.dynamics import moving_torques, torques
    from posekit.statics.over_show import torques_over
    from posekit.statics.shafts import shaft_torques
    from posekit.statics.worst import worst_holding

__all__ = ["moving_torques", "shaft_torques", "torques", "torques_over", "worst_holding"]

# Each is imported when it is first named: what a check asks of statics needs neither shows nor searches.
_PLACES = {
    "moving_torques": ("dynamics", "moving_torques"),
    "shaft_torques": ("shafts", "shaft_torques"),
    "torques": ("dynamics", "torques"),
    "torques_over": ("over_show", "torques_over"),
    "worst_holding": ("worst", "worst_holding"),
}

__getattr__ = named_later(__name__, _PLACES)
