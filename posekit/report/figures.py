"""The figures of the sheets one under the other: what can be measured at the prop, and which key of the file it is.

This is the CSV that is filled in and read back: one row a figure, so that whoever measures goes down one column.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import zip_longest

from posekit.output import cells
from posekit.prop.fingerprint import for_people
from posekit.report.sheet import PERCENTS, Calibrated, Outlet, Sheet
from posekit.report.sheet_strength import HeldRow
from posekit.text import downward, upward
from posekit.toml.places import dotted

# Units, keys and the safe side of what follows from masses and data sheets: it is told, and not compared with what was
# measured. A bound is rounded up, and what a servo can do down.
RECKONED = {
    "holding torque, at most": ("N*m", "stall_torque", upward),
    "share of stall": ("%", "stall_torque", upward),
    "stall torque": ("N*m", "stall_torque", downward),
    "stall current": ("A", "stall_current", upward),
}
DECIMALS = 3  # finer than anybody measures
HEADER = ("output", "drive", "joint", "figure", "planned", "unit", "measured", "done", "prop")


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure of one drive. `name` is unique in its drive and joint; `planned` is None where the file gives none.

    `key` is the key of the prop file that says it, or that would change first if it were otherwise.
    """

    output: int
    drive: str
    joint: str
    name: str
    planned: float | None
    unit: str
    key: str


def figures(sheet: Sheet) -> tuple[Figure, ...]:
    """All figures of a sheet, drive by drive."""
    held = sheet.strength.rows if sheet.strength else ()
    return tuple(
        figure
        for outlet, drive, row in zip_longest(sheet.outlets, sheet.drives, held)
        for figure in (*_of_drive(outlet, drive), *_of_strength(outlet, row))
    )


def figures_csv(sheet: Sheet) -> bytes:
    """The figures as CSV, with columns to fill in; `prop` is the fingerprint of the prop they are of."""
    mark = for_people(sheet.fingerprint)
    rows = (
        (f.output, f.drive, f.joint, f.name, _plain(f.planned), f.unit, None, None, mark)
        for f in figures(sheet)
    )
    return cells.encode(HEADER, rows)


def position_name(percent: int) -> str:
    """The name of the figure that says where a joint stands at a share of the full scale."""
    return f"position at {percent}%"


def _of_drive(outlet: Outlet, drive: Calibrated) -> Iterator[Figure]:
    def figure(name: str, planned: float | None, unit: str, *keys: str, joint: str = "") -> Figure:
        key = dotted(("drives", drive.drive, *keys))
        return Figure(outlet.output, drive.drive, joint, name, planned, unit, key)

    yield figure("universe", outlet.universe, "", "universe")
    yield figure("address", outlet.address, "", "address")
    yield figure("bits", outlet.bits, "", "bits")
    yield figure("low pulse", drive.low_us, "us", "pulse", "low")
    yield figure("middle pulse", drive.middle_us, "us", "pulse", "trim")
    yield figure("high pulse", drive.high_us, "us", "pulse", "high")
    yield figure("speed", drive.speed, "deg/s", "speed")
    yield figure("acceleration", drive.acceleration, "deg/s2", "acceleration")
    yield figure("rest", drive.rest, "value", "rest")
    yield figure("low to high", drive.times.whole_s, "s", "speed")
    yield figure("low to middle", drive.times.middle_s, "s", "acceleration")
    for way in drive.ways:
        for percent, position in zip(PERCENTS, way.positions, strict=True):
            yield figure(position_name(percent), position, way.unit, "linkage", joint=way.joint)


def _of_strength(outlet: Outlet, row: HeldRow | None) -> Iterator[Figure]:
    """What a drive holds and is fed, which is reckoned and not planned; nothing where it was not asked for."""
    if row is None:
        return
    planned = (row.holding_nm, None if row.share is None else 100.0 * row.share, row.stall_nm, row.stall_a)
    for (name, (unit, key, safe)), number in zip(RECKONED.items(), planned, strict=True):
        told = None if number is None else float(safe(number, DECIMALS))
        yield Figure(outlet.output, row.drive, "", name, told, unit, dotted(("servos", outlet.servo, key)))


def _plain(number: float | None) -> float | None:
    return None if number is None else round(number, DECIMALS) + 0.0  # no -0
