"""Changed end points as a fragment of a prop file: only the keys that change."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from posekit.prop.model import Prop
from posekit.text import exact
from posekit.toml.places import dotted

ENDS: tuple[Literal["low", "high"], ...] = ("low", "high")


def limits_toml(prop: Prop, changes: Mapping[tuple[str, Literal["low", "high"]], float], outcome: str) -> str:
    """TOML text with end points [us] by (drive, "low" | "high"), each with the value it replaces.

    `outcome` says at its head what the changed prop was proved to be.
    """
    blocks = [
        f"# End points of {prop.name!r}, moved in against strikes.\n"
        f"# {outcome[0].upper()}{outcome[1:]}.\n"
        "# Copy these over the same keys in its prop.toml, then run `posekit envelope` again.\n"
    ]
    for drive in prop.drives:
        rows = [
            f"{end} = {_plain(changes[drive.name, end])} # was {exact(getattr(drive.pulse, end))}\n"
            for end in ENDS
            if (drive.name, end) in changes
        ]
        if rows:
            blocks.append("".join([f"[{dotted(('drives', drive.name, 'pulse'))}]\n", *rows]))
    return "\n".join(blocks)


def _plain(pulse_us: float) -> float | int:
    return int(pulse_us) if pulse_us == int(pulse_us) else pulse_us
