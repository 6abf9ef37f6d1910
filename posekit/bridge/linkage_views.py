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
