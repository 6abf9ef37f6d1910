"""From one look to another, as the servos really go: whether parts strike or come near on the way, and when."""

from __future__ import annotations

from collections.abc import Generator, Iterable, Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from posekit.clearance.cover import shape_findings
from posekit.clearance.left_out import LeftOut
from posekit.clearance.moves import Course, MoveVerdict, along_steps
from posekit.clearance.watch import Watch, watch
from posekit.errors import Finding, error
from posekit.mechanism.pairs import Pair
from posekit.motion.follow import Motion, follow
from posekit.motion.segments import segments
from posekit.pipeline import pose
from posekit.prop.model import Prop
from posekit.signal.snapshot import Snapshot
from posekit.stepwise import finished
from posekit.text import downward, exact


@dataclass(frozen=True, slots=True)
class MoveReport:
    """The verdict on each pair of links on the way, the gravest first; what was left out, and all there is to tell."""

    prop: str
    margin_mm: float
    verdicts: tuple[MoveVerdict, ...]
    left_out: tuple[LeftOut, ...]
    findings: tuple[Finding, ...]

    def as_dict(self) -> dict[str, Any]:
        """The report as the command line prints it."""
        return {
            "prop": self.prop,
            "margin_mm": self.margin_mm,
            "pairs": [verdict.as_dict() for verdict in self.verdicts],
            "left_out": [each.as_dict() for each in self.left_out],
            "findings": [finding.as_dict() for finding in self.findings],
        }


def move_report(prop: Prop, start: Snapshot, goal: Snapshot) -> MoveReport:
    """Whether parts strike or come near while the prop goes from one snapshot, where it rests, to another.

    Raises PosekitError for a mesh that cannot be read.
    """
    ends = [pose(prop, snapshot) for snapshot in (start, goal)]
    from_values, to_values = ([end.values[drive.name] for drive in prop.drives] for end in ends)
    watched = watch(prop)
    verdicts = between(prop, from_values, to_values, watched)
    margin_mm = prop.clearance.margin
    told = [
        *move_findings(verdicts, margin_mm),
        *shape_findings(prop, watched.parts),
        *(finding for end in ends for finding in end.findings),
    ]
    return MoveReport(prop.name, margin_mm, verdicts, watched.left_out, tuple(dict.fromkeys(told)))


def between(
    prop: Prop,
    from_values: ArrayLike,
    to_values: ArrayLike,
    watched: Watch | None = None,
    pairs: Iterable[Pair] | None = None,
) -> tuple[MoveVerdict, ...]:
    """The verdict on each pair of links while the drives go from values (D,), at rest, to values (D,).

    Each drive goes as fast as its own speed and acceleration allow, so that they do not arrive together. `pairs` are
    all, or those that are to be looked at, and are taken one after the other.
    """
    return finished(between_steps(prop, from_values, to_values, watched, pairs))


def between_steps(
    prop: Prop,
    from_values: ArrayLike,
    to_values: ArrayLike,
    watched: Watch | None = None,
    pairs: Iterable[Pair] | None = None,
) -> Generator[None, None, tuple[MoveVerdict, ...]]:
    """`between` in steps of a pair each, for callers with other work to do."""
    course = course_of(follow(prop, [0.0, 1e-9], np.stack([from_values, to_values])))
    return (yield from along_steps(prop, course, pairs, watched=watched))


def move_findings(verdicts: Iterable[MoveVerdict], margin_mm: float) -> Iterator[Finding]:
    """An error for each pair that strikes on the way, may, or does not keep the margin."""
    for verdict in verdicts:
        if verdict.at_s is None:
            continue
        subject = " - ".join(verdict.pair)
        where = ", ".join(f"{name} {value}" for name, value in (verdict.values or {}).items())
        when = f"{verdict.at_s:.3f} s" + (f", around {where}" if where else ", where no drive moves them")
        if verdict.verdict == "strikes":
            yield error("strikes", subject, f"touch or overlap first at {when}")
        elif verdict.verdict == "near":
            sentence = f"come closer than the margin of {exact(margin_mm)} mm: closest at {when}"
            yield error("near", subject, f"{sentence}; {downward(verdict.clear_by_mm or 0.0)} mm is proved")
        elif verdict.verdict == "open":
            yield error("open", subject, f"too close to tell from {when} on")


def course_of(motion: Motion) -> Course:
    """A motion as clearance takes it: until everything rests, and where each shaft turns or jumps."""
    cut = segments(motion)
    knots, places = [], []
    for d in range(len(cut.first) - 1):
        own = slice(cut.first[d], cut.first[d + 1])
        since, position, velocity, slope = (
            cut.since[own],
            cut.position[own],
            cut.velocity[own],
            cut.acceleration[own],
        )
        lasts = np.where(np.isfinite(cut.lasts[own]), cut.lasts[own], 0.0)
        # Within a segment a shaft turns where its speed passes 0.
        turn = np.divide(-velocity, slope, out=np.zeros_like(slope), where=slope != 0.0)
        turn = np.where((turn > 0.0) & (turn < lasts), turn, 0.0)
        elapsed = np.stack([np.zeros_like(lasts), turn, lasts], axis=1)
        knots.append((since[:, None] + elapsed).ravel())
        places.append(
            (position[:, None] + (velocity[:, None] + slope[:, None] / 2 * elapsed) * elapsed).ravel()
        )
    return Course(motion.begin, max(cut.settled, motion.end), motion.position, tuple(knots), tuple(places))
