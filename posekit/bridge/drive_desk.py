"""What can be asked about drives as such: each public method of `DriveDesk` is one request that the page can make."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields
from typing import Any, Literal

from posekit.authoring.add import free_address
from posekit.authoring.new_drive import servo_keys, with_drive
from posekit.bridge import words
from posekit.bridge.drive_views import DriveOffer, JointOffer, ServoClassView, ServoFigure
from posekit.bridge.overtaking import newest_wins
from posekit.bridge.view_of_prop import drives_of_joints
from posekit.bridge.views import PropView
from posekit.bridge.workbench import Workbench
from posekit.errors import PosekitError
from posekit.prop.model import Prop, Servo
from posekit.prop.servo_classes import CLASSES, figures
from posekit.text import exact, listed

# As data sheets have them; what stands here is shown in the empty field.
_EXAMPLES = {
    "pulse_range": "500, 2500",
    "travel": "180",
    "voltage": "4.8, 6",
    "speed": "0.16 s/60deg",
    "stall_torque": "9.4 kg·cm",
    "stall_current": "800 mA",
    "idle_current": "8 mA",
    "deadband": "4",
}


class DriveDesk:
    """Drives of the prop on a workbench: what a new one can be made of, and one more."""

    def __init__(self, workbench: Workbench) -> None:
        self._workbench = workbench

    @newest_wins
    def drive_offer(self, universe: int = 1) -> DriveOffer:
        """What a new drive can be made of, with the next free address of a universe."""
        prop = self._workbench.prop
        moved = drives_of_joints(prop)
        follows = {joint.name: joint.follow.joint for joint in prop.joints if joint.follow}
        return DriveOffer(
            joints=tuple(
                JointOffer(
                    joint.name,
                    f"follows {follows[joint.name]}" if joint.name in follows else _by(moved[joint.name]),
                )
                for joint in prop.joints
            ),
            servos=tuple(servo.name for servo in prop.servos),
            universe=universe,
            address={str(bits): _next(prop, universe, bits) for bits in (8, 16)},
            figures=_FIGURES,
            classes=tuple(_class(name) for name in CLASSES),
        )

    def add_drive(
        self,
        name: str,
        joint: str,
        servo: str,
        universe: int,
        address: int | None,
        bits: Literal[8, 16],
        new_servo: Mapping[str, str] | None = None,
        typical: str | None = None,
    ) -> PropView:
        """Add a drive, its end points at 90 degrees about neutral; at the next free address where none is given.

        With `new_servo` its servo is a new type of that name: figures as they were typed, by key, begun with those
        of the class `typical`.
        """
        keys: dict[str, Any] = {"servo": servo, "joint": joint}
        keys |= {"universe": universe} if universe != 1 else {}
        if address is not None:
            keys["address"] = address
        keys |= {"bits": bits} if bits != 8 else {}
        made = None if new_servo is None else servo_keys(new_servo, typical)
        return self._workbench.take(with_drive(self._workbench.prop, name, keys, made))


def _by(drives: tuple[str, ...]) -> str:
    return f"moved by {listed(drives)}" if drives else ""


def _next(prop: Prop, universe: int, bits: int) -> int | None:
    try:
        return free_address(prop, universe, bits)
    except PosekitError:
        return None


def _class(name: str) -> ServoClassView:
    found = CLASSES[name]
    return ServoClassView(
        name, found.about, {key: _text(value) for key, value in figures(found.servo).items()}
    )


def _text(figure: Any) -> str:
    return ", ".join(exact(each) for each in figure) if isinstance(figure, tuple) else exact(figure)


_FIGURES = tuple(
    ServoFigure(
        key=each.name,
        label=words.label((each.name,)),
        unit=each.metadata["unit"],
        doc=each.metadata["doc"],
        example=_EXAMPLES[each.name],
    )
    for each in fields(Servo)
    if each.name in _EXAMPLES
)
