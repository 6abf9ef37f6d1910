"""Whether parts of a prop can strike: distances at poses, and what is proved of them."""

from __future__ import annotations

from posekit.clearance.certify import Cache, Progress, envelope, envelope_steps
from posekit.clearance.distance import Asked, Separation, distances, separation, separations
from posekit.clearance.ends import end_findings
from posekit.clearance.nearest import Near, near_finding, nearest
from posekit.clearance.pairs import pair_rows, pairs
from posekit.clearance.solids import Solids, solids
from posekit.clearance.verdict import Envelope, PairVerdict, Suggestion

__all__ = [
    "Asked", "Cache", "Envelope", "Near", "PairVerdict", "Progress", "Separation", "Solids", "Suggestion",
    "distances", "end_findings", "envelope", "envelope_steps", "near_finding", "nearest", "pair_rows", "pairs",
    "separation", "separations", "solids",
]
