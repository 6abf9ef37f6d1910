"""The patch: which slots of a snapshot drive which servo, and back."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import ArrayLike

from posekit.arrays import Array
from posekit.budgets import VALUE_LETTERS
from posekit.errors import Finding, note, warning
from posekit.prop.model import Drive, Prop
from posekit.signal.snapshot import Slot, Snapshot
from posekit.text import exact, listed, shortened


def patched(prop: Prop, snapshot: Snapshot) -> tuple[Array, list[Finding]]:
    """The value of every drive (D,), with notes on addresses the snapshot does not give or no drive uses.

    A drive whose coarse slot is missing stands at its rest value; a missing fine slot takes the fine
    byte of the rest value. The snapshot's own notes come first.
    """
    findings = list(snapshot.notes)
    values = np.array([_value(drive, snapshot, findings) for drive in prop.drives], float)
    used = {slot for drive in prop.drives for slot in slots_of(drive)}
    spare = [slot for slot in snapshot.slots if slot not in used]
    # A whole frame always has slots that belong to other fixtures; only a hand-made list is worth a note.
    if spare and len(snapshot.slots) < 512:
        findings.append(note("unpatched", "snapshot", f"no drive of this prop uses {_written_out(spare)}"))
    return values, findings


def slots_of(drive: Drive) -> tuple[Slot, ...]:
    """The slots of a drive: one, or coarse and fine."""
    return tuple((drive.universe, drive.address + i) for i in range(drive.bits // 8))


def snapshot_of(prop: Prop, values: ArrayLike) -> Snapshot:
    """The snapshot that gives every drive its value (D,); values are rounded to whole numbers."""
    slots: dict[Slot, int] = {}
    for drive, value in zip(prop.drives, np.rint(np.asarray(values, float)).astype(int), strict=True):
        for slot, byte in zip(slots_of(drive), int(value).to_bytes(drive.bits // 8, "big"), strict=True):
            slots[slot] = byte
    return Snapshot(slots)


def sendable(prop: Prop, values: Mapping[str, object]) -> tuple[Array, list[Finding]]:
    """The value of every drive (D,) from values by name that others wrote, with a warning for each that cannot stand.

    A value is rounded to a whole one and held within what the bits of its drive can say; a drive without one, or with
    what is no number, stands at its rest value; a name that is no drive of the prop is left out.
    """
    findings: list[Finding] = []
    row = np.array([drive.rest_value for drive in prop.drives], float)
    for d, drive in enumerate(prop.drives):
        given = values.get(drive.name, drive.rest_value)
        row[d] = _held(drive, given)
        if float(row[d]) != given:  # of Python, where a whole number of any length compares
            sentence = f"is not a whole number from 0 to {drive.full_scale}, so it stands at {exact(row[d])}"
            findings.append(
                warning("out-of-range", drive.name, f"= {shortened(str(given), VALUE_LETTERS)}: {sentence}")
            )
    known = {drive.name for drive in prop.drives}
    for name in values:
        if name not in known:
            findings.append(
                warning("unknown-drive", name, "is not a drive of this prop, so its value is left out")
            )
    return row, findings


def _held(drive: Drive, given: object) -> float:
    """The value nearest to what was given that the drive can be sent; its rest value for what is no number."""
    if isinstance(given, bool) or not isinstance(given, int | float) or given != given:
        return float(drive.rest_value)
    return float(round(min(max(given, 0), drive.full_scale)))


def _written_out(slots: list[Slot]) -> str:
    """Addresses as people say them: `universe 1, address 9; universe 2, addresses 3, 4`."""
    by_universe: dict[int, list[str]] = {}
    for universe, address in slots:
        by_universe.setdefault(universe, []).append(str(address))
    return "; ".join(
        f"universe {universe}, address{'es' * (len(addresses) > 1)} {listed(addresses)}"
        for universe, addresses in by_universe.items()
    )


def _value(drive: Drive, snapshot: Snapshot, findings: list[Finding]) -> int:
    slots = slots_of(drive)
    missing = [slot for slot in slots if slot not in snapshot.slots]
    if slots[0] in missing:
        findings.append(_missing(drive, slots[0], f"so it stands at its rest value {drive.rest_value}"))
        return drive.rest_value
    rest = drive.rest_value.to_bytes(len(slots), "big")
    if missing:
        findings.append(_missing(drive, slots[1], f"so the fine byte is that of the rest value, {rest[1]}"))
    given = bytes(snapshot.slots.get(slot, byte) for slot, byte in zip(slots, rest, strict=True))
    return int.from_bytes(given, "big")


def _missing(drive: Drive, slot: Slot, consequence: str) -> Finding:
    sentence = f"the snapshot does not give universe {slot[0]}, address {slot[1]}, {consequence}"
    return note("missing-address", drive.name, sentence)
