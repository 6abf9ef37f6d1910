"""The units that files of others are drawn in."""

from __future__ import annotations

MM_PER_UNIT = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "inch": 25.4}  # the inch is exact by definition (ISO 31-1)
