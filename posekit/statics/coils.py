"""How far the torque of a straight spring can differ, within a box of joint positions, from that at its middle.

For joints j and k between its two ends, whose ends lie r from them, the torque at j changes with k by at most
K r_j r_k + F r of the inner one: F is the most force in the box and K the stiffness, its rate, and where it is pushed
together to less than half its free length more across its line. Nor can it differ by more than 2 F r_j.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from posekit.arrays import Array
from posekit.mechanism.tree import way_to_root
from posekit.prop.model import Prop
from posekit.statics.burden import M_PER_MM, Coil


@dataclass(frozen=True, slots=True)
class Hold:
    """One spring and the joints between its ends: `arm` (J,) [mm, 1 for slides, 0 elsewhere], the most over all poses.

    `inner` (J, J) [mm] is the arm of the inner of two joints at one end, 0 for any others.
    """

    coil: Coil
    arm: Array
    inner: Array


def holds_of(prop: Prop, coils: tuple[Coil, ...], far: Array) -> tuple[Hold, ...]:
    """The springs of a prop whose slides stand no further than `far` (J,) [mm] from 0."""
    return tuple(_hold(prop, coil, far) for coil in coils)


def _hold(prop: Prop, coil: Coil, far: Array) -> Hold:
    column = {joint.name: j for j, joint in enumerate(prop.joints)}
    ways = [way_to_root(prop, prop.links[i].name) for i in coil.links.tolist()]
    # Ends: both ways grow shorter.
    while ways[0] and ways[1] and ways[0][-1] is ways[1][-1]:
        ways[0].pop()
        ways[1].pop()
    arm, inner = np.zeros(len(prop.joints)), np.zeros((len(prop.joints),) * 2)
    for way, end in zip(ways, coil.ends, strict=True):
        length = float(np.linalg.norm(end))
        passed: list[int] = []
        for joint in way:
            j = column.get(joint.name, -1)
            if j >= 0:
                turns = joint.type == "revolute"
                arm[j] = length if turns else 1.0 / M_PER_MM
                passed.append(j)
                for k in passed:
                    inner[j, k] = inner[k, j] = arm[k] if turns else 0.0
                length += 0.0 if turns else float(far[j])
            length += float(np.linalg.norm(joint.at))
    return Hold(coil, arm, inner)


def spring_play(hold: Hold, length_mm: Array, delta: Array, weight: Array) -> tuple[Array, Array]:
    """How far the torque can differ (N,) [N*m] and what each joint adds to it (N, J).

    `length_mm` (N,) is that of the spring in the middle of each box, `delta` (N, J) the half widths [rad | m] and
    `weight` (J,) how much of each joint's torque is asked about.
    """
    wander = delta @ hold.arm  # mm
    most = hold.coil.rate_n_mm * (np.abs(length_mm - hold.coil.free_mm) + wander)
    stiff = np.full(len(length_mm), hold.coil.rate_n_mm)
    if hold.coil.pushes:
        with np.errstate(divide="ignore"):
            squeezed = hold.coil.free_mm / np.maximum(length_mm - wander, 0.0) - 1.0
        stiff = hold.coil.rate_n_mm * np.maximum(1.0, squeezed)
    bends = np.abs(weight) @ hold.inner
    reach = float(np.abs(weight) @ hold.arm)
    with np.errstate(invalid="ignore"):
        by_joint = (stiff[:, None] * (reach * hold.arm) + most[:, None] * bends) * delta * M_PER_MM
    whole = 2.0 * most * reach * M_PER_MM
    by_joint = np.where(np.isfinite(by_joint), by_joint, whole[:, None])
    return np.minimum(by_joint.sum(axis=1), whole), by_joint
