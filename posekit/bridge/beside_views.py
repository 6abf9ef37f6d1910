"""What crosses the door about two poses beside each other; numbers are written as people read them."""

from __future__ import annotations

from dataclasses import dataclass

from posekit.bridge.views import Floats


@dataclass(frozen=True, slots=True)
class DifferenceRow:
    """A drive or a joint that differs: what it is with, left, right, and by how much; `part` is what it moves."""

    name: str
    of: str
    left: str
    right: str
    by: str
    part: str | None


@dataclass(frozen=True, slots=True)
class BesideView:
    """Two poses: their links (L, 16) each as in a pose, and what differs in values and in positions of joints."""

    left: Floats
    right: Floats
    drives: tuple[DifferenceRow, ...]
    joints: tuple[DifferenceRow, ...]
    sentence: str
