"""Generic classes of hobby servo, to begin with until the data sheet of the real one is at hand.

Every figure is common practice: what data sheets of such servos say, rounded to the cautious side, at 6 V without
load. No published standard fixes any of them, pulse width and travel included: 1000 to 2000 µs for 90 degrees is
what any servo takes. A figure here never changes once it was given out, because `typical` in a prop file names it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from types import MappingProxyType
from typing import Any

from posekit.fields import is_key
from posekit.prop.model import Servo, ServoClass

SOURCE = "common practice"
STANDING = (
    "reverse",
    "points",
    "rated",
    "friction",
    "typical",
)  # keys of a servo that no class has a figure of


@dataclass(frozen=True, slots=True, kw_only=True)
class Typical:
    """A class of servo: what it is by size and use, and a `Servo` of its name with its typical figures."""

    about: str
    servo: Servo


def _class(
    name: ServoClass,
    about: str,
    *,
    speed: float,
    stall_torque: float,
    stall_current: float,
    idle_current: float,
    deadband: float,
    voltage: tuple[float, float],
) -> Typical:
    servo = Servo(
        name=name,
        pulse_range=(1000.0, 2000.0),
        travel=90.0,
        voltage=voltage,
        speed=speed,
        stall_torque=stall_torque,
        stall_current=stall_current,
        idle_current=idle_current,
        deadband=deadband,
        typical=name,
    )
    return Typical(about=about, servo=servo)


_ALL = (
    _class(
        "sub_micro", "about 4 g, 20 mm long: eyelids, small ears", voltage=(3.7, 6.0),
        speed=500.0, stall_torque=0.06, stall_current=0.5, idle_current=0.005, deadband=8.0,
    ),
    _class(
        "micro", "about 9 g, 23 mm long, plastic gears: eyes, lids, beaks", voltage=(4.8, 6.0),
        speed=500.0, stall_torque=0.15, stall_current=0.75, idle_current=0.006, deadband=8.0,
    ),
    _class(
        "low_profile", "about 25 g, flat, for wings and thin limbs", voltage=(4.8, 7.4),
        speed=400.0, stall_torque=0.4, stall_current=1.5, idle_current=0.01, deadband=4.0,
    ),
    _class(
        "standard", "about 40 g, 40 mm long, the usual size: jaws, necks of small figures", voltage=(4.8, 6.0),
        speed=375.0, stall_torque=0.34, stall_current=0.8, idle_current=0.008, deadband=5.0,
    ),
    _class(
        "high_torque", "about 60 g, 40 mm long, metal gears: necks, arms", voltage=(4.8, 7.4),
        speed=350.0, stall_torque=1.8, stall_current=2.5, idle_current=0.01, deadband=4.0,
    ),
    _class(
        "large", "about 180 g, 65 mm long, metal gears: shoulders, large heads", voltage=(6.0, 7.4),
        speed=300.0, stall_torque=3.0, stall_current=5.0, idle_current=0.02, deadband=4.0,
    ),
)  # fmt: skip
CLASSES: Mapping[str, Typical] = MappingProxyType({typical.servo.name: typical for typical in _ALL})


def class_for(torque_nm: float, volts: float | None) -> Servo | None:
    """The least class whose typical stall torque is so much [N*m], of those that may be fed with a voltage [V].

    None where no class is so strong. Without a voltage all of them count.
    """
    able = [
        typical.servo
        for typical in _ALL
        if (stall := typical.servo.stall_torque) is not None and stall >= torque_nm
        if volts is None
        or typical.servo.voltage is None
        or typical.servo.voltage[0] <= volts <= typical.servo.voltage[1]
    ]
    return min(able, key=lambda servo: servo.stall_torque or 0.0, default=None)


def figures(servo: Servo) -> dict[str, Any]:
    """The figures of a servo that a class has typical ones of, by key, in the order of the prop file."""
    return {
        declared.name: getattr(servo, declared.name)
        for declared in fields(servo)
        if is_key(declared) and declared.name not in STANDING
    }


def still_typical(servo: Servo) -> tuple[str, ...]:
    """The keys of a servo at which the typical figure of its class still stands; none for a servo without one.

    A travel that measured points replace is none of them.
    """
    if servo.typical is None:
        return ()
    typical = figures(CLASSES[servo.typical].servo)
    same = [key for key, figure in figures(servo).items() if figure == typical[key]]
    return tuple(key for key in same if not (key == "travel" and servo.points))
