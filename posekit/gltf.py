"""Props as GLB files, posed or moving. Written whole or not at all."""

from __future__ import annotations

from pathlib import Path

from numpy.typing import ArrayLike

from posekit.mechanism.pose import Pose
from posekit.output import gltf
from posekit.prop.model import Prop
from posekit.prop.writer import write_whole


def write(prop: Prop, state: Pose, path: str | Path) -> None:
    """Write the prop in this pose as a GLB; `posekit.load` reads the prop back from it."""
    write_whole(path, gltf.encode(prop, state))


def write_motion(
    prop: Prop,
    times_s: ArrayLike,
    positions: ArrayLike,
    path: str | Path,
    state: Pose | None = None,
) -> None:
    """Write the prop with an animation through positions (T, J) [deg | mm] at times (T,) [s]."""
    write_whole(path, gltf.animate(prop, times_s, positions, state))
