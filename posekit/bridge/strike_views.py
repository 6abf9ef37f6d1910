"""What crosses the door about strikes: clearances in mm, verdicts as the command line tells them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from posekit.bridge.views import FindingView, Floats, LeftOutView
from posekit.clearance.verdict import PairVerdict, Suggestion


@dataclass(frozen=True, slots=True)
class NearPair:
    """Two parts below the margin: `mm` apart, or where that is 0, overlapping by `depth_mm`."""

    pair: tuple[str, str]
    mm: float
    depth_mm: float


@dataclass(frozen=True, slots=True)
class JudgedView:
    """What of the pairs of parts is judged in any pose: `summary` counts them, `left_out` is what is not judged."""

    summary: str
    left_out: tuple[LeftOutView, ...]


@dataclass(frozen=True, slots=True)
class NearView:
    """The pairs below the margin; `points` is (N, 2, 3): the nearest points of either part, in the picture.

    `findings` tell the same in words, beside those of the pose.
    """

    pairs: tuple[NearPair, ...]
    findings: tuple[FindingView, ...]
    points: Floats


@dataclass(frozen=True, slots=True)
class SurveyView:
    """How far the envelope is: the verdicts `settled`, of so many `pairs`; when it is done, all of them.

    `cells` boxes of positions were judged in `seconds`. `left_out` is what is not judged, or only in part. After
    the verdicts it looks for end points that would clear what strikes or is near: `suggestions`, those that clear
    most pairs first. `summary` counts all pairs, once it is done. `findings` tell all but the verdicts. `stopped`: it
    was asked to stop, and what was not settled by then is open.
    """

    phase: Literal["judging", "suggesting", "done"]
    resolution: float
    margin_mm: float
    pairs: int
    cells: int
    seconds: float
    summary: str
    settled: tuple[PairVerdict, ...]
    left_out: tuple[LeftOutView, ...]
    suggestions: tuple[Suggestion, ...]
    findings: tuple[FindingView, ...]
    stopped: bool
