"""Where in the text of a TOML file a key stands, for messages. Read only when there is something to tell."""

from __future__ import annotations

import re

Path = tuple[str | int, ...]

_HEADER = re.compile(r"^\s*(\[\[?)\s*(.+?)\s*\]\]?\s*(?:#.*)?$")
_ASSIGNMENT = re.compile(
    r"""^\s*((?:[A-Za-z0-9_-]+|"[^"]*"|'[^']*')(?:\s*\.\s*(?:[A-Za-z0-9_-]+|"[^"]*"|'[^']*'))*)\s*="""
)
_PART = re.compile(r"""[A-Za-z0-9_-]+|"[^"]*"|'[^']*'""")


def lines_of_keys(text: str) -> dict[Path, int]:
    """The line (from 1) of every table header and every key at the start of a line, by key path."""
    lines: dict[Path, int] = {}
    counts: dict[Path, int] = {}
    table: Path = ()
    for number, line in enumerate(text.split("\n"), start=1):
        if header := _HEADER.match(line):
            table = _resolve(_parts(header[2]), counts, opens_entry=header[1] == "[[")
            lines.setdefault(table, number)
        elif assignment := _ASSIGNMENT.match(line):
            lines.setdefault(table + _parts(assignment[1]), number)
    return lines


def line_of(path: Path, lines: dict[Path, int]) -> int | None:
    """The line of a key path, or of the nearest table around it."""
    while path:
        if path in lines:
            return lines[path]
        path = path[:-1]
    return None


def dotted(path: Path) -> str:
    """A key path as the builder writes it: `links.body.shapes[0].box`."""
    text = ""
    for part in path:
        text += f"[{part}]" if isinstance(part, int) else f".{part}" if text else part
    return text


def parse(path: str) -> Path:
    """The other way round: `links.body.shapes[0].box` as a tuple."""
    parts: list[str | int] = []
    for name, index in re.findall(r"([^.\[\]]+)|\[(\d+)\]", path):
        parts.append(int(index) if index else name)
    return tuple(parts)


def _parts(text: str) -> Path:
    return tuple(part.strip("\"'") for part in _PART.findall(text))


def _resolve(path: Path, counts: dict[Path, int], *, opens_entry: bool) -> Path:
    """Put the index of the latest `[[entry]]` behind each array of tables on the way."""
    resolved: Path = ()
    for depth, part in enumerate(path, start=1):
        resolved += (part,)
        if opens_entry and depth == len(path):
            counts[resolved] = counts.get(resolved, -1) + 1
        if resolved in counts:
            resolved += (counts[resolved],)
    return resolved
