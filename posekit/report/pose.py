"""What one snapshot looks like: pulses, shafts, joints, links, clearance, and all there is to tell of it."""

from __future__ import annotations

from collections.abc import Generator
from dataclasses import dataclass

import numpy as np

from posekit.arrays import Array
from posekit.clearance.distance import Asked, separations
from posekit.clearance.left_out import LeftOut
from posekit.clearance.near_pairs import Near, near_finding, near_pairs, near_steps
from posekit.clearance.watch import Watch, watch
from posekit.errors import Finding, bounded
from posekit.mechanism.pose import Pose
from posekit.pipeline import pose
from posekit.prop.model import Prop
from posekit.signal.snapshot import Snapshot


@dataclass(frozen=True, slots=True)
class PoseReport:
    """A pose with its clearance.

    `clearance` is that of every pair [mm], in the order of `clearance.pairs`; `near` are those below the margin of
    the prop, with depth where they overlap; `left_out` is what is not judged. `findings` are those of the pose and
    of what is near.
    """

    state: Pose
    clearance: tuple[tuple[tuple[str, str], float], ...]
    near: tuple[Near, ...]
    left_out: tuple[LeftOut, ...]
    findings: tuple[Finding, ...]


def pose_report(prop: Prop, snapshot: Snapshot) -> PoseReport:
    """The pose that a snapshot gives, with the distances of its parts.

    Reads the meshes; `posekit.pose` answers without. Raises PosekitError for a mesh that cannot be read.
    """
    state, watched = pose(prop, snapshot), watch(prop)
    near = near_at(prop, watched, state)
    apart = separations(watched, _placed_links(prop, state)[None], Asked(points=False)).upper[0].tolist()
    return PoseReport(
        state=state,
        clearance=tuple(zip(watched.pairs, apart, strict=True)),
        near=tuple(near),
        left_out=watched.left_out,
        findings=bounded([*state.findings, *near_findings(prop, near)]),
    )


def near_at(prop: Prop, watched: Watch, state: Pose, tolerance_mm: float = 1e-6) -> list[Near]:
    """The pairs below the margin in a pose, those that overlap first; `watched` is the `watch` of the prop."""
    return near_pairs(watched, _placed_links(prop, state), prop.clearance.margin, tolerance_mm)


def near_steps_at(
    prop: Prop, watched: Watch, state: Pose, tolerance_mm: float
) -> Generator[None, None, list[Near]]:
    """`near_at` in small steps, for callers with other work to do."""
    return near_steps(watched, _placed_links(prop, state), prop.clearance.margin, tolerance_mm)


def _placed_links(prop: Prop, state: Pose) -> Array:
    """Where the links are in a pose, (L, 4, 4) [mm]."""
    return np.stack([state.links[link.name] for link in prop.links])


def near_findings(prop: Prop, near: list[Near]) -> list[Finding]:
    """What to tell of the pairs below the margin."""
    return [near_finding(pair.pair, pair.mm, prop.clearance.margin) for pair in near]
