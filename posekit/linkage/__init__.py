"""What stands between the servo shaft and the joint. One file a linkage: its dimensions and its closed form.

A linkage is geometry alone; it knows no prop, no servo and no pulse. `LINKAGES` is the only place
that lists them: a new linkage is one file here, one line below, and its test.
"""

from __future__ import annotations

from posekit.linkage.differential import Differential
from posekit.linkage.direct import Direct
from posekit.linkage.four_bar import FourBar
from posekit.linkage.gear import Gear
from posekit.linkage.nested_shafts import NestedShafts
from posekit.linkage.protocol import Hinge, Linkage
from posekit.linkage.push_rod import PushRod
from posekit.linkage.slider_crank import SliderCrank

LINKAGES: dict[str, type[Linkage]] = {
    "direct": Direct,
    "gear": Gear,
    "four_bar": FourBar,
    "slider_crank": SliderCrank,
    "push_rod": PushRod,
    "differential": Differential,
    "nested_shafts": NestedShafts,
}

__all__ = [
    "LINKAGES",
    "Differential",
    "Direct",
    "FourBar",
    "Gear",
    "Hinge",
    "Linkage",
    "NestedShafts",
    "PushRod",
    "SliderCrank",
]
