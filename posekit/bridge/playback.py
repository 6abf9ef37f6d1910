"""What can be asked of a show: each public method of `Playback` is one request that the page can make."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import PurePosixPath

import numpy as np

from posekit import kinds
from posekit.bridge import picture, rehearsal
from posekit.bridge.overtaking import newest_wins
from posekit.bridge.rehearsal import Rehearsal
from posekit.bridge.scene_desk import GLB_TYPE
from posekit.bridge.show_views import (
    CurvesView,
    FramesView,
    ReadingsView,
    ShowView,
    StrikeView,
    SuggestedView,
)
from posekit.bridge.view_of_prop import finding_views
from posekit.bridge.view_of_show import limit_views, limits_from, readings_view, show_view, strike_views
from posekit.bridge.views import FileView, PropView, Setting, Values
from posekit.bridge.workbench import Workbench
from posekit.clearance.moves import Course
from posekit.errors import PosekitError, error
from posekit.kinds import ending
from posekit.motion import Motion, Readings, readings, sampled, suggest
from posekit.prop.folder import SHOWS, place_in
from posekit.prop.model import Prop
from posekit.report.motion import animation, curves_file, strikes_along
from posekit.report.move import course_of
from posekit.stream import cue_edit
from posekit.stream.cue_file import parse
from posekit.toml.places import dotted

CSV_TYPE = "text/csv"


class Playback:
    """The show that is open, on the prop of a workbench."""

    def __init__(self, workbench: Workbench) -> None:
        self._workbench = workbench
        self._open: Rehearsal | None = None
        self._course: tuple[Motion, Course] | None = None
        self._read: tuple[tuple[Prop, str, bytes], Readings] | None = None

    def open_show(self, name: str, data: bytes | None = None) -> ShowView:
        """Open a show: one of the prop's files, or a file of its own with its bytes."""
        if ending(name) in kinds.CAPTURES:
            import dpkt  # noqa: F401  (asked for here, where a page that lacks it is told to fetch it)
        prop = self._workbench.prop
        content = prop.files.get(name) if data is None else data
        if content is None:
            raise PosekitError([error("no-show", name, "is not a show of this prop")])
        if (
            self._open is not None
            and self._open.content == content
            and ending(self._open.name) == ending(name)
        ):
            # The open show under another name, as when it was just kept with the prop.
            self._open = rehearsal.renewed(replace(self._open, name=name), prop)
        else:
            self._open = rehearsal.rehearse(prop, name, content)
        return show_view(self._open, self._workbench.watched.left_out)

    @newest_wins
    def show(self) -> ShowView:
        """The open show, followed by the prop as it is now."""
        return show_view(self._now(), self._workbench.watched.left_out)

    def frames(
        self, begin: float, step: float, count: int, commanded: bool, linkages: bool = False
    ) -> FramesView:
        """Poses to play: `count` of them, `step` [s] apart; with those sent to, and with linkages, if asked for."""
        now = self._now()
        times = begin + step * np.arange(count)
        made = self._workbench.mechanism
        shafts = now.motion.position(times)
        places = rehearsal.places(now.prop, shafts, made)
        return FramesView(
            begin=begin,
            step=step,
            links=picture.matrices(places),
            commanded=picture.matrices(rehearsal.places(now.prop, now.motion.commanded(times), made))
            if commanded
            else None,
            linkages=self._workbench.drawn_linkages(shafts, places) if linkages else None,
        )

    @newest_wins
    def curves(self, begin: float, end: float, count: int) -> CurvesView:
        """All drives at `count` times from `begin` to `end` [s]; over a long time the least and most between them."""
        motion = self._now().motion
        found = sampled(motion, begin, end, count)
        return CurvesView(
            times=found.times.astype(np.float32),
            commanded=found.commanded.astype(np.float32),
            position=found.position.astype(np.float32),
            velocity=found.velocity.astype(np.float32),
            limits=found.near_limits(motion.limits.speed),
            extremes=found.extremes,
        )

    @newest_wins
    def readings(self, limits: Mapping[str, tuple[float | None, float | None]] | None = None) -> ReadingsView:
        """Everything read from the motion, under the limits of the prop or under others (speed, acceleration)."""
        now = self._now()
        if limits is not None:
            other = now.motion.under(limits_from(now.prop, limits))
            return readings_view(now.prop, other.limits, readings(now.prop, other))
        # Asked again whenever the panel opens, and of a prop that is again as it was, as by undo.
        of = (now.prop, ending(now.name), now.content)
        if self._read is None or self._read[0] != of:
            self._read = of, readings(now.prop, now.motion)
        return readings_view(now.prop, now.motion.limits, self._read[1])

    def suggest(self, lag_s: float) -> SuggestedView:
        """The gentlest limits with which every drive reaches its stops within `lag_s` seconds."""
        now = self._now()
        found = suggest(now.prop, now.show, lag_s)
        return SuggestedView(
            limits=limit_views(now.prop, found.limits),
            lag_s={reading.drive: reading.lag_s for reading in found.readings},
            findings=finding_views(now.prop, found.findings),
        )

    def strikes(self, begin: float, end: float) -> tuple[StrikeView, ...]:
        """Pairs of parts that strike between two times [s] of the real motion, may, or do not keep the margin."""
        now = self._now()
        if self._course is None or self._course[0] is not now.motion:
            self._course = now.motion, course_of(now.motion)
        return strike_views(
            now.prop, strikes_along(now.prop, self._workbench.watched, self._course[1], begin, end)
        )

    def motion_csv(self) -> FileView:
        """The curves of all drives, 25 rows a second."""
        now = self._now()
        content = curves_file(now.prop, now.show, now.motion, now.rest)
        return FileView(f"{_stem(now)}.csv", CSV_TYPE, content)

    def motion_glb(self) -> FileView:
        """The prop with its real motion as an animated GLB."""
        now = self._now()
        return FileView(f"{_stem(now)}.glb", GLB_TYPE, animation(now.prop, now.show, now.motion, now.rest))

    def begin_show(self, title: str, values: Values) -> PropView:
        """Start a list of cues with one at these values; it is kept with the prop as shows/TITLE.toml."""
        file = place_in(SHOWS, title, ".toml")
        if file in self._workbench.prop.files:
            raise PosekitError([error("bad-name", title, "is already the name of a show")])
        first = {"name": "1", "values": values, "fade": 2.0, "hold": 1.0}
        return self._keep(file, cue_edit.add(cue_edit.begin(title.strip()), 0, first))

    def add_cue(self, file: str, at: int, name: str, values: Values) -> PropView:
        """Record a cue at these values before cue `at` of a show, or after the last."""
        changes = {"name": name, "values": values, "fade": 2.0, "hold": 1.0}
        return self._keep(file, cue_edit.add(self._cues(file), at, changes))

    def change_cue(self, file: str, cue: int, changes: Mapping[str, Setting | Values]) -> PropView:
        """Set some of the name, fade, hold [s], values or look of a cue."""
        return self._keep(file, cue_edit.change(self._cues(file), cue, changes))

    def move_cue(self, file: str, cue: int, to: int) -> PropView:
        """Put a cue in another place of its show."""
        return self._keep(file, cue_edit.move(self._cues(file), cue, to))

    def drop_cue(self, file: str, cue: int) -> PropView:
        """Remove a cue from its show."""
        return self._keep(file, cue_edit.drop(self._cues(file), cue))

    def limit(self, limits: Mapping[str, tuple[float | None, float | None]]) -> PropView:
        """Set the speed and acceleration limits of some drives in the prop file; null removes one."""
        return self._workbench.edit_all(
            {
                dotted(("drives", drive, key)): limit
                for drive, pair in limits.items()
                for key, limit in zip(("speed", "acceleration"), pair, strict=True)
            }
        )

    def _cues(self, file: str) -> bytes:
        content = self._workbench.file(file)
        if content is None:
            raise PosekitError([error("no-show", file, "is not a show of this prop")])
        return content

    def _keep(self, file: str, content: bytes) -> PropView:
        """Keep a list of cues with the prop, unless it would not run."""
        if not parse(content, file)[0].cues:
            raise PosekitError(
                [error("empty-show", file, "needs at least one cue; remove the whole show instead")]
            )
        return self._workbench.keep_file(file, content, replace=True)

    def _now(self) -> Rehearsal:
        if self._open is None:
            raise PosekitError([error("no-show", "", "no show is open")])
        self._open = rehearsal.renewed(self._open, self._workbench.prop)
        return self._open


def _stem(now: Rehearsal) -> str:
    return f"{now.prop.name} - {PurePosixPath(now.name).stem}"
