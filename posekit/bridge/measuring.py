"""Measuring at the bench: each public method of `Measuring` is one request that the page can make."""

from __future__ import annotations

import numpy as np

from posekit.authoring.measured import measured_findings, with_measured
from posekit.authoring.parts import drive_named, must_be_there
from posekit.bridge.bench_views import FitView, MeasuredRow, MeasuredView, Pair, SentView
from posekit.bridge.overtaking import newest_wins
from posekit.bridge.view_of_prop import finding_views
from posekit.bridge.views import PropView
from posekit.bridge.workbench import Workbench
from posekit.errors import PosekitError, error
from posekit.prop.model import Servo
from posekit.signal.calibration import NEUTRAL_US, asked_pulse, servo_of, shaft_angle
from posekit.signal.fit import Fit, fit
from posekit.signal.measured import Typed, pair_of, pasted

SENT = 9  # values to measure at: enough to outvote a wrong reading, few enough to be done in minutes
SUBJECT = "what was measured"


class Measuring:
    """A table of measured pulses and angles for a servo type of the prop on a workbench."""

    def __init__(self, workbench: Workbench) -> None:
        self._workbench = workbench

    @newest_wins
    def measured(self, servo: str, rows: tuple[tuple[str, str], ...]) -> MeasuredView:
        """The fit of the rows as they are typed, pulse [us] and angle [degrees]; the same as `posekit fit` makes."""
        prop = self._workbench.prop
        must_be_there(prop, "servos", servo)
        pairs = [pair_of(row) for row in rows]
        good = _good(pairs)
        try:
            fitted = fit(good, SUBJECT) if good else None
        except PosekitError as refused:
            views = tuple(_unfitted(row, pair) for row, pair in zip(rows, pairs, strict=True))
            return MeasuredView(views, None, finding_views(prop, refused.findings))
        if fitted is None:
            return MeasuredView(tuple(map(_unfitted, rows, pairs)), None, ())
        told = (*fitted.findings, *measured_findings(prop, servo, fitted))
        now = next(each for each in prop.servos if each.name == servo)
        return MeasuredView(
            _rows(rows, pairs, fitted), _fit_view(now, good, fitted), finding_views(prop, told)
        )

    def pasted(self, text: str) -> tuple[tuple[str, str], ...]:
        """The rows of two columns copied from a spreadsheet or a CSV file."""
        return pasted(text)

    def to_measure(self, drive: str) -> tuple[SentView, ...]:
        """Values of a drive from end point to end point, with the pulse that its servo gets for each."""
        found = drive_named(self._workbench.prop, drive)
        values = np.unique(np.linspace(0, found.full_scale, SENT).round().astype(int))
        pulse = np.clip(asked_pulse(values, found), *servo_of(self._workbench.prop, found).pulse_range)
        return tuple(
            SentView(str(value), f"{us:.1f}".removesuffix(".0"))
            for value, us in zip(values.tolist(), pulse.tolist(), strict=True)
        )

    def take_measured(self, servo: str, rows: tuple[tuple[str, str], ...]) -> PropView:
        """Take the fit of the rows as the points of a servo type. Rows that are wrong or half are refused."""
        pairs = [pair_of(row) for row in rows]
        wrong = [
            error("bad-row", f"row {row}", pair if isinstance(pair, str) else "has no pulse or no angle")
            for row, (typed, pair) in enumerate(zip(rows, pairs, strict=True), 1)
            if not isinstance(pair, tuple) and any(cell.strip() for cell in typed)
        ]
        if wrong:
            raise PosekitError(wrong)
        return self._workbench.take(with_measured(self._workbench.prop, servo, _good(pairs)))


def _good(pairs: list[tuple[float, float] | str | None]) -> list[Pair]:
    return [pair for pair in pairs if isinstance(pair, tuple)]


def _unfitted(row: Typed, pair: tuple[float, float] | str | None) -> MeasuredRow:
    if isinstance(pair, str):
        return MeasuredRow("wrong", None, None, None, pair)
    if pair is None:
        return MeasuredRow("half" if any(cell.strip() for cell in row) else "empty", None, None, None, "")
    return MeasuredRow("used", *pair, None, "")


def _rows(
    rows: tuple[Typed, ...], pairs: list[tuple[float, float] | str | None], fitted: Fit
) -> tuple[MeasuredRow, ...]:
    """The rows with what the fit made of those that are pairs."""
    pulses = {us for us, _ in fitted.points}
    made = []
    at = 0
    for row, pair in zip(rows, pairs, strict=True):
        if not isinstance(pair, tuple):
            made.append(_unfitted(row, pair))
            continue
        off = float(fitted.residuals_deg[at])
        if at in fitted.outliers:
            made.append(MeasuredRow("left_out", *pair, off, "left out"))
        elif pair[0] in pulses:
            made.append(MeasuredRow("used", *pair, off, ""))
        else:
            made.append(MeasuredRow("merged", *pair, off, "merged"))
        at += 1
    return tuple(made)


def _fit_view(now: Servo, good: list[Pair], fitted: Fit) -> FitView:
    pulses = sorted({us for us, _ in good})
    ends = (pulses[0], pulses[-1])
    line = tuple((us, fitted.neutral_deg + fitted.slope * (us - NEUTRAL_US)) for us in ends)
    stands = shaft_angle(pulses, now)
    kept = np.delete(fitted.residuals_deg, list(fitted.outliers))
    turn = fitted.slope * 1000.0
    return FitView(
        points=fitted.points,
        line=(line[0], line[1]),
        now=tuple(zip(pulses, stands.tolist(), strict=True)),
        line_text=f"{turn:.1f}° for 1000 µs, {fitted.neutral_deg:+.1f}° at 1500 µs".replace("-", "−"),
        worst_deg=float(np.abs(kept).max()),
    )
