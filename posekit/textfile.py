"""Files of text as UTF-8 and CSV; what is wrong is told with file and line."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator

from posekit.errors import PosekitError, error
from posekit.text import short


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

    Cells come without the spaces around them; rows that are empty or start with # are left out.
    PosekitError, as the rows are taken, for another first row and for what is no CSV.
    """
    right = f"the first row must be {','.join(header)}"
    reader = csv.reader(io.StringIO(text, newline=None), skipinitialspace=True)
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


def _refused(code: str, line: int, sentence: str, name: str) -> PosekitError:
    return PosekitError([error(code, f"row {line}", sentence, file=name, line=line)])
