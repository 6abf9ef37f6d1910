"""What one snapshot looks like: pulses, shafts, joints, links, clearance, and all there is to tell of it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from posekit.clearance.distance import distances
from posekit.clearance.nearest import Near, near_finding, nearest
from posekit.clearance.pairs import pair_rows, pairs
from posekit.clearance.solids import Solids, solids
from posekit.errors import Finding, bounded
from posekit.mechanism.pose import Pose
from posekit.pipeline import pose
from posekit.prop.model import Prop
from posekit.signal.snapshot import Snapshot


@dataclass(frozen=True, slots=True)
class PoseReport:
    """A pose with its clearance.

    `clearance` is that of every pair [mm], in the order of `clearance.pairs`; `near` are those below the margin of
    the prop, with depth where they overlap. `findings` are those of the pose and of what is near.
    """

    state: Pose
    clearance: tuple[tuple[tuple[str, str], float], ...]
    near: tuple[Near, ...]
    findings: tuple[Finding, ...]


def pose_report(prop: Prop, snapshot: Snapshot) -> PoseReport:
    """The pose that a snapshot gives, with the distances of its parts.

    Reads the meshes; `posekit.pose` answers without. Raises PosekitError for a mesh that cannot be read.
    """
    state, parts = pose(prop, snapshot), solids(prop)
    near = near_at(prop, parts, state)
    apart = distances(prop, state.positions(prop))[0].tolist()
    return PoseReport(
        state=state,
        clearance=tuple(zip(pairs(prop), apart, strict=True)),
        near=tuple(near),
        findings=bounded([*state.findings, *near_findings(prop, near)]),
    )


def near_at(prop: Prop, parts: Solids, state: Pose, tolerance_mm: float = 1e-6) -> list[Near]:
    """The pairs below the margin in a pose, those that overlap first; `parts` are the `solids` of the prop."""
    world_from_link = np.stack([state.links[link.name] for link in prop.links])
    return nearest(parts, pair_rows(prop), world_from_link, prop.clearance.margin, tolerance_mm)


def near_findings(prop: Prop, near: list[Near]) -> list[Finding]:
    """What to tell of the pairs below the margin."""
    return [near_finding(pair.pair, pair.mm, prop.clearance.margin) for pair in near]
