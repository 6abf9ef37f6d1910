"""A verdict on a pair of parts, as people are told it."""

from __future__ import annotations

from collections.abc import Mapping

from posekit.clearance.verdict import Verdict

# A sign and a word each, so that colour never carries meaning alone.
SAID: Mapping[Verdict, str] = {
    "clear": "✓ clear",
    "near": "! near",
    "strikes": "✗ strikes",
    "open": "? open",
}
