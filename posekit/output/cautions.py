"""The usual cautions, as they stand at the foot of what is printed or handed on."""

from __future__ import annotations

CAUTIONS = (
    "A moving figure can pinch, crush and strike. posekit computes what a model of it would do; it does not make a "
    "prop safe, and a sheet without findings is no proof of safety.",
    "Take power off before hands go near. A servo without power lets go of its load, so hold the load up first.",
    "The emergency stop is hardware that removes power: never this program, and never a lighting-control channel.",
    "Do a risk assessment (ISO 12100 names the method). Follow local codes, and leave mains wiring, rigging, rides "
    "and whatever else they reserve to licensed people.",
)
