"""What crosses the door of the bench: measured pairs with their fit, and one drive that swings."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from posekit.bridge.show_views import LimitSliders, LimitView
from posekit.bridge.views import FindingView

Pair = tuple[float, float]


@dataclass(frozen=True, slots=True)
class MeasuredRow:
    """One row of the table, and what the fit makes of it.

    empty: nothing is there; half: pulse or angle is missing; wrong: `told` says what would be right; used: a point as
    it is; merged: made one point with its neighbours; left_out: it does not go with the others. `pulse_us` and
    `shaft_deg` are its numbers, `off_deg` how far it lies above the line, all null where there is no fit of it.
    """

    state: Literal["empty", "half", "wrong", "used", "merged", "left_out"]
    pulse_us: float | None
    shaft_deg: float | None
    off_deg: float | None
    told: str


@dataclass(frozen=True, slots=True)
class FitView:
    """The fit of the rows: `points` for the servo type, the straight `line` from the first to the last pulse (two
    points), and the servo as the prop file has it `now` at the same pulses; (us, degrees) each. `line_text` says slope
    and angle at neutral in words.
    """

    points: tuple[Pair, ...]
    line: tuple[Pair, Pair]
    now: tuple[Pair, ...]
    line_text: str
    worst_deg: float


@dataclass(frozen=True, slots=True)
class MeasuredView:
    """The table and its fit; null while the rows give none, `findings` then say why."""

    rows: tuple[MeasuredRow, ...]
    fit: FitView | None
    findings: tuple[FindingView, ...]


@dataclass(frozen=True, slots=True)
class SentView:
    """A value of a drive to send on the bench, and the pulse that its servo gets for it, both as they are written."""

    value: str
    pulse: str


@dataclass(frozen=True, slots=True)
class SwingView:
    """One drive that swings between its end points for as long as it is watched.

    A period takes `period` [s]. `limit` is what it swings under, `own` what the prop file has, `sliders` what it can be
    set to. `findings` are those at the two ends.
    """

    drive: str
    period: float
    limit: LimitView
    own: LimitView
    sliders: LimitSliders
    findings: tuple[FindingView, ...]
