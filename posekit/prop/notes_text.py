"""Notes as text that was pasted into a message: lines for people, and a last line that begins `posekit notes {`.

Mail quotes lines (`> `), breaks long ones and puts more below; the JSON of that last line is found all the same. Its
own spaces are best written as `\\u0020`, for then every space and line end in it comes from the mail.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import pairwise

_START = re.compile(r"(?m)^([ \t>|]*)posekit\s+notes[\s>|]*(?=\{)")
_SIGNS = re.compile(r'"(?:[^"\\]|\\.)*+"|[{}]')
# The longest line that mail takes (RFC 5322, 2.1.1): what is longer is cut there, within a word.
_CUT_AT = 900


def pasted(text: str) -> Iterator[str]:
    """What the JSON of the last line of notes in a text may have been before mail broke it, the likeliest first.

    Nothing where there is no such line. It may still be cut short.
    """
    starts = list(_START.finditer(text))
    if not starts:
        return
    quote = starts[-1][1]
    first, *others = text[starts[-1].end() :].splitlines()
    lines = [first, *(_unquoted(line, quote) for line in others)]
    whole = _object("".join(lines))
    if " " in whole:
        yield _object(_joined(lines))
    yield whole


def _unquoted(line: str, quote: str) -> str:
    """A line without the marks of quotation, or the indent, that the first one has."""
    if line.startswith(quote):
        return line[len(quote) :]
    for mark in re.findall("[>|]", quote):
        line = line.lstrip(" \t").removeprefix(mark)
    return line.removeprefix(" ") if quote.strip() else line


def _joined(lines: list[str]) -> str:
    """One line of those that mail broke it into at spaces, which the breaks took; or within a line that is too long."""
    glued = (
        line if before.endswith(" ") or len(before) >= _CUT_AT else f" {line}"
        for before, line in pairwise(lines)
    )
    return "".join([lines[0], *glued])


def _object(text: str) -> str:
    """The JSON table with which a text begins, without what follows it; all of the text if it does not end."""
    depth = 0
    for sign in _SIGNS.finditer(text):
        depth += {"{": 1, "}": -1}.get(sign[0], 0)
        if depth == 0:
            return text[: sign.end()]
    return text
