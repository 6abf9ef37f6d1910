"""A drive put back to where it began: end points of a new drive, no trim, no limits but those of its servo."""

from __future__ import annotations

from posekit.authoring.new_drive import first_pulse
from posekit.authoring.parts import drive_named, rewritten
from posekit.prop.model import Prop
from posekit.signal.calibration import servo_of
from posekit.toml.editing import set_keys
from posekit.toml.places import Path


def reset_drive(prop: Prop, name: str) -> Prop:
    """The prop with a drive as a new one begins: 90 degrees about neutral, no limits of its own.

    Patch, rest value and linkage stay. Raises PosekitError for no such drive.
    """
    first = first_pulse(servo_of(prop, drive_named(prop, name)))
    drive: Path = ("drives", name)
    changes: dict[Path, int | float | None] = {(*drive, "pulse", end): pulse for end, pulse in first.items()}
    changes |= dict.fromkeys([(*drive, "pulse", "trim"), (*drive, "speed"), (*drive, "acceleration")])
    return rewritten(prop, set_keys(prop.text, changes))
