"""Notes as text that was pasted into a message: lines for people, and a last line that begins `posekit notes {`.

Mail quotes lines (`> `), breaks long ones and puts more below, older messages too, whose notes come along; the JSON of
each such line is found all the same. Its own spaces are best written as `\\u0020`, for then every space and line end in
it comes from the mail.
"""

from __future__ import annotations

import re
from itertools import islice, pairwise

from posekit.budgets import NOTE_BLOCKS

_START = re.compile(r"(?m)^([ \t>|]*)posekit\s+notes[\s>|]*(?=\{)")
_SIGNS = re.compile(r'"(?:[^"\\]|\\.)*+"|[{}]')
# What ends a line of mail, and nothing else: other signs that end lines may stand in the words of a note.
_LINE = re.compile(r"([^\r\n]*)(?:\r\n|\r|\n|\Z)")
# The longest line that mail takes (RFC 5322, 2.1.1): what is longer is cut there, within a word.
_CUT_AT = 900
_LINES = 16  # of a block, looked at first; then four times as many, until it ends


def pasted(text: str) -> list[tuple[str, ...]]:
    """Blocks of notes in a text, the newest first: that which is quoted least, then that which stands higher.

    Each is what its JSON may have been before mail broke it, the likeliest first; it may still be cut short. Of more
    than NOTE_BLOCKS, one more than that many.
    """
    found: list[tuple[int, tuple[str, ...]]] = []
    past = 0
    for start in _START.finditer(text):
        if start.start() < past:  # words of a note
            continue
        if len(found) > NOTE_BLOCKS:
            break
        lines, past = _block(text, start.end(), start[1])
        whole = "".join(lines)
        ended = _object(whole)
        likely = (_object(_joined(lines)) or ended, ended) if " " in ended else (ended or whole,)
        found.append((len(re.findall("[>|]", start[1])), likely))
    return [likely for _, likely in sorted(found, key=lambda each: each[0])]


def _block(text: str, begin: int, quote: str) -> tuple[list[str], int]:
    """The lines of a block that begins there, and where the last of them ends: that with the end of its JSON, or of
    all the text.
    """
    ends: list[int] = []
    lines: list[str] = []
    rest = _LINE.finditer(text, begin)
    # Ends: with the lines of the text, each of which is taken once.
    while more := list(islice(rest, 3 * len(lines) or _LINES)):
        for line in more:
            lines.append(_unquoted(line[1], quote) if lines else line[1])
            ends.append(line.end())
        if whole := _object("".join(lines)):
            reached = 0
            for count, each in enumerate(lines, 1):
                reached += len(each)
                if reached >= len(whole):
                    return lines[:count], ends[count - 1]
    return lines, len(text)


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
    """The JSON table with which a text begins, without what follows it; empty if it does not end."""
    depth = 0
    for sign in _SIGNS.finditer(text):
        depth += {"{": 1, "}": -1}.get(sign[0], 0)
        if depth == 0:
            return text[: sign.end()]
    return ""
