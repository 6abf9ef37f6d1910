"""Where in the text of a TOML file a key stands, for messages. Read only when there is something to tell."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Iterable
from dataclasses import replace

from posekit.errors import Finding, error

Path = tuple[str | int, ...]

_HEADER = re.compile(r"^\s*(\[\[?)\s*(.+?)\s*\]\]?\s*(?:#.*)?$")
_BARE = r"[A-Za-z0-9_-]+"
_QUOTED = r"""\"(?:[^"\\]|\\.)*\"|'[^']*'"""
_PART = re.compile(f"{_BARE}|{_QUOTED}")
_ASSIGNMENT = re.compile(rf"^\s*((?:{_PART.pattern})(?:\s*\.\s*(?:{_PART.pattern}))*)\s*=")
# In a message or a typed path a name may also stand bare that TOML would have in quotes, as far as it is clear.
_STEP = re.compile(rf"({_QUOTED})|([^.\[\]]+)|\[(\d+)\]")


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
    # Ends: the path grows shorter.
    while path:
        if path in lines:
            return lines[path]
        path = path[:-1]
    return None


def dotted(path: Path) -> str:
    """A key path as the builder writes it: `links.body.shapes[0].box`, `drives."arm.left".address`."""
    steps = (f"[{part}]" if isinstance(part, int) else f".{_key(part)}" for part in path)
    return "".join(steps).removeprefix(".")


def parse(path: str) -> Path:
    """The other way round: `links.body.shapes[0].box` as a tuple."""
    return tuple(
        int(index) if index else _unquoted(quoted) if quoted else bare
        for quoted, bare, index in _STEP.findall(path)
    )


def placed(found: list[tuple[Path, str, str]], text: str, name: str) -> list[Finding]:
    """Problems as findings with their lines, in the order of the file."""
    lines = lines_of_keys(text)
    findings = [
        error(code, dotted(path), sentence, file=name, line=line_of(path, lines))
        for path, code, sentence in found
    ]
    return sorted(findings, key=lambda finding: finding.line or 0)


def in_file(findings: Iterable[Finding], text: str, file: str | None) -> list[Finding]:
    """Findings whose subjects are key paths, with the lines on which these stand in the text of the file.

    A finding that names another file keeps it.
    """
    lines = lines_of_keys(text)
    return [
        finding
        if finding.file is not None
        else replace(finding, file=file, line=line_of(parse(finding.subject), lines))
        for finding in findings
    ]


def _parts(text: str) -> Path:
    return tuple(_unquoted(part) for part in _PART.findall(text))


def _key(name: str) -> str:
    """A name as a key of TOML. JSON escapes what TOML escapes, the same way."""
    return name if re.fullmatch(_BARE, name) else json.dumps(name, ensure_ascii=False)


def _unquoted(key: str) -> str:
    """The name that a key of TOML, with quotes or without, stands for."""
    if not key.startswith(("'", '"')):
        return key
    try:
        return next(iter(tomllib.loads(f"{key} = 0")))
    except tomllib.TOMLDecodeError:  # an escape that TOML does not have
        return key[1:-1]


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
