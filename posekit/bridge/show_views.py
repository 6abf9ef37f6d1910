"""What crosses the door of a show: times in seconds, shaft angles in degrees, poses as the picture draws them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from posekit.bridge.views import FindingView, Floats, LeftOutView, Values


@dataclass(frozen=True, slots=True)
class LimitView:
    """Limits at a shaft [deg/s, deg/s2]; null where there is none."""

    speed: float | None
    acceleration: float | None


@dataclass(frozen=True, slots=True)
class SliderView:
    """A slider of a limit: step i is `limits[i]` [deg/s or deg/s2], the one after the last no limit. It stands `at`."""

    limits: tuple[float, ...]
    at: int


@dataclass(frozen=True, slots=True)
class LimitSliders:
    """The two sliders of a drive."""

    speed: SliderView
    acceleration: SliderView


@dataclass(frozen=True, slots=True)
class CueView:
    """One cue of a list: it begins at `begin` [s], takes `fade` [s] and holds for `hold` [s].

    `look` is the file it comes from, or null for values or slots of its own.
    """

    name: str
    look: str | None
    begin: float
    fade: float
    hold: float


@dataclass(frozen=True, slots=True)
class ShowView:
    """An open show, followed by the prop as it is now.

    It runs from `begin` to its last frame at `last`; at `end` everything rests [s]. `cues` is empty for a
    recording. `limits` are those it is followed with, by drive, `sliders` what they can be set to.
    `left_out` is what of the pairs of parts is not checked on the way; `no_strikes` says, in a sentence, that nothing
    strikes where `strikes` found nothing over the whole show.
    """

    name: str
    file: str
    begin: float
    last: float
    end: float
    frames: int
    cues: tuple[CueView, ...]
    limits: Mapping[str, LimitView]
    sliders: Mapping[str, LimitSliders]
    left_out: tuple[LeftOutView, ...]
    no_strikes: str
    findings: tuple[FindingView, ...]


@dataclass(frozen=True, slots=True)
class CurvesView:
    """Curves of all drives, (N, D) each, at `times` (N,) [s].

    `commanded` and `position` are shaft angles [deg], `velocity` is in degrees a second. `limits` are the speeds
    [deg/s], by drive, that a drive may not pass and comes near to. `extremes`: there are more frames than times,
    and each pair of rows tells the least and the most between its times and the next.
    """

    times: Floats
    commanded: Floats
    position: Floats
    velocity: Floats
    limits: tuple[tuple[float, ...], ...]
    extremes: bool


@dataclass(frozen=True, slots=True)
class FramesView:
    """P poses, evenly in time from `begin` [s] on, `step` [s] apart.

    `links` is (P, L, 16) of the real motion as in a pose, `commanded` the same of where the drives are sent, where
    it was asked for. `linkages` (P, B, 3, 3) are the bodies of all linkages as in a pose, likewise.
    """

    begin: float
    step: float
    links: Floats
    commanded: Floats | None
    linkages: Floats | None


@dataclass(frozen=True, slots=True)
class StepView:
    """The largest move of one step of a value: at the shaft [deg], at its joint [unit], at part `part` [mm]."""

    shaft_deg: float
    joint: float
    unit: str
    part: str
    tip_mm: float


@dataclass(frozen=True, slots=True)
class DriveReadingView:
    """How one drive follows: see `motion.readings.DriveReading`.

    `own` is the step of its values that is seen, `coarse` and `fine` those of 8 and of 16 bit.
    """

    drive: str
    arrives: bool
    stops: int
    missed: int
    lag_s: float
    lag_at: float
    short_deg: float
    short_at: float
    top_speed: float
    top_acceleration: float | None
    at_speed: float
    at_acceleration: float
    own: StepView
    coarse: StepView
    fine: StepView


@dataclass(frozen=True, slots=True)
class SpeedView:
    """The largest speed of a joint or of the tip of a part, in `unit`, and when [s]."""

    name: str
    speed: float
    unit: str
    at: float


@dataclass(frozen=True, slots=True)
class ReadingsView:
    """All readings of the show under `limits`; `summary` says in a sentence whether it keeps up and steps are seen."""

    limits: Mapping[str, LimitView]
    summary: str
    drives: tuple[DriveReadingView, ...]
    joints: tuple[SpeedView, ...]
    parts: tuple[SpeedView, ...]
    findings: tuple[FindingView, ...]


@dataclass(frozen=True, slots=True)
class SuggestedView:
    """The gentlest limits that still arrive, by drive, and how late [s] each drive is with them."""

    limits: Mapping[str, LimitView]
    lag_s: Mapping[str, float]
    findings: tuple[FindingView, ...]


@dataclass(frozen=True, slots=True)
class StrikeView:
    """Two links along a part of a show, at `at` [s], near `values`.

    strikes: they touch; open: too close to tell; near: they stay apart, but come closer than the margin. `finding`
    says the same in words.
    """

    pair: tuple[str, str]
    verdict: Literal["strikes", "open", "near"]
    at: float
    values: Values
    finding: FindingView
