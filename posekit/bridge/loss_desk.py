"""What can be asked of servos that let go: each public method of `LossDesk` is one request of the page."""

from __future__ import annotations

from collections.abc import Generator, Mapping
from dataclasses import dataclass, field, replace

import numpy as np

from posekit.arrays import Array
from posekit.bridge import picture
from posekit.bridge.loss_views import FallView, LossView, LyingView
from posekit.bridge.steps import Steps
from posekit.bridge.view_of_left_out import left_out_views
from posekit.bridge.view_of_prop import finding_views, named
from posekit.bridge.views import Floats, Values
from posekit.bridge.workbench import Workbench, row
from posekit.errors import PosekitError, error
from posekit.mechanism.joints import Mechanism, solve
from posekit.mechanism.kinematics import forward
from posekit.prop.model import Prop
from posekit.report.letting_go import LetGo, Lying, Touch
from posekit.report.letting_go_told import grave_touches
from posekit.report.loss import LossReport, LossState, loss_steps
from posekit.report.loss_words import (
    NO_ORDER,
    fall_row,
    lying_rows,
    signal_rows,
    signal_way,
    watched,
)
from posekit.stepwise import telling
from posekit.text import printable


@dataclass(slots=True)
class _Looked:
    """A look at what falls, and how far it is.

    `poses` are the shaft angles [deg] of those for the picture.
    """

    workbench: Workbench
    prop: Prop
    mechanism: Mechanism
    view: LossView
    worst: tuple[list[int] | None, ...]
    poses: list[Array] = field(default_factory=list)
    steps: Steps[LossState, LossReport] = field(init=False)

    def __post_init__(self) -> None:
        self.steps = Steps(self.begun)

    def begun(self) -> Generator[LossState, None, LossReport]:
        """The report in small steps."""
        values = row(self.prop, self.view.values)
        watched = yield from telling(self.workbench.watching, LossState((), 0.0))
        steps = loss_steps(self.prop, values, lambda: self.view.stopped, self.worst, watched)
        return (yield from steps)


class LossDesk:
    """What becomes of the prop on a workbench when servos let go, and when values stop coming."""

    def __init__(self, workbench: Workbench) -> None:
        self._workbench = workbench
        self._looked: _Looked | None = None

    def lose(self, values: Values, worst: Mapping[str, Values]) -> LossView:
        """Begin to look at what becomes of the pose at these values.

        `worst` has, of drives that may not sleep, the values with which each holds most.
        """
        prop = self._workbench.prop
        begin = named(prop, row(prop, values))
        most = tuple(
            [round(each) for each in row(prop, worst[drive.name]).tolist()] if drive.name in worst else None
            for drive in prop.drives
        )
        nothing = np.empty((0, len(prop.links), 16), np.float32)
        view = LossView("looking", 0.0, False, begin, (), (), None, (), None, nothing, "", (), ())
        self._looked = _Looked(self._workbench, prop, self._workbench.mechanism, view, most)
        return self.lose_on(0.0)

    def lose_on(self, seconds: float) -> LossView:
        """Go on for about so long; at least by one step."""
        looked = self._looking()
        try:
            state = looked.steps.go_on(seconds)
        except StopIteration as finished:
            looked.view = _done(looked, finished.value)
            return looked.view
        except PosekitError:
            self._looked = None  # what has raised has ended
            raise
        looked.poses = []
        drives = tuple(_fall(looked, each) for each in state.drives)
        looked.view = replace(looked.view, share=state.share, drives=drives, links=_links(looked))
        return looked.view

    def lose_stop(self) -> LossView:
        """Look at no further way for strikes; where all falls and comes to rest is told if that is found at once."""
        looked = self._looking()
        looked.view = replace(looked.view, stopped=True)
        return self.lose_on(0.0)

    def _looking(self) -> _Looked:
        if self._looked is None or self._looked.view.phase == "done":
            raise PosekitError([error("no-look", "", "no look at what falls has been started")])
        return self._looked


def _done(looked: _Looked, report: LossReport) -> LossView:
    prop, signal = report.prop, report.signal
    looked.poses = []
    drives = tuple(_fall(looked, each) for each in report.drives)
    worst = tuple(
        _fall(looked, each, named(prop, values))
        for each, values in zip(report.worst, looked.worst, strict=True)
        if each is not None and values is not None
    )
    together = _lying(looked, report, report.all_at_once, NO_ORDER)
    after = None if signal.lies is None else _lying(looked, report, signal.lies, signal_way(report))
    return replace(
        looked.view,
        phase="done",
        share=1.0,
        drives=drives,
        worst=worst,
        all_at_once=together,
        signal=signal_rows(report),
        after=after,
        links=_links(looked),
        watched=watched(report.pairs, report.left_out),
        left_out=left_out_views(report.left_out),
        findings=finding_views(prop, report.findings),
    )


def _fall(looked: _Looked, each: LetGo, values: Values | None = None) -> FallView:
    own = each.fall
    _, *told = fall_row(looked.prop, each)
    then, goes, rests, way = (printable(words) for words in told)
    known, falls, grave = own.what != "unknown", own.what == "falls", grave_touches(each)
    struck = _posed(looked, _at(looked.prop, each, grave[0])) if grave else None
    rest = _posed(looked, own.rest) if falls else None
    return FallView(each.drive, then, goes, rests, way, known, falls, bool(grave), rest, struck, values)


def _at(prop: Prop, each: LetGo, touch: Touch) -> Array:
    """The shaft angles (D,) [deg] at which two parts touch on the way of a fall."""
    shafts = each.fall.start.copy()
    shafts[[drive.name for drive in prop.drives].index(each.drive)] = touch.shaft_deg
    return shafts


def _lying(looked: _Looked, report: LossReport, lies: Lying, way: str) -> LyingView:
    rest = np.array([lies.shaft_deg[drive.name] for drive in report.prop.drives])
    rows = tuple((what, printable(found)) for what, found in lying_rows(report, lies, way))
    return LyingView(rows, _posed(looked, rest) if lies.rests else None)


def _posed(looked: _Looked, shafts_deg: Array) -> int:
    """The number among the poses of the picture of this one more."""
    looked.poses.append(shafts_deg)
    return len(looked.poses) - 1


def _links(looked: _Looked) -> Floats:
    """All poses of the picture (N, L, 16)."""
    shafts = np.array(looked.poses).reshape(len(looked.poses), len(looked.prop.drives))
    positions = solve(looked.prop, shafts, looked.mechanism).position
    return picture.matrices(forward(looked.prop, positions, looked.mechanism.tree))
