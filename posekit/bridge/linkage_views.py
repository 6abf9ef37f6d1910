"""What the page sees of linkages: the bodies that it draws, what a pull changes, the figures that follow."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from posekit.bridge.views import FindingView, Floats, Range, Setting


@dataclass(frozen=True, slots=True)
class BodyView:
    """One body that is drawn: see `linkage.bodies.Body`. `radius` is in metres; `grip` is empty where it is none."""

    name: str
    form: Literal["bar", "wheel"]
    radius: float
    grip: str


@dataclass(frozen=True, slots=True)
class LinkageView:
    """A linkage of the picture: its bodies stand in `linkages` of a pose from number `first` on.

    `beside` says in words why it stands beside its joint and how to place it; empty where it stands in its place.
    """

    drive: str
    joint: str
    first: int
    bodies: tuple[BodyView, ...]
    beside: str


@dataclass(frozen=True, slots=True)
class LinkagesView:
    """All linkages of the open prop, in the order of the drives."""

    linkages: tuple[LinkageView, ...]


@dataclass(frozen=True, slots=True)
class FiguresView:
    """What a linkage does between the end points: see `mechanism.range_check.LinkageReport`.

    `unit` is that of the joint; null stands for what there is none of: a dead point, a rod. `advantage` is Nm at the
    joint for each Nm of the shaft, or N for a slide, least and most; null where it has no bound. `findings` are those
    of the linkage alone.
    """

    drive: str
    joint: str
    unit: Literal["deg", "mm"]
    kind: str
    turns: str | None
    reach: Range
    dead_points_deg: tuple[float | None, float | None]
    transmission_deg: float | None
    advantage: tuple[float | None, float | None]
    findings: tuple[FindingView, ...]


@dataclass(frozen=True, slots=True)
class DragView:
    """A linkage with a grip pulled elsewhere, which is not yet part of the prop.

    `changes` are the keys of the prop file that would make it so; `points` (B, 3, 3) its bodies as in a pose, `links`
    (L, 16) where the parts would stand. `refused` says why it cannot be; then all else is as it was.
    """

    changes: Mapping[str, Setting]
    points: Floats
    links: Floats
    figures: FiguresView | None
    refused: tuple[FindingView, ...]


@dataclass(frozen=True, slots=True)
class CandidateView:
    """A linkage that was found: see `synthesis.candidate.Candidate`. `made_of` says what to buy and drill."""

    type: str
    dimensions: Mapping[str, Setting]
    made_of: str
    reach: Range
    transmission_deg: float
    bend: float
    dead_deg: float | None
    torque: Range
    off: float


@dataclass(frozen=True, slots=True)
class SearchView:
    """Where a search is: `doing` in words, and all that was found so far, the best pushers first."""

    done: bool
    doing: str
    candidates: tuple[CandidateView, ...]
    findings: tuple[FindingView, ...]


@dataclass(frozen=True, slots=True)
class PreviewView:
    """The prop with a linkage that was found, at S steps of its drive: links (S, L, 16) and `points` (S, B, 3, 3)."""

    linkages: tuple[LinkageView, ...]
    links: Floats
    points: Floats
