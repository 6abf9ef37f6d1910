"""A document as Markdown: CommonMark with the tables of GFM. Words of others can neither end a cell nor mark up."""

from __future__ import annotations

import re
from collections.abc import Iterable

from posekit.output.document import WRITE, Block, Card, Cell, Column, Document, Table
from posekit.text import printable

# What can mark up, link, end a cell or begin a tag wherever it stands; then what does so only at the beginning of a
# block, or of an address. A backslash takes its meaning from each (CommonMark 2.4; GFM 6.9 for addresses).
_MARKS = re.compile(r"[\\`*{}\[\]<>|~&@$]|(?<![A-Za-z0-9])_|_(?![A-Za-z0-9])|:(?=//)|(?i:(?<=www))\.")
_BEGIN = re.compile(r"^(\s*)([#+\-=]|[0-9]+(?=[.)]))")
_LINE = "\\_\\_\\_\\_"
_RULES = {"text": ":--", "number": "--:", "write": ":--", "tick": ":-:"}


def encode(document: Document) -> str:
    """The document as Markdown text; pictures are left out, and what is said under them stands."""
    parts = [f"# {_plain(document.title)}", *_facts(document.facts)]
    for block in document.blocks:
        parts += _block(block)
    if document.foot:
        parts.append(_plain(document.foot))
    return "\n\n".join(parts) + "\n"


def _block(block: Block) -> list[str]:
    if isinstance(block, Table):
        return [f"## {_plain(block.title)}", _table(block), *([_plain(block.note)] if block.note else [])]
    if isinstance(block, Card):
        return [f"## {_plain(block.title)}", _plain(block.said), *_facts(block.facts), *_points(block.watch)]
    return [f"## {_plain(block.title)}", *_points(block.lines)]


def _facts(facts: tuple[tuple[str, str], ...]) -> list[str]:
    return _list(f"{_plain(name)}: {_LINE if said == WRITE else _inline(said)}" for name, said in facts)


def _points(lines: tuple[str, ...]) -> list[str]:
    return _list(map(_plain, lines))


def _list(points: Iterable[str]) -> list[str]:
    lines = [f"- {point}" for point in points]
    return ["\n".join(lines)] if lines else []


def _table(table: Table) -> str:
    rows = [[_plain(column.title) for column in table.columns], [_RULES[c.kind] for c in table.columns]]
    rows += [
        [_cell(cell, column) for cell, column in zip(row, table.columns, strict=True)] for row in table.rows
    ]
    return "\n".join(f"| {' | '.join(row)} |" for row in rows)


def _cell(cell: Cell, column: Column) -> str:
    if column.kind == "tick":
        return "☐"
    lines = (cell,) if isinstance(cell, str) else cell
    return " / ".join(_LINE if line == WRITE else _inline(line) for line in lines)


def _inline(words: str) -> str:
    """Words that do not begin a block."""
    return _MARKS.sub(r"\\\g<0>", printable(words))


def _plain(words: str) -> str:
    """Words that may begin one: what would make it a heading, a list or a line is taken its meaning."""
    said = _inline(words)
    begin = _BEGIN.match(said)
    if begin is None:
        return said
    # Of a number it is the dot behind it that would make a list.
    place = begin.end(1) if not begin[2].isdigit() else begin.end(2)
    return f"{said[:place]}\\{said[place:]}"
