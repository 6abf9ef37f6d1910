"""How a TOML file is laid out, and where in its text something can be added to it or taken out of it.

A change is a splice: (begin, end, letters that stand there instead). Statements are what stands on lines of its own: a
header, or a pair outside of all brackets.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property, lru_cache

from posekit.toml.marks import Mark, marks
from posekit.toml.places import Path, key_of

Splice = tuple[int, int, str]

_COMMA = re.compile(r"(?:[ \t\r\n]|#[^\n]*\n)*,")
_BLANK = re.compile(r"(?:[ \t]*\r?\n)*")
_SPACE = re.compile(r"[ \t]*")


def spliced(text: str, splices: Iterable[Splice]) -> str:
    """The text with these changes, none of which overlaps another; of those at one place the first stands first."""
    parts, at = [], 0
    for begin, end, new in sorted(splices, key=lambda splice: splice[:2]):
        # Lines taken out may take the blank ones between them twice.
        parts += [text[at:begin], new]
        at = max(at, end)
    return "".join([*parts, text[at:]])


@dataclass(frozen=True)
class Layout:
    """The text of a file that `tables` reads, and all of its marks."""

    text: str
    marks: tuple[Mark, ...]

    @cached_property
    def values(self) -> dict[Path, Mark]:
        """The pairs and items by path."""
        return {mark.path: mark for mark in self.marks if mark.kind in ("pair", "item")}

    @cached_property
    def headers(self) -> dict[Path, Mark]:
        """The headers by path."""
        return {mark.path: mark for mark in self.marks if mark.kind in ("table", "entry")}

    @cached_property
    def statements(self) -> list[Mark]:
        """What stands on lines of its own, in the order of the text."""
        return [mark for mark in self.marks if mark.around is None]

    def has(self, path: Path) -> bool:
        """True if something stands at or under this path."""
        return any(_is_under(mark.path, path) for mark in self.marks)

    def within(self, mark: Mark) -> list[Mark]:
        """What stands in the brackets or braces of a pair or item, one step deep."""
        return [each for each in self.marks if each.around is mark]

    def last_under(self, path: Path) -> Mark | None:
        """The last statement at or under a path."""
        return next((mark for mark in reversed(self.statements) if _is_under(mark.path, path)), None)

    def with_pair(self, table: Path, name: str, value: str) -> Splice:
        """Add `name = value` to a table that is there, behind its last key."""
        if mark := self.values.get(table):  # in braces
            return self.with_item(mark, f"{key_of(name)} = {value}")
        if not table or table in self.headers:
            at = self._section_end(table)
            return self._lines(at, f"{self._indent_of(table)}{key_of(name)} = {value}\n")
        pairs = (mark for mark in self.marks if mark.kind == "pair")
        of_dots = [mark for mark in pairs if any(path == table for path, _, _ in mark.named())]
        if not of_dots:  # there are only headers below it
            begin = self._line_begin(next(m for m in self.statements if _is_under(m.path, table)).begin)
            header = f"[{'.'.join(key_of(str(part)) for part in table)}]"
            return self._lines(begin, f"{header}\n{key_of(name)} = {value}\n\n")
        last = of_dots[-1]
        end = next(end for path, _, end in last.named() if path == table)
        key = f"{self.text[last.begin : end]}.{key_of(name)} = {value}"
        if last.around is not None:
            return last.end, last.end, f", {key}"
        indent = self.text[self._line_begin(last.begin) : last.begin]
        return self._lines(self._line_end(last.end), f"{indent}{key}\n")

    def with_item(self, mark: Mark, item: str) -> Splice:
        """Add an item to a list in brackets, or a pair to a table in braces, behind the last one."""
        there = self.within(mark)
        if not there:
            return mark.end - 1, mark.end - 1, item
        last = there[-1]
        indent = self.text[self._line_begin(last.begin) : last.begin]
        if indent.strip() or self._line_begin(last.begin) <= mark.value:
            return last.end, last.end, f", {item}"
        comma = _COMMA.match(self.text, last.end)
        if comma is None:
            return last.end, last.end, f",{self._newline}{indent}{item}"
        at = self._line_end(comma.end())
        if at >= mark.end:  # the closing bracket stands on that line
            return comma.end(), comma.end(), f"{self._newline}{indent}{item},"
        return self._lines(at, f"{indent}{item},\n")

    def with_block(self, kin: Path, block: str, after: Iterable[str] = ()) -> Splice:
        """Add lines under a header of their own behind the last statement at or under `kin`.

        Without one they come behind the last statement of the latest of the tables `after`, else at the end.
        """
        last = self.last_under(kin)
        for name in after:
            last = last or self.last_under((name,))
        at = len(self.text) if last is None else self._line_end(last.end)
        before, behind = self.text[:at], self.text[at:]
        is_apart = not before.strip() or before.endswith(("\n\n", "\n\r\n"))
        lead = "" if is_apart or len(kin) > 1 else "\n"
        tail = "" if not behind or behind.startswith(("\n", "\r\n")) or len(kin) > 1 else "\n"
        return self._lines(at, f"{lead}{block}{tail}")

    def before_item(self, path: Path, lines: str) -> Splice:
        """Put what stands under a header, or an item of a list in brackets, before one that is there."""
        if mark := self.values.get(path):
            return mark.begin, mark.begin, f"{lines}, "
        begin, _ = self.block(path)
        is_apart = not self.text[:begin].strip() or self.text[:begin].endswith(("\n\n", "\n\r\n"))
        return self._lines(begin, f"{lines}\n" if is_apart else lines)

    def block(self, path: Path) -> tuple[int, int]:
        """The lines of a table under a header, with the comments right above it."""
        runs = self.runs(path)
        begin, end = runs[0][0], runs[-1][1]
        lines = self.text[:begin].splitlines(keepends=True)
        # Ends: a line is taken off each time.
        while lines and lines[-1].lstrip().startswith("#"):
            begin -= len(lines.pop())
        return begin, end

    def without_block(self, path: Path) -> Splice:
        """Take out the lines of `block`."""
        return self._lines_out(*self.block(path))

    def without(self, path: Path) -> list[Splice]:
        """Take out a key, a table or an item, with the comments in and beside it."""
        mark = self.values.get(path)
        if mark is not None and mark.around is not None:
            return [self._item_out(mark, mark.around)]
        return [self._lines_out(begin, end) for begin, end in self.runs(path)]

    def in_line(self, path: Path) -> list[Path]:
        """What stands in the brackets or braces of something else and is this path, or with dots a part of it."""
        return [
            mark.path
            for mark in self.values.values()
            if mark.around is not None
            and _is_under(mark.path, path)
            and not _is_under(mark.around.path, path)
        ]

    def runs(self, path: Path) -> list[tuple[int, int]]:
        """The lines of all statements at or under a path, those that hang together as one."""
        runs: list[tuple[int, int]] = []
        follows = False
        for mark in self.statements:
            is_meant = _is_under(mark.path, path)
            if is_meant:
                begin, end = self._line_begin(mark.begin), self._line_end(mark.end)
                if follows:  # with the comments between them
                    runs[-1] = (runs[-1][0], end)
                else:
                    runs.append((begin, end))
            follows = is_meant
        return runs

    def _lines_out(self, begin: int, end: int) -> Splice:
        """Take out whole lines, and of the blank ones before and behind them the fewer."""
        start = len(self.text[:begin].rstrip("\r\n"))
        start = self._line_end(start) if start else 0  # where the blank lines before begin
        blank = _BLANK.match(self.text, end)
        stop = blank.end() if blank else end
        if stop >= len(self.text) or self.text.count("\n", start, begin) < self.text.count("\n", end, stop):
            return start, end if stop < len(self.text) else stop, ""
        return begin, stop, ""

    def _item_out(self, mark: Mark, around: Mark) -> Splice:
        there = self.within(around)
        row = next(i for i, each in enumerate(there) if each is mark)
        comma = _COMMA.match(self.text, mark.end)
        end = comma.end() if comma and comma.end() < around.end else mark.end
        begin, line_end = self._line_begin(mark.begin), self._line_end(end)
        rest = self.text[end:line_end].strip()
        alone = not self.text[begin : mark.begin].strip() and (not rest or rest.startswith("#"))
        if alone and begin > around.value:
            return begin, line_end, ""
        if row + 1 < len(there):
            space = _SPACE.match(self.text, end)
            return mark.begin, space.end() if space else end, ""
        if row and "\n" not in self.text[there[row - 1].end : mark.begin]:
            return there[row - 1].end, mark.end, ""
        return mark.begin, end, ""

    def _section_end(self, table: Path) -> int:
        """Where a new pair of a table under a header, or before all headers, begins."""
        at, inside = 0, not table
        for mark in self.statements:
            if mark.kind != "pair":
                if inside and (table or at):
                    return at
                inside = mark.path == table
                at = self._line_end(mark.end) if inside else at
                if not table:
                    break
            elif inside:
                at = self._line_end(mark.end)
        return at

    def _indent_of(self, table: Path) -> str:
        pairs = [mark for mark in self.statements if mark.kind == "pair" and mark.path[:-1] == table]
        return self.text[self._line_begin(pairs[-1].begin) : pairs[-1].begin] if pairs else ""

    def _lines(self, at: int, lines: str) -> Splice:
        """Put lines in, behind a last line that has no end, too."""
        start = "" if not at or self.text[at - 1] == "\n" else "\n"
        return at, at, f"{start}{lines}".replace("\r\n", "\n").replace("\n", self._newline)

    @cached_property
    def _newline(self) -> str:
        return "\r\n" if "\r\n" in self.text else "\n"

    def _line_begin(self, at: int) -> int:
        return self.text.rfind("\n", 0, at) + 1

    def _line_end(self, at: int) -> int:
        return self.text.find("\n", at) + 1 or len(self.text)


@lru_cache(maxsize=2)  # an edit asks several times of the same text, and once of what came of it
def layout(text: str) -> Layout:
    """How the text of a TOML file is laid out."""
    return Layout(text, tuple(marks(text)))


def _is_under(path: Path, table: Path) -> bool:
    return path[: len(table)] == table
