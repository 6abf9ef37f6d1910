"""What is said of each pair of links over everything the end points allow."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from posekit.clearance.left_out import LeftOut
from posekit.errors import Finding

Verdict = Literal["clear", "near", "strikes", "open"]
VERDICTS: tuple[Verdict, ...] = ("strikes", "open", "near", "clear")  # the gravest first


@dataclass(frozen=True, slots=True)
class PairVerdict:
    """The verdict on one pair of links.

    clear: at every combination of values, and on the way between them, the links are at least
    `clear_by_mm` apart, which is the margin or more: proved. near: they are at least `clear_by_mm` apart,
    proved, and more above 0, but the margin is not kept or cannot be proved; `witness` are the nearest values
    met, `nearest_mm` apart or, on the way between values, nearer. strikes: the values in `witness`, one for
    each drive, make them touch or overlap. open: neither was proved. `drives` are those that matter.
    `open_fraction` is the part of the range that is not proved to keep them apart, `nearest_mm` the least
    distance met. `joints` are the moving joints on the way from one link to the other, `cells` how many
    boxes of positions were judged. `finished` is false where the time ran out or the work was stopped,
    `kept` true where the verdict is one of before.
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
    kept: bool = False

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
    """The verdicts on pairs of a prop, in the order of `posekit.clearance.pairs`.

    What is not among them was not judged: `left_out`. `findings` tell of kept verdicts.
    """

    prop: str
    margin_mm: float
    resolution_deg: float
    pairs: tuple[PairVerdict, ...]
    left_out: tuple[LeftOut, ...] = ()
    findings: tuple[Finding, ...] = ()

    @property
    def finished(self) -> bool:
        """Whether every pair was judged to the end."""
        return all(pair.finished for pair in self.pairs)

    @property
    def all_clear(self) -> bool:
        """Whether every pair is clear and none was left out."""
        return not self.left_out and all(pair.verdict == "clear" for pair in self.pairs)

    def of(self, verdict: Verdict) -> tuple[PairVerdict, ...]:
        """The pairs with this verdict."""
        return tuple(pair for pair in self.pairs if pair.verdict == verdict)
