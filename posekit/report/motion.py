"""A show as the prop follows it: whether it keeps up, what is seen of its steps, whether parts strike on the way."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict, dataclass, replace
from typing import Any

import numpy as np

from posekit.arrays import Array
from posekit.clearance.left_out import LeftOut
from posekit.clearance.moves import Course, MoveVerdict, along
from posekit.clearance.watch import Watch, watch
from posekit.errors import Finding
from posekit.mechanism.joints import solve
from posekit.motion.follow import Motion, follow
from posekit.motion.instants import instants
from posekit.motion.profile import Limits
from posekit.motion.readings import DriveReading, Readings, readings
from posekit.motion.steps import VIEWED_FROM, VISIBLE, Steps
from posekit.motion.suggest import Suggested, suggest
from posekit.output import curves, gltf
from posekit.prop.model import Prop
from posekit.report.move import course_of, move_findings
from posekit.stream.show import Show
from posekit.text import exact


@dataclass(frozen=True, slots=True)
class MotionReport:
    """A show as the prop follows it.

    `suggested` are gentler limits, where they were asked for. `strikes` are the pairs of parts that strike on the way,
    may, or do not keep the margin, the gravest first; `left_out` is what of the pairs was not judged. `findings` are
    those of all of these, the show's own first.
    """

    prop: Prop
    show: Show
    motion: Motion
    readings: Readings
    suggested: Suggested | None
    strikes: tuple[MoveVerdict, ...]
    left_out: tuple[LeftOut, ...]
    findings: tuple[Finding, ...]

    @property
    def summary(self) -> str:
        """The report in a few sentences, for people."""
        return f"{following(self.readings)} {striking(self.prop, self.left_out, self.strikes)}"

    def as_dict(self) -> dict[str, Any]:
        """The report as the command line prints it. A limit that is not there is null."""
        read = self.readings
        data: dict[str, Any] = {
            "prop": self.prop.name,
            "show": {
                "name": self.show.name,
                "frames": len(self.show.times),
                "seconds": self.show.duration,
                "settled": read.settled,
            },
            "drives": _drives(read.drives, self.motion.limits),
            "joints": {
                speed.name: {"top_speed": speed.speed, "unit": speed.unit, "at": speed.at}
                for speed in read.joints
            },
            "parts": {speed.name: {"top_speed_mm_s": speed.speed, "at": speed.at} for speed in read.parts},
            "steps": {step.drive: _named(step) for step in read.steps},
            "summary": self.summary,
            "findings": [finding.as_dict() for finding in self.findings],
            "clearance": [strike.as_dict() for strike in self.strikes],
            "left_out": [each.as_dict() for each in self.left_out],
        }
        if self.suggested:
            data["suggested"] = _drives(self.suggested.readings, self.suggested.limits)
        return data


def motion_report(prop: Prop, show: Show, within_s: float | None = None) -> MotionReport:
    """All there is to tell of a show on a prop; with the gentlest limits that reach every stop `within_s` seconds.

    PosekitError for a mesh that cannot be read, and where the prop takes days to rest.
    """
    motion = follow(prop, show.times, show.values)
    read = readings(prop, motion)
    suggested = None if within_s is None else suggest(prop, show, within_s)
    watched = watch(prop)
    strikes = strikes_along(prop, watched, course_of(motion))
    findings = (
        *show.findings,
        *read.findings,
        *(suggested.findings if suggested else ()),
        *move_findings(strikes, prop.clearance.margin),
    )
    return MotionReport(prop, show, motion, read, suggested, strikes, watched.left_out, findings)


def strikes_along(
    prop: Prop, watched: Watch, course: Course, begin_s: float | None = None, end_s: float | None = None
) -> tuple[MoveVerdict, ...]:
    """The pairs of parts that strike along a course, may, or do not keep the margin, the gravest first.

    `watched` is the `watch` of the prop, `course` as from `report.move.course_of`; looked at from `begin_s` to
    `end_s`, by default the whole of it.
    """
    part = replace(
        course,
        begin=course.begin if begin_s is None else begin_s,
        end=course.end if end_s is None else end_s,
    )
    return tuple(verdict for verdict in along(prop, part, watched=watched) if verdict.verdict != "clear")


def following(read: Readings) -> str:
    """Whether the drives keep up and steps are seen, in a sentence that says no more than was looked at."""
    late = [reading.drive for reading in read.drives if not reading.arrives]
    jumpy = [each.drive for each in read.jumpy if each.is_seen]
    kept_up = f"Too late for a stop: {', '.join(late)}." if late else "Every drive reaches its stops in time."
    if jumpy:
        return f"{kept_up} Seen to move by steps: {', '.join(jumpy)}."
    if read.jumpy:
        resting = (
            f"{len(read.jumpy)} of {len(read.drives)} drives {'pauses' if len(read.jumpy) == 1 else 'pause'}"
        )
        return (
            f"{kept_up} On slow moves {resting} between values, in steps below {VISIBLE:.1f} mm, too small to be "
            f"seen from {exact(VIEWED_FROM / 1000)} m."
        )
    return f"{kept_up} No drive pauses between values on a slow move."


def striking(prop: Prop, left_out: Iterable[LeftOut], strikes: Iterable[MoveVerdict]) -> str:
    """Whether parts strike on the way, in a sentence; what was left out is counted in it."""
    found = {verdict.verdict for verdict in strikes}
    margin_mm = prop.clearance.margin
    whole = {each.pair for each in left_out if each.whole}
    beside = (
        f"; {len(whole)} pairs are not checked"
        if len(whole) > 1
        else "; 1 pair is not checked"
        if whole
        else ""
    )
    if "strikes" in found:
        return f"Parts strike on the way{beside}."
    if "open" in found:
        return f"Parts come too close to tell whether they strike{beside}."
    if "near" in found:
        return (
            f"Nothing strikes, but some parts come closer than the margin of {exact(margin_mm)} mm{beside}."
        )
    kept = f"keeps the margin of {exact(margin_mm)} mm all the way"
    return f"Nothing strikes: every checked pair of parts {kept}{beside}."


def curves_file(prop: Prop, show: Show, motion: Motion, settled_s: float) -> bytes:
    """The curves of all drives as CSV, 25 rows a second, until all rests at `settled_s`."""
    times, shaft, velocity = _looked_at(show, motion, settled_s)
    names = [drive.name for drive in prop.drives]
    return curves.encode(names, times, motion.commanded(times), shaft, velocity)


def animation(prop: Prop, show: Show, motion: Motion, settled_s: float) -> bytes:
    """The prop with its real motion as an animated GLB, 25 poses a second, until all rests at `settled_s`."""
    times, shaft, _ = _looked_at(show, motion, settled_s)
    return gltf.animate(prop, times - times[0], solve(prop, shaft).position)


def _looked_at(show: Show, motion: Motion, settled_s: float) -> tuple[Array, Array, Array]:
    times = instants(show, settled_s)
    shaft, velocity, _ = motion.at(times)
    return times, shaft, velocity


def _drives(read: tuple[DriveReading, ...], limits: Limits) -> dict[str, Any]:
    return {
        reading.drive: {
            "speed": _finite(limits.speed[d]),
            "acceleration": _finite(limits.acceleration[d]),
            **_named(reading),
            "arrives": reading.arrives,
        }
        for d, reading in enumerate(read)
    }


def _finite(limit: float) -> float | None:
    return float(limit) if np.isfinite(limit) else None


def _named(reading: DriveReading | Steps) -> dict[str, Any]:
    return {name: value for name, value in asdict(reading).items() if name != "drive"}
