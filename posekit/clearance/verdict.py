"""What is said of each pair of links over everything the end points allow."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

Verdict = Literal["clear", "strikes", "open"]


@dataclass(frozen=True, slots=True)
class PairVerdict:
    """The verdict on one pair of links.

    clear: at every combination of values, and on the way between them, the links are at least
    `clear_by_mm` apart: proved. strikes: the values in `witness`, one for each drive, make them touch or
    overlap; `drives` are those that matter. open: neither was proved. `open_fraction` is the part of the
    range that is not proved clear, `nearest_mm` the least distance met. `joints` are the moving joints on
    the way from one link to the other, `cells` how many boxes of positions were judged. `finished` is
    false where the time ran out or the work was stopped.
    """

    pair: tuple[str, str]
    joints: tuple[str, ...]
    drives: tuple[str, ...]
    verdict: Verdict
    clear_by_mm: float | None
    witness: Mapping[str, int] | None
    open_fraction: float
    nearest_mm: float | None
    cells: int
    finished: bool = True

    @classmethod
    def again(cls, fields: Mapping[str, Any]) -> PairVerdict:
        """A verdict from its fields as JSON gives them back."""
        lists = {name: tuple(fields[name]) for name in ("pair", "joints", "drives")}
        return cls(**{**fields, **lists})

    def as_dict(self) -> dict[str, Any]:
        """The verdict as the command line and the page print it."""
        return {
            "pair": list(self.pair),
            "joints": list(self.joints),
            "verdict": self.verdict,
            "clear_by_mm": self.clear_by_mm,
            "witness": self.witness,
            "open_fraction": self.open_fraction,
            "cells": self.cells,
        }


@dataclass(frozen=True, slots=True)
class Suggestion:
    """One end point that would make some pairs clear by the margin, all else at full range."""

    drive: str
    end: Literal["low", "high"]
    pulse_us: float
    clears: tuple[tuple[str, str], ...]

    def as_dict(self) -> dict[str, Any]:
        """The suggestion as the command line and the page print it."""
        return {
            "drive": self.drive,
            "end": self.end,
            "pulse_us": self.pulse_us,
            "clears": [list(pair) for pair in self.clears],
        }


@dataclass(frozen=True, slots=True)
class Envelope:
    """The verdicts on all pairs of a prop, in the order of `posekit.clearance.pairs`."""

    prop: str
    margin_mm: float
    resolution_deg: float
    pairs: tuple[PairVerdict, ...]
    suggestions: tuple[Suggestion, ...] = ()

    @property
    def finished(self) -> bool:
        """Whether every pair was judged to the end."""
        return all(pair.finished for pair in self.pairs)

    def of(self, verdict: Verdict) -> tuple[PairVerdict, ...]:
        """The pairs with this verdict."""
        return tuple(pair for pair in self.pairs if pair.verdict == verdict)

    def as_dict(self) -> dict[str, Any]:
        """The envelope as the command line and the page print it."""
        return {
            "prop": self.prop,
            "margin_mm": self.margin_mm,
            "resolution_deg": self.resolution_deg,
            "pairs": [pair.as_dict() for pair in self.pairs],
            "suggestions": [suggestion.as_dict() for suggestion in self.suggestions],
        }
