"""Which step of a controller comes nearest to the speed and acceleration of a drive, from times at some steps."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from posekit.budgets import MEASURED_BYTES
from posekit.errors import Faults, Finding, bounded, warning
from posekit.motion.follow import limits_of
from posekit.motion.stepped import LEAST_S, acceleration_of_time, speed_of_time, stepped
from posekit.motion.stopwatch import Timed, timed
from posekit.paths import too_large
from posekit.prop.model import Prop
from posekit.text import cell_number, exact, listed, short, whole
from posekit.textfile import decoded, rows

HEADER = ("drive", "setting", "step", "seconds")
Setting = Literal["speed", "acceleration"]
SETTINGS: tuple[Setting, ...] = ("speed", "acceleration")
UNITS = {"speed": "deg/s", "acceleration": "deg/s2"}
MOST_STEP, LONGEST_S = 9999, 3600.0


@dataclass(frozen=True, slots=True)
class TimedStep:
    """A time [s] from low to high, or back, that was measured with a drive at a step of one of its settings."""

    drive: str
    setting: Setting
    step: int
    seconds: float


@dataclass(frozen=True, slots=True)
class NearestStep:
    """The step of a setting nearest to what a drive is to have: `rate` there, `wanted` in the prop file, in `unit`.

    `law` and `off` are those of `motion.stepped.Stepped`; `at_edge` says that it is the first or last step measured,
    and what is wanted lies beyond it. `of` names the drives at which it was measured.
    """

    drive: str
    setting: Setting
    step: int
    rate: float
    wanted: float
    unit: str
    law: str
    off: float | None
    at_edge: bool
    of: tuple[str, ...]


def read_steps(content: bytes, name: str) -> tuple[TimedStep, ...]:
    """The times in a CSV with the header drive,setting,step,seconds.

    PosekitError with every row that is none, and for more than `budgets.MEASURED_BYTES`.
    """
    if len(content) > MEASURED_BYTES:
        raise too_large(len(content), MEASURED_BYTES, name, "a table of times")
    found: list[TimedStep] = []
    faults = Faults(name)
    for line, cells in rows(decoded(content, name), HEADER, name):
        made = _row(cells)
        if isinstance(made, str):
            faults.add("bad-row", f"row {line}", made, line)
        else:
            found.append(made)
    faults.refuse()
    return tuple(found)


def nearest_steps(
    prop: Prop, measured: Sequence[TimedStep]
) -> tuple[tuple[NearestStep, ...], tuple[Finding, ...]]:
    """The nearest step of each setting of each drive, and what is wrong with what was measured.

    A drive at which nothing was measured takes what was measured at drives with the same type of servo.
    """
    findings = list(_unknown(prop, measured))
    times, nearest = timed(prop), []
    for setting in SETTINGS:
        rates = {
            drive.name: _rates(prop, d, setting, times[d], measured, findings)
            for d, drive in enumerate(prop.drives)
        }
        for d, drive in enumerate(prop.drives):
            alike = [other.name for other in prop.drives if other.servo == drive.servo and rates[other.name]]
            of = (drive.name,) if rates[drive.name] else tuple(alike)
            pairs = [pair for name in of for pair in rates[name]]
            wanted = float(getattr(limits_of(prop), setting)[d])
            if len({step for step, _ in pairs}) < 2:
                if pairs and of == (drive.name,):
                    said = f"the time of one step of {setting} tells no other; measure a second step"
                    findings.append(warning("too-few-steps", drive.name, said))
                continue
            if np.isfinite(wanted):
                nearest.append(_nearest(drive.name, setting, pairs, wanted, of))
    return tuple(nearest), bounded(findings)


def _nearest(
    drive: str, setting: Setting, pairs: list[tuple[int, float]], wanted: float, of: tuple[str, ...]
) -> NearestStep:
    fitted = stepped([step for step, _ in pairs], [rate for _, rate in pairs])
    at = fitted.nearest(wanted)
    ends = sorted((fitted.rates[0], fitted.rates[-1]))
    return NearestStep(
        drive=drive,
        setting=setting,
        step=fitted.steps[at],
        rate=fitted.rates[at],
        wanted=wanted,
        unit=UNITS[setting],
        law=fitted.law,
        off=fitted.off,
        at_edge=at in (0, len(fitted.steps) - 1) and not ends[0] <= wanted <= ends[1],
        of=of,
    )


def _rates(
    prop: Prop, d: int, setting: Setting, times: Timed, measured: Sequence[TimedStep], findings: list[Finding]
) -> list[tuple[int, float]]:
    """(step, rate) of what was measured at one drive; a time that no rate gives is told."""
    limits, drive = limits_of(prop), prop.drives[d].name
    found = []
    for each in measured:
        if (each.drive, each.setting) != (drive, setting):
            continue
        if setting == "speed":
            rate = speed_of_time(times.whole_deg, each.seconds, float(limits.acceleration[d]))
            other = f"an acceleration of {exact(limits.acceleration[d])} deg/s2"
        else:
            rate = acceleration_of_time(times.whole_deg, each.seconds, float(limits.speed[d]))
            other = f"a speed of {exact(limits.speed[d])} deg/s"
        if rate and np.isfinite(rate):
            found.append((each.step, rate))
        else:
            sentence = (
                f"{exact(each.seconds)} s at step {each.step} of {setting}: {other} does not allow "
                f"{times.whole_deg:.1f} degrees in that time; measure again, or mend the prop file first"
            )
            findings.append(warning("time-too-short", drive, sentence))
    return found


def _unknown(prop: Prop, measured: Sequence[TimedStep]) -> Iterator[Finding]:
    names = [drive.name for drive in prop.drives]
    for name in dict.fromkeys(each.drive for each in measured):
        if name not in names:
            sentence = f"is not a drive of this prop, so its times are left out; drives: {listed(names)}"
            yield warning("unknown-drive", name, sentence)


def _row(cells: list[str]) -> TimedStep | str:
    """What a row says, or what is wrong with it."""
    if len(cells) != len(HEADER):
        return f"found '{short(cells)}'; give drive, setting, step and seconds, such as jaw,speed,12,1.45"
    drive, setting, step, seconds = cells
    number = whole(step)
    if setting not in SETTINGS:
        return f"found the setting '{short([setting])}'; use speed or acceleration"
    if number is None or not 0 <= number <= MOST_STEP:
        return f"found the step '{short([step])}'; use a whole number from 0 to {MOST_STEP}"
    time_s = cell_number(seconds) or 0.0
    if not LEAST_S <= time_s <= LONGEST_S:
        return f"found a time of '{short([seconds])}'; use {exact(LEAST_S)} to {exact(LONGEST_S)} seconds"
    return TimedStep(drive, "speed" if setting == "speed" else "acceleration", number, time_s)
