"""Joint positions over time as the animation of a GLB."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike, NDArray

from posekit.arrays import Array
from posekit.errors import PosekitError, error
from posekit.mechanism.kinematics import forward
from posekit.output.gltf.binary import Binary
from posekit.output.gltf.frames import continuous, parent_from_links, quaternion, translation
from posekit.output.gltf.scene import FIRST_LINK
from posekit.prop.model import Prop
from posekit.text import exact

if TYPE_CHECKING:
    from pygltflib import Animation

# Between two keys a viewer takes the short way round, and some cut the corner: keys no further apart.
WIDEST_STEP_DEG = 30.0
# Beyond a kilometre, or thousands of turns, it is a mistake, and the keys between would fill the memory.
FARTHEST = 1e6  # deg | mm
LATEST = float(np.finfo(np.float32).max)  # s; keys are float32


def animations(prop: Prop, binary: Binary, times_s: Array, positions: Array) -> list[Animation]:
    """One animation, `motion`, of the nodes that move; none if nothing does. Times (T,), positions (T, J)."""
    from pygltflib import ANIM_LINEAR, Animation, AnimationChannel, AnimationChannelTarget, AnimationSampler

    moving = [j for j in range(len(prop.joints)) if np.ptp(positions[:, j]) > 0]
    if not moving:
        return []
    key_times, key_positions = _with_keys_between(prop, times_s, positions)
    local = parent_from_links(prop, forward(prop, key_positions))
    row = {link.name: i for i, link in enumerate(prop.links)}
    clock = binary.keys(increasing_float32(key_times))
    animation = Animation(name="motion")
    for j in moving:
        link = row[prop.joints[j].child]
        if prop.joints[j].type == "revolute":
            path, keys = "rotation", continuous(quaternion(local[:, link]))
        else:
            path, keys = "translation", translation(local[:, link])
        sampler = AnimationSampler(input=clock, output=binary.keys(keys), interpolation=ANIM_LINEAR)
        target = AnimationChannelTarget(node=FIRST_LINK + link, path=path)
        animation.channels.append(AnimationChannel(sampler=len(animation.samplers), target=target))
        animation.samplers.append(sampler)
    return [animation]


def checked(prop: Prop, times_s: ArrayLike, positions: ArrayLike) -> tuple[Array, Array]:
    """Times (T,) and positions (T, J) as arrays. Raises PosekitError where they make no animation."""
    times, table = _numbers(times_s, "times"), _numbers(positions, "positions")
    wrong = []
    if times.ndim != 1 or not len(times):
        sentence = f"have shape {times.shape}; give at least one, as (T,)"
        wrong.append(error("animation-times", "times", sentence))
    elif not (times <= LATEST).all() or times[0] < 0 or (np.diff(times) <= 0).any():
        sentence = "must be finite, start at 0 s or later and rise strictly"
        wrong.append(error("animation-times", "times", sentence))
    expected = (len(times) if times.ndim else 0, len(prop.joints))
    if table.shape != expected:
        sentence = f"have shape {table.shape}; give (T, J) = {expected}"
        wrong.append(error("animation-positions", "positions", sentence))
    elif not np.isfinite(table).all():
        wrong.append(error("animation-positions", "positions", "must be finite"))
    elif (far := np.abs(table).max(initial=0.0)) > FARTHEST:
        sentence = f"go as far as {exact(far)}; use {exact(FARTHEST)} deg or mm at most"
        wrong.append(error("animation-positions", "positions", sentence))
    if wrong:
        raise PosekitError(wrong)
    return times, table


def _numbers(given: ArrayLike, what: str) -> Array:
    try:
        return np.asarray(given, float)
    except (TypeError, ValueError) as problem:
        sentence = f"are not an array of numbers ({problem}); give times (T,) in s and positions (T, J)"
        raise PosekitError([error(f"animation-{what}", what, sentence)]) from problem


def _with_keys_between(prop: Prop, times_s: Array, positions: Array) -> tuple[Array, Array]:
    """Times and positions with keys added on the straight line, so that no joint turns far between two."""
    turning = [j for j, joint in enumerate(prop.joints) if joint.type == "revolute"]
    step = np.abs(np.diff(positions[:, turning], axis=0)).max(axis=1, initial=0.0)
    parts = np.maximum(np.ceil(step / WIDEST_STEP_DEG), 1).astype(int)
    interval = np.repeat(np.arange(len(parts)), parts)
    share = (np.arange(len(interval)) - np.repeat(np.cumsum(parts) - parts, parts)) / parts[interval]
    given = np.arange(len(times_s))
    wanted = np.append(interval + share, given[-1])
    between = [np.interp(wanted, given, column) for column in (times_s, *positions.T)]
    return between[0], np.column_stack(between[1:])


def increasing_float32(times_s: Array) -> NDArray[np.float32]:
    """The times as float32, the fewest of them moved on so that they still rise strictly."""
    # The bits of a float that is not negative, read as an integer, count up from float to float.
    bits = (times_s.astype(np.float32) + np.float32(0)).view(np.int32).astype(np.int64)
    count = np.arange(len(bits))
    return (np.maximum.accumulate(bits - count) + count).astype(np.int32).view(np.float32)
