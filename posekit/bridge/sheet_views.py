"""What crosses the door about sheets: progress of cards, and what was measured against what was planned."""

from __future__ import annotations

from dataclasses import dataclass

from posekit.bridge.views import FileView, FindingView


@dataclass(frozen=True, slots=True)
class CardsView:
    """How many setting cards or looks are made, of how many, and the file once all are; null before."""

    done: int
    of: int
    file: FileView | None
    findings: tuple[FindingView, ...]


@dataclass(frozen=True, slots=True)
class ComparedRow:
    """One figure that was measured, as it is written; `differs` if by more than can be measured."""

    drive: str
    figure: str
    planned: str
    measured: str
    off: str
    differs: bool


@dataclass(frozen=True, slots=True)
class ComparedView:
    """A filled-in sheet against the open prop; `summary` counts it in a sentence."""

    rows: tuple[ComparedRow, ...]
    summary: str
    findings: tuple[FindingView, ...]
