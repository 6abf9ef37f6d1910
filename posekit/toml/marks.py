"""Where every header, key and entry of a TOML file stands in its text, letter by letter: what edits and messages need.

tomllib keeps no places, and what a builder wrote must stay to the letter, so the text is scanned once, from its first
letter to its last.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
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

Kind = Literal["table", "entry", "pair", "item"]


@dataclass(slots=True, eq=False)
class Mark:
    """A header `[table]` or `[[entry]]`, a pair `key = value`, or an item of a list, from letter `begin` to `end`.

    `names` are the letters of each name in a header or key, `value` is where the value of a pair or item begins,
    `line` counts from 1. `around` is the pair or item in whose brackets or braces this one stands.
    """

    kind: Kind
    path: Path
    begin: int
    line: int
    around: Mark | None = None
    names: tuple[tuple[int, int], ...] = ()
    value: int = 0
    end: int = 0

    def named(self) -> Iterator[tuple[Path, int, int]]:
        """Each name of a header or key: the path of what it names, and its letters."""
        depths = [depth for depth, part in enumerate(self.path, start=1) if isinstance(part, str)]
        for depth, (begin, end) in zip(depths[len(depths) - len(self.names) :], self.names, strict=True):
            yield self.path[:depth], begin, end


@dataclass(slots=True)
class _Open:
    """Brackets or braces that are not closed yet, the value of `mark`.

    `entry` is the mark of what is read within them; none while its key is. `deeper` counts what is open within it
    beyond the depth that is looked at.
    """

    sign: str
    mark: Mark
    count: int = 0
    entry: Mark | None = None
    deeper: int = 0


@dataclass(slots=True)
class _Scan:
    """What has been read: the marks, the names of the header or key in reading, and what is open around it."""

    marks: list[Mark] = field(default_factory=list)
    names: list[tuple[str, int, int]] = field(default_factory=list)
    stack: list[_Open] = field(default_factory=list)

    def key(self, kind: Kind, table: Path, line: int, around: Mark | None = None) -> Mark:
        """The mark of the key that was read."""
        words, spans = [name for name, _, _ in self.names], tuple((a, b) for _, a, b in self.names)
        mark = Mark(kind, (*table, *words), spans[0][0] if spans else 0, line, around, spans)
        self.marks.append(mark)
        self.names.clear()
        return mark


def marks(text: str) -> list[Mark]:
    """All of them, in the order of the text. What is no TOML has marks as far as it looks like it."""
    scan = _Scan()
    counts: dict[Path, int] = {}
    table: Path = ()
    pair: Mark | None = None  # whose value is being read
    header: tuple[int, int] | None = None  # letter and line of the bracket that opened it
    line, is_entry = 1, False
    for token in _TOKEN.finditer(text):
        sign, begin, end = token[1], token.start(1), token.end(1)
        if scan.stack:
            _within(scan, sign, begin, end, line)
        elif sign in ("\n", ""):
            pair = header = None
            scan.names.clear()
        elif header:
            if sign == "[":
                is_entry = True
            elif sign == "]" and scan.names:
                mark = scan.key("entry" if is_entry else "table", (), header[1])
                mark.path = table = _resolved(mark.path, counts, is_entry=is_entry)
                mark.begin, mark.end = header[0], end + is_entry
            elif sign not in (".", "]"):
                scan.names.append((unquoted(sign), begin, end))
        elif pair:
            pair.value, pair.end = pair.value or begin, end
            if sign in ("[", "{"):
                scan.stack.append(_Open(sign, pair))
        elif sign == "[" and not scan.names:
            header, is_entry = (begin, line), False
        elif sign == "=":
            pair = scan.key("pair", table, line)
            pair.end = end
        elif sign != ".":
            scan.names.append((unquoted(sign), begin, end))
        line += sign.count("\n")
    return scan.marks


def _within(scan: _Scan, sign: str, begin: int, end: int, line: int) -> None:
    """Take one token inside of brackets or braces."""
    around = scan.stack[-1]
    if sign in ("", "\n"):
        return
    if around.deeper or (sign in ("[", "{") and len(scan.stack) >= TOML_DEPTH):
        # Deeper than any key lies: only where it ends is of interest.
        around.deeper += {"[": 1, "{": 1, "]": -1, "}": -1}.get(sign, 0)
        if around.entry:
            around.entry.end = end
        return
    if sign in ("]", "}"):
        around.mark.end = end
        scan.stack.pop()
        scan.names.clear()
    elif sign == ",":
        around.count += around.sign == "["
        around.entry = None
        scan.names.clear()
    elif around.sign == "[" or around.entry:
        if around.entry is None:
            around.entry = Mark("item", (*around.mark.path, around.count), begin, line, around.mark)
            scan.marks.append(around.entry)
        around.entry.value, around.entry.end = around.entry.value or begin, end
        if sign in ("[", "{"):
            scan.stack.append(_Open(sign, around.entry))
    elif sign == "=":
        around.entry = scan.key("pair", around.mark.path, line, around.mark)
        around.entry.end = end
    elif sign != ".":
        scan.names.append((unquoted(sign), begin, end))


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
