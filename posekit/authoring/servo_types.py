"""Servo types to begin with: the keys of a table under [servos], filled with the typical figures of a class."""

from __future__ import annotations

from typing import Any

from posekit.prop.servo_classes import CLASSES, SOURCE, figures
from posekit.toml.places import dotted

# What each key is and where a data sheet has it; read by who has never written a prop file.
_COMMENTS = {
    "typical": "figures of {source}: put in those of your data sheet; take this line out once all are right",
    "pulse_range": "µs that the servo takes",
    "travel": "degrees that the shaft turns from the first to the last of these pulses",
    "voltage": "V, least and most",
    "speed": "degrees/s without load; a data sheet's 0.16 s/60° is 60 / 0.16",
    "stall_torque": "N·m; 1 kgf·cm is 0.098",
    "stall_current": "A when stalled; supply and fuses are sized by it",
    "idle_current": "A at rest",
    "deadband": "µs that it does not answer",
}


def typical_keys(kind: str) -> dict[str, Any]:
    """The keys of a servo table with the typical figures of a class, `typical` first, lists as TOML has them.

    `kind` is a name of `CLASSES`.
    """
    found = figures(CLASSES[kind].servo)
    return {"typical": kind} | {key: _as_written(figure) for key, figure in found.items()}


def typical_table(name: str, kind: str) -> str:
    """The same as text of a prop file: the table [servos.name], each key with a comment that says what it is."""
    lines = [f"[{dotted(('servos', name))}]"]
    for key, figure in typical_keys(kind).items():
        written = f'"{figure}"' if isinstance(figure, str) else str(figure)
        lines.append(f"{key} = {written}".ljust(31) + f" # {_COMMENTS[key].format(source=SOURCE)}")
    return "\n".join(lines) + "\n"


def _as_written(figure: Any) -> Any:
    """A figure as a person writes it: 1000 and not 1000.0, but 90.0 for what is measured in steps below 1."""
    if isinstance(figure, tuple):
        return [_as_written(each) for each in figure]
    return int(figure) if figure >= 1000 else figure
