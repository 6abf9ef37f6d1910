"""Measured pairs of pulse and shaft angle as people write them down: typed into a table or copied from one."""

from __future__ import annotations

from posekit.budgets import MEASURED_PAIRS
from posekit.errors import PosekitError, error
from posekit.signal.fit import out_of_range
from posekit.text import counted, number, printable, two_readings

Typed = tuple[str, str]
_LETTERS_TOLD = 40


def pair_of(typed: Typed) -> tuple[float, float] | str | None:
    """(us, degrees) as typed, a decimal comma too; a sentence for what is none; None while a half is missing."""
    cells = [cell.strip() for cell in typed]
    numbers = [number(cell, comma=True) for cell in cells]
    for cell, found in zip(cells, numbers, strict=True):
        if cell and found is None:
            return f"“{printable(cell, _LETTERS_TOLD)}” is not a number; write one such as 1500 or -12.5"
    if either := two_readings(cells[0]):
        return f"“{cells[0]}” {either}"
    pulse_us, shaft_deg = numbers
    if pulse_us is None or shaft_deg is None:
        return None
    return out_of_range(pulse_us, shaft_deg) or (pulse_us, shaft_deg)


def pasted(text: str) -> tuple[Typed, ...]:
    """Two columns, pulse and angle, copied from a spreadsheet or a CSV file; a first row without numbers is its head.

    Columns stand apart by tabs, semicolons, spaces or commas, whichever comes first in this list. PosekitError for
    rows that have not two cells, and for more than `budgets.MEASURED_PAIRS`.
    """
    lines = [(row, line) for row, line in enumerate(text.splitlines(), 1) if line.strip()]
    if len(lines) > MEASURED_PAIRS + 1:
        sentence = f"has {len(lines)} rows; {MEASURED_PAIRS} at most are taken"
        raise PosekitError([error("too-many-points", "what was pasted", sentence)])
    rows = [(row, _cells(line)) for row, line in lines]
    if rows and all(number(cell, comma=True) is None for cell in rows[0][1]):
        del rows[0]
    wrong = [
        error(
            "bad-row",
            f"row {row}",
            f"has {counted(len(cells), 'cell')}; copy the two columns with the pulse in µs and the angle in degrees",
        )
        for row, cells in rows
        if len(cells) != 2
    ]
    if wrong:
        raise PosekitError(wrong)
    return tuple((cells[0], cells[1]) for _, cells in rows)


def _cells(line: str) -> list[str]:
    for mark in ("\t", ";"):
        if mark in line:
            return [cell.strip() for cell in line.strip("\r\n").split(mark)]
    words = line.split()
    if len(words) > 1:
        return [word.rstrip(",") for word in words]
    return [cell.strip() for cell in line.split(",")]
