"""What a servo can do at the voltage that it gets: figures of its data sheet, and between two of its voltages.

Between two voltages of a data sheet torque, speed and stall current go about in a straight line (common practice: all
three are proportional to the voltage, some friction aside). Beyond them nothing is reckoned: the figures of the nearest
voltage stand, and that is said.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from posekit.errors import Finding, note, warning
from posekit.prop.model import Prop, Servo
from posekit.text import exact, plain
from posekit.toml.places import dotted

Source = Literal["between", "nearest", "unstated"]


@dataclass(frozen=True, slots=True)
class Rating:
    """Figures of a servo at a voltage: `speed_deg_s`, `stall_nm` and `stall_a`, None where the file has none.

    `source` is "between" for voltages of the data sheet and between two of them, "nearest" beyond them, and "unstated"
    where the file gives figures without their voltage, which then stand as they are.
    """

    volts: float | None
    speed_deg_s: float | None
    stall_nm: float | None
    stall_a: float | None
    source: Source


def rating(servo: Servo, volts: float | None) -> Rating:
    """The figures of a servo at a voltage [V]; without one those that the file gives."""
    if volts is None or not servo.rated:
        return Rating(volts, servo.speed, servo.stall_torque, servo.stall_current, "unstated")
    at, speed, torque, current = np.array(servo.rated, float).T
    source: Source = "between" if at[0] <= volts <= at[-1] else "nearest"
    found = [float(np.interp(volts, at, figure)) for figure in (speed, torque, current)]
    return Rating(volts, found[0], found[1], found[2], source)


def rating_findings(prop: Prop, volts: Sequence[float | None]) -> list[Finding]:
    """A word on each servo in use whose torque is not known by its data sheet at the voltage that it gets.

    `volts` (D,) [V] goes by drive; None: nothing feeds it.
    """
    found: list[Finding] = []
    for servo in prop.servos:
        gets = [each for each, drive in zip(volts, prop.drives, strict=True) if drive.servo == servo.name]
        if servo.stall_torque is not None or servo.rated:
            found += (finding for each in dict.fromkeys(gets) for finding in _rated(servo, each))
    return found


def _rated(servo: Servo, volts: float | None) -> Iterator[Finding]:
    path = ("servos", servo.name, "rated")
    if volts is None:
        if servo.rated:
            sentence = "has figures by voltage, and the file has no [supply] to choose by; write one"
            yield note("rated-voltage", dotted(path), sentence)
        return
    source = rating(servo, volts).source
    if source == "nearest":
        near = min((row[0] for row in servo.rated), key=lambda each: abs(each - volts))
        sentence = (
            f"has no figures at the {plain(volts, 3)} V it gets; those at {exact(near)} V stand for "
            "them, and nothing is "
            "reckoned beyond the data sheet. Ask its maker for figures at this voltage"
        )
        yield warning("rated-voltage", dotted(path), sentence)
    elif source == "unstated":
        sentence = (
            f"is taken as it stands for the {plain(volts, 3)} V it gets; write rated = [[V, deg/s, N*m, A], ...] "
            "from the data sheet, so that figures at this voltage are found"
        )
        yield note("rated-voltage", dotted(("servos", servo.name, "stall_torque")), sentence)
