"""One pose of one prop, every arrow of the flow by name."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from posekit.arrays import Array
from posekit.errors import Finding
from posekit.mechanism.joints import Solved
from posekit.prop.model import Prop


@dataclass(frozen=True, slots=True)
class Pose:
    """Values, pulses [us] and shaft angles [deg] by drive, positions [deg | mm] by joint, links by name.

    `links` are 4x4 world_from_link, mm. `findings` is what this pose has to tell. `solved` are positions as arrays
    (P = 1), with what hard stops and dead points change of them.
    """

    values: Mapping[str, int]
    pulses: Mapping[str, float]
    shafts: Mapping[str, float]
    joints: Mapping[str, float]
    links: Mapping[str, Array]
    findings: tuple[Finding, ...]
    solved: Solved = field(repr=False, compare=False)

    def positions(self, prop: Prop) -> Array:
        """Joint positions as the batched functions take them: (1, J)."""
        return np.array([[self.joints[joint.name] for joint in prop.joints]]).reshape(1, -1)
