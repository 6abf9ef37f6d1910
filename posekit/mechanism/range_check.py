"""What a prop has to tell before any snapshot: its end points against servos, linkages, stops and supply."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from posekit.errors import Finding, error, note, warning
from posekit.linkage import LINKAGES, FourBar, Linkage, grashof
from posekit.linkage.advantage import mechanical_advantage, transmission_findings
from posekit.linkage.grashof import Motion
from posekit.mechanism.joints import Train, followers, led, linked, stop_limits, trains, unit_of
from posekit.mechanism.supply_check import voltage_findings
from posekit.mechanism.sweep import AT_STOP, Sweep, free_values, one_way, sweep_of
from posekit.mechanism.values import every_shaft
from posekit.prop.model import Drive, Prop, Servo
from posekit.signal.calibration import asked_pulse, pulse_of_shaft, servo_of, shaft_angle
from posekit.signal.whole_pulses import pulses_told
from posekit.text import exact, upward
from posekit.toml.places import dotted


@dataclass(frozen=True, slots=True)
class LinkageReport:
    """One linkage over everything its end points allow; of several drives a report for each joint.

    `drives` are all that move the joint, its own first. `closes_deg` and `closes_us` are its dead points, as angle
    of the shaft and as pulse (infinite: none); `reach` the joint positions [deg | mm]; `turns` what Grashof's rule
    says of a four-bar; `advantage` least and largest mechanical advantage (nan: of several drives, which share it);
    `transmission_deg` the least transmission angle (nan: no rod).
    """

    drives: tuple[str, ...]
    joint: str
    kind: str
    turns: Motion | None
    closes_deg: tuple[float, float]
    closes_us: tuple[float, float]
    reach: tuple[float, float]
    advantage: tuple[float, float]
    transmission_deg: float


def linkage_reports(prop: Prop) -> list[LinkageReport]:
    """A report for every joint that a linkage moves, in the order of the drives."""
    return [
        report
        for train in trains(prop)
        for report in (
            [linkage_report(prop, train)] if len(train.drives) == 1 else _reports_of_several(prop, train)
        )
    ]


def linkage_report(prop: Prop, train: Train) -> LinkageReport:
    """The report for one linkage with one drive."""
    linkage, hinge = train.linkage, train.hinge
    drive, joint = prop.drives[train.drives[0]], prop.joints[train.joints[0]]
    held = np.clip(every_shaft(prop, train.drives[0]), *train.closes)
    reach = linkage.position(held, hinge)
    advantage = np.abs(mechanical_advantage(linkage.rate(held, hinge)))
    transmission = linkage.transmission_angle(held, hinge)
    return LinkageReport(
        drives=(drive.name,),
        joint=joint.name,
        kind=_kind(linkage),
        turns=grashof.motion(linkage) if isinstance(linkage, FourBar) else None,
        closes_deg=train.closes,
        closes_us=_dead_points_us(train.closes, servo_of(prop, drive)),
        reach=(float(reach.min()), float(reach.max())),
        advantage=(float(advantage.min()), float(advantage.max())),
        transmission_deg=float(transmission.min()),
    )


def _reports_of_several(prop: Prop, train: Train) -> Iterator[LinkageReport]:
    """The reports for one linkage with several drives, whose joints go with the angles of all shafts at once."""
    drives = tuple(prop.drives[d] for d in train.drives)
    for j, (low, high) in zip(train.joints, _reach_of_several(prop, train), strict=True):
        yield LinkageReport(
            drives=tuple(drive.name for drive in drives),
            joint=prop.joints[j].name,
            kind=_kind(train.linkage),
            turns=None,
            closes_deg=train.closes,
            closes_us=_dead_points_us(train.closes, servo_of(prop, drives[0])),
            reach=(low, high),
            advantage=(np.nan, np.nan),
            transmission_deg=np.nan,
        )


def _reach_of_several(prop: Prop, train: Train) -> list[tuple[float, float]]:
    """Where the shafts of a linkage of several drives take each of its joints, all ends of all shafts together."""
    spans = np.array([(shaft.min(), shaft.max()) for shaft in (every_shaft(prop, d) for d in train.drives)])
    middle, half = spans.mean(axis=1) @ train.mix.T, np.ptp(spans, axis=1) / 2 @ np.abs(train.mix).T
    return list(zip((middle - half).tolist(), (middle + half).tolist(), strict=True))


def _kind(linkage: Linkage) -> str:
    return next(name for name, kind in LINKAGES.items() if isinstance(linkage, kind))


def _dead_points_us(closes: tuple[float, float], servo: Servo) -> tuple[float, float]:
    """Pulses of the dead points; infinite where the servo cannot reach them."""
    travel = shaft_angle(servo.pulse_range, servo)
    within = [travel.min() <= end <= travel.max() for end in closes]
    low, high = (
        float(pulse_of_shaft(end, servo)) if inside else np.inf
        for end, inside in zip(closes, within, strict=True)
    )
    return low, high


def range_findings(prop: Prop, left: Mapping[str, float] | None = None) -> list[Finding]:
    """Everything to tell about a prop over all its values. Subjects are key paths of the prop file.

    `left` is as for `voltage_findings`.
    """
    return [
        *voltage_findings(prop, left),
        *_reversed_points(prop),
        *(finding for drive in prop.drives for finding in _end_points(prop, drive)),
        *(finding for train in trains(prop) for finding in linkage_findings(prop, train)),
        *_undriven(prop),
    ]


def _end_points(prop: Prop, drive: Drive) -> Iterator[Finding]:
    servo = servo_of(prop, drive)
    low, high = servo.pulse_range
    for end, pulse_us in (("low", drive.pulse.low), ("high", drive.pulse.high)):
        subject = dotted(("drives", drive.name, "pulse", end))
        if pulse_us < low:
            least = exact(low)
            sentence = f"= {exact(pulse_us)}: below the servo's {least} µs; use {least} or more"
            yield error("end-point", subject, sentence)
        elif pulse_us > high:
            most = exact(high)
            sentence = f"= {exact(pulse_us)}: above the servo's {most} µs; use {most} or less"
            yield error("end-point", subject, sentence)
    middle = float(asked_pulse(drive.middle, drive))
    lowest, highest = sorted((drive.pulse.low, drive.pulse.high))
    if not lowest <= middle <= highest:
        room = (highest - lowest) / 2
        sentence = (
            f"= {exact(drive.pulse.trim)}: the middle pulse {exact(middle)} µs lies outside the end points, "
            f"so the servo turns back on the way; use {exact(-room)} to {exact(room)}"
        )
        yield warning("trim", dotted(("drives", drive.name, "pulse", "trim")), sentence)
    if servo.points:
        first, last = servo.points[0][0], servo.points[-1][0]
        if max(lowest, low) < first or min(highest, high) > last:
            sentence = (
                f"the points of servo '{servo.name}' are measured from {exact(first)} to "
                f"{exact(last)} µs only: outside of that "
                "the shaft is shown standing still; measure as far as the end points go"
            )
            yield warning("points-short", dotted(("drives", drive.name, "pulse")), sentence)


def _reversed_points(prop: Prop) -> Iterator[Finding]:
    for servo in prop.servos:
        if servo.points and servo.reverse:
            sentence = (
                "= true: has no effect, because the measured points already say which way the shaft turns"
            )
            yield note("reverse", dotted(("servos", servo.name, "reverse")), sentence)


def linkage_findings(prop: Prop, train: Train) -> Iterator[Finding]:
    """What one linkage has to tell over everything its end points allow."""
    if len(train.drives) > 1:
        yield from _stops_of_several(prop, train)
        return
    drive = prop.drives[train.drives[0]]
    subject = dotted(("drives", drive.name, "linkage"))
    shaft = every_shaft(prop, train.drives[0])
    held = np.clip(shaft, *train.closes)
    if np.any(held != shaft):
        report = linkage_report(prop, train)
        dead = " and ".join(
            f"{angle:.2f} deg ({pulse_us:.0f} µs)"
            if np.isfinite(pulse_us)
            else f"{angle:.2f} deg (out of travel)"
            for angle, pulse_us in zip(report.closes_deg, report.closes_us, strict=True)
        )
        sentence = (
            f"cannot close over the whole range: the end points ask for shaft angles {shaft.min():z.2f} to "
            f"{shaft.max():z.2f} deg, its dead points are {dead}; keep the end points between them"
        )
        yield error("linkage-open", subject, sentence)
    yield from transmission_findings(subject, train.linkage.transmission_angle(held, train.hinge))
    sweep = sweep_of(prop, train, train.drives[0])
    yield from _turns_back(prop, sweep)
    yield from _stops(prop, sweep)


def _turns_back(prop: Prop, sweep: Sweep) -> Iterator[Finding]:
    if not sweep.turns_deg.size:
        return
    drive = prop.drives[sweep.d]
    values = [int(np.argmin(np.abs(sweep.shaft_deg - at))) for at in sweep.turns_deg]
    places = " and ".join(f"value {value} ({sweep.pulse_us[value]:.0f} µs)" for value in sorted(values))
    joint = prop.joints[sweep.moved[0]].name
    first, last = one_way(sweep, drive.rest_value)
    sentence = f"'{joint}' turns back at {places}: beyond that it returns while the value grows"
    if first != last:
        within = pulses_told(*np.sort(sweep.pulse_us[[first, last]]).tolist())
        sentence += f"; end points within {within} µs keep it going one way"
    yield warning("turns-back", dotted(("drives", drive.name, "linkage")), sentence)


def _stops(prop: Prop, sweep: Sweep) -> Iterator[Finding]:
    drive = prop.drives[sweep.d]
    free = free_values(prop, sweep)
    for j, wanted in zip(sweep.moved, sweep.wanted.T, strict=True):
        joint = prop.joints[j]
        if joint.stops is None:
            continue
        beyond = float(np.maximum(joint.stops[0] - wanted, wanted - joint.stops[1]).max())
        if beyond <= AT_STOP:
            continue
        unit = unit_of(joint)
        follows = f" ('{joint.name}' follows '{joint.follow.joint}')" if joint.follow else ""
        sentence = (
            f"takes '{joint.name}' from {wanted.min():z.2f} to {wanted.max():z.2f} {unit}, and its hard stops are "
            f"{exact(joint.stops[0])} to {exact(joint.stops[1])}{follows}: the servo would push up "
            f"to {upward(beyond)} {unit} "
            "against a stop"
        )
        if free:
            sentence += f"; {_off_its_stops(drive, sweep, free)}"
        yield warning("past-stop", dotted(("drives", drive.name, "pulse")), sentence)


def _off_its_stops(drive: Drive, sweep: Sweep, free: tuple[int, int]) -> str:
    """What to do about stops, where the values from the first of two to the last are off them."""
    low, high = np.sort(sweep.pulse_us[list(free)]).tolist()
    if free[0] != free[1]:
        return f"end points within {pulses_told(low, high)} µs keep it off its stops"
    finer = "give it 16 bits, or stops" if drive.bits == 8 else "give it stops"
    only = f"only value {free[0]} ({low:.1f} µs) keeps it off its stops, which is no range for end points"
    return f"{only}; {finer} further apart"


def _stops_of_several(prop: Prop, train: Train) -> Iterator[Finding]:
    """Joints of a linkage of several drives, and their followers, that all together take past a stop."""
    wanted = dict(zip(train.joints, _reach_of_several(prop, train), strict=True))
    stops = stop_limits(prop)
    for follower, leader in followers(prop):
        if (follow := prop.joints[follower].follow) and leader in wanted:
            ends = led(np.clip(wanted[leader], *stops[leader]), follow.ratio, follow.offset)
            wanted[follower] = float(ends.min()), float(ends.max())
    first = dotted(("drives", prop.drives[train.drives[0]].name, "linkage"))
    names = " and ".join(f"'{prop.drives[d].name}'" for d in train.drives)
    for j, (low, high) in wanted.items():
        if low < stops[j, 0] - AT_STOP or high > stops[j, 1] + AT_STOP:
            joint = prop.joints[j]
            sentence = (
                f"{names} together would take '{joint.name}' from {low:z.2f} to {high:z.2f} {unit_of(joint)}, and "
                f"its hard stops are {exact(stops[j, 0])} to {exact(stops[j, 1])}: bring their end "
                "points nearer together"
            )
            yield warning("past-stop", first, sentence)


def _undriven(prop: Prop) -> Iterator[Finding]:
    driven = {j for _, joints in linked(prop) for j in joints}
    for j, joint in enumerate(prop.joints):
        if j not in driven and joint.follow is None:
            sentence = "no drive moves it and it follows no other joint, so it stays at 0"
            yield note("undriven", dotted(("joints", joint.name)), sentence)
