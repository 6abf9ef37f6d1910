"""CSV for spreadsheets: nothing in it is run as a formula, and numbers stay numbers.

RFC 4180: lines end in CR LF, a quote within quotes is doubled. A spreadsheet takes a cell for a formula by its first
letter; text that begins with one gets an apostrophe before it, which spreadsheets take for `what follows is text`
(common practice). Numbers are written bare, minus sign and all.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence

from posekit.text import printable

# What begins a formula, the full-width forms of it that some spreadsheets take for the same, and the apostrophe
# itself, so that what is read back is what was written.
_FORMULA = tuple("=+-@\t\r\uff1d\uff0b\uff0d\uff20'")
BOM = "\ufeff"  # by which spreadsheets know UTF-8


def text_cell(words: str) -> str:
    """Words of others as a cell of a spreadsheet: one line that is never a formula."""
    said = printable(words)
    return f"'{said}" if said.lstrip().startswith(_FORMULA) else said


def encode(header: Sequence[str], rows: Iterable[Sequence[str | float | None]]) -> bytes:
    """A table as CSV. Text is quoted and never a formula, numbers are bare, None is an empty cell."""
    text = io.StringIO()
    writer = csv.writer(text, quoting=csv.QUOTE_NONNUMERIC, lineterminator="\r\n")
    writer.writerow(header)
    for row in rows:
        writer.writerow(["" if cell is None else _cell(cell) for cell in row])
    return (BOM + text.getvalue()).encode()


def _cell(cell: str | float) -> str | float:
    if isinstance(cell, str):
        return text_cell(cell)
    return int(cell) if float(cell).is_integer() else cell
