"""Strength and supply as tables of the sheets for the install."""

from __future__ import annotations

from posekit.output.document import WRITE, Cell, Column, Table, Words
from posekit.report.feeding import SupplyPower
from posekit.report.sheet_strength import HeldRow, SheetStrength
from posekit.text import downward, exact, printable, upward

SLEEP = {True: "yes", False: "no", None: "not known"}


def power_blocks(strength: SheetStrength | None) -> tuple[Table | Words, ...]:
    """What stands on paper of strength and supply; nothing where it was not asked for."""
    if strength is None:
        return ()
    if strength.unread:
        told = "Not on this sheet, because the parts could not be weighed: "
        return (Words("Strength and supply", tuple(told + each.sentence for each in strength.unread)),)
    return (_servos(strength), *((_supplies(strength),) if strength.supplies else ()))


def _servos(strength: SheetStrength) -> Table:
    columns = (
        Column("drive"), Column("supply"), Column("holds at most", "number"), Column("share of stall", "number"),
        Column("stalls at", "number"), Column("stall current", "number"), Column("may sleep"),
        Column("measured", "write"), Column("✓", "tick"),
    )  # fmt: skip
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        (
            printable(row.drive), printable(row.supply), holding_words(row), _share_words(row),
            _most(row.stall_nm, "N·m"), _least(row.stall_a, "A"), SLEEP[row.may_sleep], WRITE, "",
        )
        for row in strength.rows
    )  # fmt: skip
    note = (
        "Holds at most: proved over everything the end points allow, at the servo's shaft. Below a third to a half of "
        "its stall torque a servo keeps cool (common practice). May sleep: its friction holds it without pulses. "
        "Stall torque and current are those at the voltage that it gets."
    )
    return Table("Strength", columns, rows, note)


def holding_words(row: HeldRow) -> tuple[str, ...]:
    """What a servo holds at most; where that is not near the worst pose found, why."""
    if row.near:
        return (_least(row.holding_nm, "N·m"),)
    why = "not brought nearer in the time given" if row.cut else "not brought nearer"
    if row.holding_nm is None:
        return ("not proved", "in the time given" if row.cut else "a dead point, or springs")
    return (f"{upward(row.holding_nm)} N·m or less", why)


def _share_words(row: HeldRow) -> str:
    """The share of the stall torque that it holds, as a percentage."""
    return "not known" if row.share is None else f"{upward(100 * row.share, 0)}%"


def _supplies(strength: SheetStrength) -> Table:
    columns = (
        Column("supply"), Column("servos", "number"), Column("gives", "number"), Column("at servos", "number"),
        Column("moving, stalled", "number"), Column("take, fuse", "number"), Column("wire", "number"),
        Column("power-on pause", "number"), Column("as wired", "write"), Column("✓", "tick"),
    )  # fmt: skip
    rows: tuple[tuple[Cell, ...], ...] = tuple(
        _supply(printable(name), supply) for name, supply in strength.supplies
    )
    note = (
        f"{strength.caution} Moving: each servo holds its worst or moves a usual load. Take: that with a quarter in "
        "reserve. Wire: copper of each of the two, for heat and a drop of a twentieth. Pause: from one servo to the "
        "next, so that power-on stays below the supply."
    )
    return Table("Supply", columns, rows, note)


def _supply(name: str, supply: SupplyPower) -> tuple[Cell, ...]:
    return (
        name,
        str(len(supply.drives)),
        (_given(supply.voltage_v, "V"), _given(supply.current_a, "A")),
        _most(supply.servo_volts, "V"),
        (_least(supply.all_moving_a, "A"), _least(supply.all_stalled_a, "A")),
        (_least(supply.supply_needed_a, "A"), f"fuse {_given(supply.fuse_a, 'A')}"),
        _least(supply.wire_mm2, "mm²"),
        _least(supply.power_on_pause_s, "s"),
        WRITE,
        "",
    )


def _given(number: float | None, unit: str) -> str:
    return "not known" if number is None else f"{exact(number)} {unit}"


def _most(number: float | None, unit: str) -> str:
    """What something can do, and no more: rounded to the safe side."""
    return "not known" if number is None else f"{downward(number)} {unit}"


def _least(number: float | None, unit: str) -> str:
    """A bound, or the least that will do: rounded to the safe side."""
    return "not known" if number is None else f"{upward(number)} {unit}"
