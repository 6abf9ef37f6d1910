"""Files of text as UTF-8, CSV and JSON; what is wrong is told with file and line."""

from __future__ import annotations

import csv
import json
import re
from collections.abc import Callable, Iterator
from typing import Any

from posekit.budgets import DIGITS, JSON_DEPTH
from posekit.errors import PosekitError, error
from posekit.text import short

LONGEST_HEADER = 1000  # letters: what is longer is none that is asked for
# One line at a time, since a list of them, or a StringIO, takes several times the memory of the text.
_LINE = re.compile(r"[^\r\n]*(?:\r\n?|\n)|[^\r\n]+\Z")


def decoded(content: bytes, name: str) -> str:
    """The text of a file, without the mark that some editors put before it.

    PosekitError if it is not UTF-8; `name` is how messages call the file.
    """
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as problem:
        line = content[: problem.start].count(b"\n") + 1
        sentence = "is not UTF-8 text; save it as UTF-8"
        raise PosekitError([error("not-utf8", "", sentence, file=name, line=line)]) from problem


def rows(text: str, header: tuple[str, ...], name: str) -> Iterator[tuple[int, list[str]]]:
    """Line number and cells of each row of a CSV file after its first row, which must be `header`.

    Cells stand apart by commas, or by semicolons or tabs if the first row has these: spreadsheets write so where the
    comma is that of decimals. They come without the spaces around them; rows that are empty or start with # are left
    out.
    PosekitError, as the rows are taken, for another first row and for what is no CSV.
    """
    right = f"the first row must be {','.join(header)}"
    lines = (line[0] for line in _LINE.finditer(text))
    reader = csv.reader(lines, delimiter=_parted_by(text, header), skipinitialspace=True)
    header_seen = False
    try:
        for raw in reader:
            cells = [cell.strip() for cell in raw]
            if not any(cells) or cells[0].startswith("#"):
                continue
            if header_seen:
                yield reader.line_num, cells
            elif tuple(cell.lower() for cell in cells) == header:
                header_seen = True
            else:
                raise _refused(
                    "wrong-header", reader.line_num, f"starts with '{short(cells)}'; {right}", name
                )
    except csv.Error as problem:
        raise _refused("not-csv", reader.line_num, f"is not CSV: {problem}", name) from problem
    if not header_seen:
        raise _refused("wrong-header", 1, f"is empty; {right}", name)


def _parted_by(text: str, header: tuple[str, ...]) -> str:
    """What parts the cells of the first row that counts, if that is `header`."""
    lines = (line[0].strip() for line in _LINE.finditer(text))
    first = next((line for line in lines if line.strip(",;") and not line.startswith("#")), "")
    for mark in (";", "\t"):
        if tuple(cell.strip(' "').lower() for cell in first[:LONGEST_HEADER].split(mark)) == header:
            return mark
    return ","


def json_value(content: str | bytes, table: Callable[[list[tuple[str, Any]]], Any] | None = None) -> Any:
    """What JSON holds; `table` makes a table of its pairs, where a dict will not do.

    ValueError, with the reason for a message, for what is no JSON, and for lists and tables deeper or numbers longer
    than `posekit.budgets` states.
    """
    text = content.decode() if isinstance(content, bytes) else content
    if _depth(text) > JSON_DEPTH:
        raise ValueError(f"lists and tables lie more than {JSON_DEPTH} deep")
    return json.loads(text, object_pairs_hook=table, parse_int=_int, parse_constant=_no_number)


def _depth(text: str) -> int:
    """How deep brackets lie in JSON."""
    depth = deepest = 0
    for sign in re.sub(r'"(?:[^"\\]|\\.)*+"?|[^]["{}]++', "", text):
        depth += 1 if sign in "[{" else -1
        deepest = max(deepest, depth)
    return deepest


def _int(digits: str) -> int:
    if len(digits) > DIGITS:
        raise ValueError(f"a number has {len(digits)} digits; {DIGITS} at most are read")
    return int(digits)


def _no_number(name: str) -> Any:
    raise ValueError(f"{name} is not a number in JSON")


def _refused(code: str, line: int, sentence: str, name: str) -> PosekitError:
    return PosekitError([error(code, f"row {line}", sentence, file=name, line=line)])
