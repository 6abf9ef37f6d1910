"""A show and its readings as the page shows them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from itertools import accumulate

import numpy as np

from posekit.bridge.rehearsal import Rehearsal
from posekit.bridge.show_views import (
    CueView,
    DriveReadingView,
    LimitView,
    ReadingsView,
    ShowView,
    SpeedView,
    StepView,
    StrikeView,
)
from posekit.bridge.sliders import limit_sliders
from posekit.bridge.view_of_left_out import left_out_views
from posekit.bridge.view_of_prop import finding_views
from posekit.clearance.left_out import LeftOut
from posekit.clearance.moves import MoveVerdict
from posekit.motion import Limits, Readings, limits_of
from posekit.motion.follow import servo_speeds
from posekit.motion.readings import DriveReading, Speed
from posekit.motion.steps import Step, Steps
from posekit.prop.model import Prop
from posekit.report.motion import following, striking
from posekit.report.move import move_findings
from posekit.stream.cues import Cue


def show_view(now: Rehearsal, left_out: tuple[LeftOut, ...]) -> ShowView:
    """The open show, beside what clearance does not judge of the prop."""
    prop, show = now.prop, now.show
    return ShowView(
        name=show.name,
        file=now.name,
        begin=float(show.times[0]),
        last=float(show.times[-1]),
        end=now.rest,
        frames=len(show.times),
        cues=tuple(_cue_views(now.cues)),
        limits=limit_views(prop, now.motion.limits),
        sliders=limit_sliders(prop, now.motion.limits),
        left_out=left_out_views(left_out),
        no_strikes=striking(prop, left_out, ()),
        findings=finding_views(prop, show.findings),
    )


def _cue_views(cues: tuple[Cue, ...]) -> Iterable[CueView]:
    """Cues with the times at which they begin."""
    begins = accumulate((cue.fade + cue.hold for cue in cues), initial=0.0)
    for cue, begin in zip(cues, begins, strict=False):  # the last sum is where the show ends
        yield CueView(cue.name, cue.look, begin, cue.fade, cue.hold)


def limit_views(prop: Prop, limits: Limits) -> dict[str, LimitView]:
    """Limits (D,) by drive."""
    rows = zip(prop.drives, limits.speed.tolist(), limits.acceleration.tolist(), strict=True)
    return {drive.name: LimitView(_finite(speed), _finite(slope)) for drive, speed, slope in rows}


def limits_from(prop: Prop, given: Mapping[str, tuple[float | None, float | None]]) -> Limits:
    """Limits (D,) from speeds and accelerations by drive; a drive that is not given keeps its own."""
    own = limits_of(prop)
    speed, slope, top = own.speed.copy(), own.acceleration.copy(), servo_speeds(prop)
    for d, drive in enumerate(prop.drives):
        if drive.name in given:
            asked = [math.inf if limit is None else limit for limit in given[drive.name]]
            speed[d], slope[d] = min(asked[0], top[d]), asked[1]
    return Limits.of(speed, slope)


def readings_view(prop: Prop, limits: Limits, read: Readings) -> ReadingsView:
    """All readings of a motion under these limits."""
    return ReadingsView(
        limits=limit_views(prop, limits),
        summary=following(read),
        drives=tuple(_drive(reading, step) for reading, step in zip(read.drives, read.steps, strict=True)),
        joints=tuple(_speed(speed) for speed in read.joints),
        parts=tuple(_speed(speed) for speed in read.parts),
        findings=finding_views(prop, read.findings),
    )


def strike_views(prop: Prop, strikes: Iterable[MoveVerdict]) -> tuple[StrikeView, ...]:
    """Strikes along a part of a show, each with its finding."""
    told = [each for each in strikes if each.verdict != "clear" and each.at_s is not None]
    findings = finding_views(prop, tuple(move_findings(told, prop.clearance.margin)))
    return tuple(
        StrikeView(each.pair, each.verdict, each.at_s, each.values or {}, finding)
        for each, finding in zip(told, findings, strict=True)
        if each.verdict != "clear" and each.at_s is not None
    )


def _drive(reading: DriveReading, steps: Steps) -> DriveReadingView:
    return DriveReadingView(
        drive=reading.drive,
        arrives=reading.arrives,
        stops=reading.stops,
        missed=reading.missed,
        lag_s=reading.lag_s,
        lag_at=reading.lag_at,
        short_deg=reading.short_deg,
        short_at=reading.short_at,
        top_speed=reading.top_speed,
        top_acceleration=reading.top_acceleration,
        at_speed=reading.at_speed,
        at_acceleration=reading.at_acceleration,
        own=_step(steps.own),
        coarse=_step(steps.coarse),
        fine=_step(steps.fine),
    )


def _step(step: Step) -> StepView:
    return StepView(step.shaft_deg, step.joint, step.unit, step.part, step.tip_mm)


def _speed(speed: Speed) -> SpeedView:
    return SpeedView(speed.name, speed.speed, speed.unit, speed.at)


def _finite(limit: float) -> float | None:
    return limit if np.isfinite(limit) else None
