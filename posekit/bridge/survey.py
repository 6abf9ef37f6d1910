"""What can be asked about strikes: each public method of `Survey` is one request that the page can make."""

from __future__ import annotations

from collections.abc import Callable, Generator
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from posekit.arrays import Array
from posekit.bridge import picture
from posekit.bridge.overtaking import in_steps, newest_wins
from posekit.bridge.steps import Resumed, Steps
from posekit.bridge.strike_views import JudgedView, NearPair, NearView, SurveyView
from posekit.bridge.view_of_left_out import left_out_views
from posekit.bridge.view_of_prop import finding_views
from posekit.bridge.views import FileView, Values
from posekit.bridge.workbench import Workbench, row
from posekit.clearance.left_out import summary
from posekit.clearance.verdict import VERDICTS
from posekit.errors import PosekitError, error
from posekit.prop.model import Prop
from posekit.report.pose import near_findings, near_steps_at
from posekit.stepwise import telling
from posekit.text import printable

if TYPE_CHECKING:
    from posekit.report.envelope import EnvelopeProgress, EnvelopeReport

SVG_TYPE = "image/svg+xml"
TOLERANCE_MM = 0.01  # finer than the page writes a distance
STEP_CELLS = 512  # some tens of milliseconds in a browser, so that progress and a stop come between

Told = Callable[[], SurveyView]  # how far it is, made into what the page sees only where somebody looks


class Survey:
    """Strikes of the prop on a workbench: in a pose, and over all that its end points allow."""

    def __init__(self, workbench: Workbench) -> None:
        self._workbench = workbench
        self._steps: Steps[Told, SurveyView] | None = None
        self._preparing: Resumed[JudgedView] = Resumed()
        self._nearing: Resumed[NearView] = Resumed()

    @in_steps
    def prepare(self, seconds: float) -> JudgedView | None:
        """Get the parts ready to be judged, for about so long; what is judged, or null: there is more to do.

        What first asks for distances would do all of it at once, and a pose would wait for that.
        """
        return self._preparing.go_on(self._workbench.prop, (), lambda: _judged(self._workbench), seconds)

    @in_steps
    def near(self, values: Values, seconds: float) -> NearView | None:
        """The pairs of parts that are below the margin at these values, those that overlap first.

        Looked for during about so long, so that poses come between; null: ask for the same again, to go on.
        """
        prop = self._workbench.prop
        at = row(prop, values)
        return self._nearing.go_on(prop, at.tolist(), lambda: _near(self._workbench, at), seconds)

    def survey(self, resolution: float = 1.0) -> SurveyView:
        """Begin the envelope: a verdict on every pair, down to boxes of `resolution` [deg | mm]."""
        workbench = self._workbench
        self._steps = Steps(lambda: _surveyed(workbench, resolution))
        return self._steps.go_on()()

    def survey_on(self, seconds: float) -> SurveyView:
        """Go on with the envelope for about so long."""
        try:
            return self._running().go_on(seconds)()
        except StopIteration as finished:
            return self._finish(finished)

    def survey_stop(self) -> SurveyView:
        """End the envelope now: what is not settled is told as open, with what is left of it."""
        try:
            # Ends: with the steps, which end as the searches do.
            while True:
                self._running().stop()
        except StopIteration as finished:
            return replace(self._finish(finished), stopped=True)

    @newest_wins
    def strike_map(self, pair: tuple[str, str], values: Values) -> FileView:
        """Where a pair strikes over its two most telling channels, all else standing at these values, as SVG."""
        from posekit.clearance.slices import slice_through
        from posekit.report.map import map_of  # with xml, which a page fetches only for the first map

        prop = self._workbench.prop
        at = {drive.name: values.get(drive.name, drive.rest_value) for drive in prop.drives}
        drawn = map_of(prop, slice_through(prop, pair, at))
        return FileView(f"{printable(pair[0])}-{printable(pair[1])}.svg", SVG_TYPE, drawn.encode())

    def _running(self) -> Steps[Told, SurveyView]:
        if self._steps is None:
            raise PosekitError([error("no-survey", "", "no envelope has been started")])
        return self._steps

    def _finish(self, finished: StopIteration) -> SurveyView:
        self._steps = None
        view: SurveyView = finished.value
        return view


def _judged(workbench: Workbench) -> Generator[None, None, JudgedView]:
    watched = yield from workbench.watching
    return JudgedView(summary(len(watched.pairs), watched.left_out), left_out_views(watched.left_out))


def _near(workbench: Workbench, values: Array) -> Generator[None, None, NearView]:
    """What is near at values (D,), in small steps."""
    prop = workbench.prop
    watched = yield from workbench.watching
    found = yield from near_steps_at(prop, watched, workbench.posed(values), TOLERANCE_MM)
    points = np.array([[near.point_a, near.point_b] for near in found]).reshape(-1, 2, 3)
    return NearView(
        pairs=tuple(NearPair(near.pair, near.mm, near.depth_mm) for near in found),
        findings=finding_views(prop, near_findings(prop, found)),
        points=picture.points(points).astype(np.float32),
    )


def _surveyed(workbench: Workbench, resolution: float) -> Generator[Told, bool | None, SurveyView]:
    """The report on the envelope in small steps, as the page sees it. Sending True stops it."""
    # When it is needed: what is near in a pose is told the sooner.
    from posekit.report.envelope import report_steps

    prop = workbench.prop
    nothing = SurveyView("judging", resolution, prop.clearance.margin, 0, 0, 0.0, "", (), (), (), (), False)
    watched = yield from telling(workbench.watching, lambda: nothing)
    view = replace(nothing, left_out=left_out_views(watched.left_out))
    steps = report_steps(prop, resolution=resolution, step_cells=STEP_CELLS, watched=watched)
    last: EnvelopeProgress | None = None
    stop: bool | None = None
    # Ends: with the steps, which end as the searches do.
    while True:
        try:
            last = steps.send(stop)
        except StopIteration as end:
            return _done(prop, view if last is None else _so_far(prop, view, last), end.value)
        stop = yield partial(_so_far, prop, view, last)


def _so_far(prop: Prop, view: SurveyView, state: EnvelopeProgress) -> SurveyView:
    return replace(
        view,
        phase=state.phase,
        pairs=state.verdicts.pairs,
        cells=state.verdicts.cells,
        seconds=state.seconds,
        settled=state.verdicts.settled,
        findings=finding_views(prop, state.findings),
    )


def _done(prop: Prop, view: SurveyView, report: EnvelopeReport) -> SurveyView:
    # A verdict has its own place in the page, with what can be done about it.
    beside = [finding for finding in report.findings if finding.code not in VERDICTS]
    return replace(
        view,
        phase="done",
        pairs=len(report.envelope.pairs),
        summary=report.summary,
        settled=report.envelope.pairs,
        suggestions=report.suggestions,
        findings=finding_views(prop, beside),
    )
