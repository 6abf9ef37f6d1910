"""Whether parts of a prop can strike: distances at poses, and what is proved of them."""

from __future__ import annotations

from posekit.clearance.distance import Asked, Separation, distances, separation, separations
from posekit.clearance.pairs import pairs
from posekit.clearance.solids import Solids, solids

__all__ = ["Asked", "Separation", "Solids", "distances", "pairs", "separation", "separations", "solids"]
