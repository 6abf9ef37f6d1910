"""What is not checked, as the page lists it."""

from __future__ import annotations

from collections.abc import Iterable

from posekit.bridge.views import LeftOutView
from posekit.clearance.left_out import LeftOut, grouped


def left_out_views(left_out: Iterable[LeftOut]) -> tuple[LeftOutView, ...]:
    """What is not checked, what has one reason and one part in common said once."""
    return tuple(LeftOutView(parts, why) for parts, why in grouped(left_out))
