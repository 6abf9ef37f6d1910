"""On which line of a TOML file each key stands, for messages. Read only when there is something to tell."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from posekit.budgets import TOML_DEPTH
from posekit.toml.places import Path, unquoted

# One token after another: texts, words, signs, line ends. Each is taken whole (`++`), a text without an end, too, so
# that the time grows with the text.
_TOKEN = re.compile(
    r'''[ \t\r]*+(?:\#[^\n]*+)?+
    ("""(?:\\.|(?!""")[^\\])*+"{0,5} | \'\'\'(?:(?!\'\'\').)*+'{0,5} | "(?:\\.|[^"\\\n])*+"? | '[^'\n]*+'?
    | [A-Za-z0-9_+:-]++ | . | \Z)''',
    re.VERBOSE | re.DOTALL,
)


@dataclass(slots=True)
class _Open:
    """A value in brackets or braces that is not closed yet: its key path, the line it opened on, the entry it is at.

    Within braces `entry` is the key of the value that is being read; none while the key itself is. `deeper` counts
    what is open within it beyond the depth that is looked at.
    """

    sign: Literal["[", "{"]
    path: Path
    line: int
    entry: Path
    deeper: int = 0


def lines_of_keys(text: str) -> dict[Path, int]:
    """The line (from 1) of every table header and key of a TOML file, by key path.

    What stands within brackets or braces has a line of its own where that is another than theirs.
    """
    lines: dict[Path, int] = {}
    counts: dict[Path, int] = {}
    stack: list[_Open] = []
    words: list[str] = []  # of the key or header that is being read
    table: Path = ()
    path: Path = ()  # of the value that is being read
    reading: Literal["key", "header", "value"] = "key"
    line, header_line, is_entry = 1, 1, False
    for token in _TOKEN.finditer(text):
        sign = token[1]
        if stack:
            _within(stack, words, sign, line, lines)
        elif sign == "\n":
            reading, words = "key", []
        elif reading == "header":
            if sign == "[":
                is_entry = True
            elif sign == "]" and words:
                table = _resolved(tuple(words), counts, is_entry=is_entry)
                lines.setdefault(table, header_line)
                words = []
            elif sign not in (".", "]"):
                words.append(unquoted(sign))
        elif reading == "value":
            if sign in ("[", "{"):
                stack.append(_opened(sign, path, line))
        elif sign == "[" and not words:
            reading, header_line, is_entry = "header", line, False
        elif sign == "=":
            path = table + tuple(words)
            lines.setdefault(path, line)
            reading, words = "value", []
        elif sign not in (".", ""):
            words.append(unquoted(sign))
        line += sign.count("\n")
    return lines


def line_of(path: Path, lines: dict[Path, int]) -> int | None:
    """The line of a key path, or of the nearest table around it."""
    # Ends: the path grows shorter.
    while path:
        if path in lines:
            return lines[path]
        path = path[:-1]
    return None


def _within(stack: list[_Open], words: list[str], sign: str, line: int, lines: dict[Path, int]) -> None:
    """Take one token inside of brackets or braces."""
    around = stack[-1]
    if sign in ("", "\n"):
        return
    if around.deeper or (sign in ("[", "{") and len(stack) >= TOML_DEPTH):
        # Deeper than any key lies: only where it ends is of interest.
        around.deeper += {"[": 1, "{": 1, "]": -1, "}": -1}.get(sign, 0)
    elif sign in ("]", "}"):
        stack.pop()
        words.clear()
    elif sign == ",":
        words.clear()
        around.entry = (*around.path, int(around.entry[-1]) + 1) if around.sign == "[" else ()
    elif around.entry:
        if line != around.line:
            lines.setdefault(around.entry, line)
        if sign in ("[", "{"):
            stack.append(_opened(sign, around.entry, line))
    elif sign == "=":
        around.entry = around.path + tuple(words)
        words.clear()
        if line != around.line:
            lines.setdefault(around.entry, line)
    elif sign != ".":
        words.append(unquoted(sign))


def _opened(sign: str, path: Path, line: int) -> _Open:
    return _Open("[", path, line, (*path, 0)) if sign == "[" else _Open("{", path, line, ())


def _resolved(path: Path, counts: dict[Path, int], *, is_entry: bool) -> Path:
    """Put the index of the latest `[[entry]]` behind each array of tables on the way."""
    resolved: Path = ()
    for depth, part in enumerate(path, start=1):
        resolved += (part,)
        if is_entry and depth == len(path):
            counts[resolved] = counts.get(resolved, -1) + 1
        if resolved in counts:
            resolved += (counts[resolved],)
    return resolved
