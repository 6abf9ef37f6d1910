"""On which line of a TOML file each key stands, for messages. Read only when there is something to tell."""

from __future__ import annotations

from posekit.budgets import TOML_DEPTH
from posekit.toml.marks import marks
from posekit.toml.places import Path


def lines_of_keys(text: str) -> dict[Path, int]:
    """The line (from 1) of every table and key of a TOML file, by key path.

    What stands within brackets or braces has a line of its own where that is another than theirs. A table without a
    header, as `drives` seldom has one, begins where the first of what it holds does.
    """
    lines: dict[Path, int] = {}
    within: dict[Path, int] = {}
    for mark in marks(text):
        if mark.around is None or mark.line != mark.around.line:
            lines.setdefault(mark.path, mark.line)
        if mark.around is None:
            for size in range(1, min(len(mark.path), TOML_DEPTH)):
                within.setdefault(mark.path[:size], mark.line)
    return within | lines


def line_of(path: Path, lines: dict[Path, int]) -> int | None:
    """The line of a key path, or of the nearest table around it."""
    # Ends: the path grows shorter.
    while path:
        if path in lines:
            return lines[path]
        path = path[:-1]
    return None
