"""Changed end points as a fragment of a prop file: only the keys that change."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from posekit.prop.model import Prop


def limits_toml(prop: Prop, changes: Mapping[tuple[str, Literal["low", "high"]], float], outcome: str) -> str:
    """TOML text with end points [us] by (drive, "low" | "high"), each with the value it replaces.

    `outcome` says at its head what the changed prop was proved to be.
    """
    import tomlkit

    document = tomlkit.document()
    document.add(tomlkit.comment(f"End points of {prop.name!r}, moved in against strikes."))
    document.add(tomlkit.comment(outcome[0].upper() + outcome[1:] + "."))
    document.add(
        tomlkit.comment("Copy these over the same keys in its prop.toml, then run `posekit envelope` again.")
    )
    drives = tomlkit.table(is_super_table=True)
    for drive in prop.drives:
        pulse = tomlkit.table()
        for end in ("low", "high"):
            if (drive.name, end) in changes:
                pulse.add(end, _plain(changes[drive.name, end]))
                pulse[end].comment(f"was {getattr(drive.pulse, end):g}")
        if pulse:
            own = tomlkit.table(is_super_table=True)
            own.add("pulse", pulse)
            drives.add(drive.name, own)
    document.add("drives", drives)
    return tomlkit.dumps(document)


def _plain(pulse_us: float) -> float | int:
    return int(pulse_us) if pulse_us == int(pulse_us) else pulse_us
