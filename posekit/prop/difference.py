"""How the files of a prop differ from those that would take their place: what is shown before anything is written."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from typing import Literal

from posekit.budgets import DIFFERENCE_LETTERS, DIFFERENCE_LINES
from posekit.paths import megabytes
from posekit.prop.folder import MESHES, PROP_FILE
from posekit.text import printable

AROUND = 3  # lines beside a change that stay as they are, as patches have them

Mark = Literal["+", "-", " "]


@dataclass(frozen=True, slots=True)
class Line:
    """One line: comes (+), goes (-) or stays. `number` is its line in the file it is of: the old one where it goes."""

    mark: Mark
    number: int
    text: str


@dataclass(frozen=True, slots=True)
class FileDifference:
    """What becomes of one file. `parts` are the stretches of lines that change, each with some lines around it.

    A file that is no text, or that differs in too many lines to show, has no parts; `words` then tell what there is
    to tell. `come` and `go` count lines.
    """

    path: str
    kind: Literal["new", "changed", "removed"]
    come: int
    go: int
    parts: tuple[tuple[Line, ...], ...]
    words: str


def digest(content: bytes) -> str:
    """The name of what a file holds: two files of the same name hold the same (SHA-256, FIPS 180-4)."""
    return hashlib.sha256(content).hexdigest()


def differences(old: Mapping[str, bytes], new: Mapping[str, bytes | None]) -> tuple[FileDifference, ...]:
    """What the `new` files change in the `old` ones, `prop.toml` first; None removes a file. What stays is left out."""
    paths = sorted(new, key=lambda path: (path != PROP_FILE, path))
    return tuple(_of_file(path, old.get(path), new[path]) for path in paths if old.get(path) != new[path])


def _of_file(path: str, old: bytes | None, new: bytes | None) -> FileDifference:
    kind: Literal["new", "changed", "removed"] = (
        "new" if old is None else "changed" if new is not None else "removed"
    )
    before, after = (_lines(path, content) for content in (old, new))
    if before is None or after is None:
        return FileDifference(path, kind, 0, 0, (), _sizes(old, new))
    same = _same_at_start(before, after)
    tail = _same_at_start(before[same:][::-1], after[same:][::-1])
    changed = before[same : len(before) - tail], after[same : len(after) - tail]
    if sum(map(len, changed)) > DIFFERENCE_LINES:
        words = f"more than {DIFFERENCE_LINES} lines differ: too many to show; {_sizes(old, new)}"
        return FileDifference(path, kind, len(changed[1]), len(changed[0]), (), words)
    parts = _parts(before, after, same, tail)
    come, go = (sum(line.mark == mark for part in parts for line in part) for mark in ("+", "-"))
    return FileDifference(path, kind, come, go, parts, "" if parts else "differs in line ends alone")


def _parts(before: list[str], after: list[str], same: int, tail: int) -> tuple[tuple[Line, ...], ...]:
    """The stretches that change. What is the same at the start and the end is compared no more, but for its edge."""
    start = max(0, same - AROUND)
    ends = [len(lines) - max(0, tail - AROUND) for lines in (before, after)]
    matcher = SequenceMatcher(None, before[start : ends[0]], after[start : ends[1]])
    found = []
    for group in matcher.get_grouped_opcodes(AROUND):
        part: list[Line] = []
        for what, old_from, old_to, new_from, new_to in group:
            if what == "equal":
                part += _marked(" ", after, start + new_from, start + new_to)
            else:
                part += _marked("-", before, start + old_from, start + old_to)
                part += _marked("+", after, start + new_from, start + new_to)
        found.append(tuple(part))
    return tuple(found)


def _marked(mark: Mark, lines: Sequence[str], start: int, end: int) -> list[Line]:
    shown = (printable(line.replace("\t", "    "), DIFFERENCE_LETTERS) for line in lines[start:end])
    return [Line(mark, number, text) for number, text in enumerate(shown, start + 1)]


def _lines(path: str, content: bytes | None) -> list[str] | None:
    """The lines of a file that people write; None for one that they do not."""
    if content is None:
        return []
    if path.startswith(MESHES) or b"\0" in content:
        return None
    try:
        return content.decode("utf-8-sig").splitlines()
    except UnicodeDecodeError:
        return None


def _same_at_start(one: list[str], other: list[str]) -> int:
    """How many lines are the same before the first that is not."""
    pairs = zip(one, other, strict=False)
    return next((at for at, (a, b) in enumerate(pairs) if a != b), min(len(one), len(other)))


def _sizes(old: bytes | None, new: bytes | None) -> str:
    if old is None or new is None:
        return megabytes(len(old or new or b""))
    return f"{megabytes(len(old))} before, {megabytes(len(new))} now"
