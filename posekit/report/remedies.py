"""From what differs at the prop to the keys of its file that would change. They are told, and never written unasked."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from posekit.authoring.numbers import to_figures
from posekit.mechanism.joints import train_of
from posekit.motion.follow import limits_of
from posekit.motion.stepped import LEAST_S, acceleration_of_time, speed_of_time
from posekit.prop.model import Prop
from posekit.report.figures import position_name
from posekit.report.sheet import PERCENTS, Calibrated, Sheet, Way
from posekit.signal.calibration import servo_of
from posekit.text import exact, signed
from posekit.toml.places import dotted

ALIKE = {"deg": 1.0, "mm": 0.5}  # differences that vary by less are one and the same shift

Measured = Mapping[tuple[str, str, str], float]  # by drive, joint and name of the figure


@dataclass(frozen=True, slots=True)
class Remedy:
    """A key of the prop file that would change from `was`; `would_be` is None where what was measured does not tell."""

    key: str
    was: Any
    would_be: Any
    why: str

    @property
    def sentence(self) -> str:
        """What to tell of it; reads on from the key."""
        was = "" if self.was is None else f"= {_plain(self.was)}: "
        would = "" if self.would_be is None else f"; it would become {_plain(self.would_be)}"
        return f"{was}{self.why}{would}"


def remedies(prop: Prop, made: Sheet, differing: Measured, measured: Measured) -> Iterator[Remedy]:
    """The keys that would change where figures differ; `measured` are all that were measured."""
    for d, drive in enumerate(made.drives):
        own = {name: value for (of, _, name), value in differing.items() if of == drive.drive}
        yield from _patch(prop, d, own)
        yield from _pulses(drive, own, measured)
        yield from _motion(prop, d, drive, own)
        for way in drive.ways:
            yield from _positions(prop, d, drive, way, differing, measured)


def _patch(prop: Prop, d: int, own: Mapping[str, float]) -> Iterator[Remedy]:
    for name in ("universe", "address", "bits", "rest"):
        if name in own:
            was = getattr(prop.drives[d], name)
            yield Remedy(
                _key(prop.drives[d].name, name), was, round(own[name], 6), f"found {exact(own[name])}"
            )


def _pulses(drive: Calibrated, own: Mapping[str, float], measured: Measured) -> Iterator[Remedy]:
    for name, key, was in (("low pulse", "low", drive.low_us), ("high pulse", "high", drive.high_us)):
        if name in own:
            yield Remedy(
                _key(drive.drive, "pulse", key),
                was,
                own[name],
                f"measured {exact(own[name])} µs, {signed(exact(own[name] - was))}",
            )
    low = measured.get((drive.drive, "", "low pulse"), drive.low_us)
    high = measured.get((drive.drive, "", "high pulse"), drive.high_us)
    if "middle pulse" in own:
        trim = round(own["middle pulse"] - (low + high) / 2, 3)
        why = f"measured {exact(own['middle pulse'])} µs in the middle, where {exact(drive.middle_us)} was planned"
        yield Remedy(_key(drive.drive, "pulse", "trim"), drive.trim_us, trim, why)


def _motion(prop: Prop, d: int, drive: Calibrated, own: Mapping[str, float]) -> Iterator[Remedy]:
    limits, file = limits_of(prop), prop.drives[d]
    for name, was in (("speed", file.speed), ("acceleration", file.acceleration)):
        if name in own:
            yield Remedy(_key(drive.drive, name), was, own[name], f"set to {exact(own[name])} at the prop")
    acceleration, speed = float(limits.acceleration[d]), float(limits.speed[d])
    for name, key, way_deg, planned_s in (
        ("low to high", "speed", drive.times.whole_deg, drive.times.whole_s),
        ("low to middle", "acceleration", drive.times.part_deg, drive.times.middle_s),
    ):
        if name not in own or own[name] < LEAST_S:
            continue
        rate = (
            speed_of_time(way_deg, own[name], acceleration)
            if key == "speed"
            else acceleration_of_time(way_deg, own[name], speed)
        )
        why = f"{name} took {exact(own[name])} s" + (
            "" if planned_s is None else f", planned {planned_s:.2f} s"
        )
        if not rate:
            other = "acceleration" if key == "speed" else "speed"
            why += f"; so short a time needs another {other} first"
        was = file.speed if key == "speed" else file.acceleration
        yield Remedy(_key(drive.drive, key), was, to_figures(rate, 3) if rate else None, why)


def _positions(
    prop: Prop, d: int, drive: Calibrated, way: Way, differing: Measured, measured: Measured
) -> Iterator[Remedy]:
    """A shift alike everywhere is the zero of the linkage; one that grows is the turn of the servo."""
    names = [(drive.drive, way.joint, position_name(percent)) for percent in PERCENTS]
    wrong = [percent for percent, name in zip(PERCENTS, names, strict=True) if name in differing]
    if not wrong:
        return
    seen = [(planned, measured[n]) for n, planned in zip(names, way.positions, strict=True) if n in measured]
    planned, found = np.array(seen).T
    off = found - planned
    at, by = ", ".join(f"{percent} %" for percent in wrong), ", ".join(f"{each:+.1f}" for each in off)
    why = f"'{way.joint}' stands {by} {way.unit} off where measured; too much at {at}"
    servo = servo_of(prop, prop.drives[d])
    if any((drive.drive, "", pulse) in differing for pulse in ("low pulse", "middle pulse", "high pulse")):
        key = _key(drive.drive, "linkage")
        yield Remedy(
            key, None, None, f"{why}, and its pulses differ, too: mend those first, and measure again"
        )
    elif len(off) > 1 and float(np.ptp(off)) <= ALIKE[way.unit]:
        yield from _shifted(prop, d, float(off.mean()), why)
    elif len(off) == 1:
        key = _key(drive.drive, "linkage")
        yield Remedy(key, None, None, f"{why}; measure at a second value to tell a shift from a wrong travel")
    elif servo.points:
        key = dotted(("servos", servo.name, "points"))
        yield Remedy(key, None, None, f"{why}, and not alike: measure the shaft and use posekit fit")
    else:
        slope = float(np.polyfit(planned, found, 1)[0])
        key = dotted(("servos", servo.name, "travel"))
        turn = to_figures(servo.travel * slope, 4) if drive.ways and slope > 0 else None
        said = f"{why}, and not alike: the servo turns {100 * (slope - 1):+.0f} %, if the linkage is right"
        yield Remedy(key, servo.travel, turn, said)


def _shifted(prop: Prop, d: int, shift: float, why: str) -> Iterator[Remedy]:
    train, name = train_of(prop, d), prop.drives[d].name
    keys = train.linkage.zero_at(-shift, train.hinge)
    if keys is None:
        yield Remedy(_key(name, "linkage"), None, None, f"{why}: alike everywhere, so fit the horn anew")
        return
    for key, value in keys.items():
        told = (
            round(float(value), 2)
            if isinstance(value, float | int)
            else tuple(round(float(each), 2) for each in value)
        )
        said = f"{why}: alike everywhere, so the horn sits otherwise"
        yield Remedy(_key(name, "linkage", key), getattr(train.linkage, key), told, said)


def _key(drive: str, *keys: str) -> str:
    return dotted(("drives", drive, *keys))


def _plain(value: Any) -> str:
    if isinstance(value, tuple):
        return "[" + ", ".join(exact(each) for each in value) + "]"
    return exact(value) if isinstance(value, float | int) else str(value)
