"""What crosses the door about a director's notes. Words of others are made safe to show: text, never markup."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from posekit.bridge.views import FindingView, Point


@dataclass(frozen=True, slots=True)
class NoteView:
    """One note. `where` is all that it belongs to in words, `group` what it is listed under.

    `look`, `show` (a path), `part` are what it belongs to of what is there now, null where it is gone or names none;
    `point` is in the frame of the part, in metres, as the picture has it. Dates are days. `changed` is what has changed
    since it was made.
    """

    number: int
    id: str
    kind: Literal["approved", "change", "note"]
    state: Literal["open", "done"]
    group: str
    where: str
    text: str
    by: str
    made: str
    look: str | None
    show: str | None
    time_s: float | None
    part: str | None
    point: Point | None
    done: str
    answer: str
    changed: tuple[FindingView, ...]


@dataclass(frozen=True, slots=True)
class NotesView:
    """The notes of the open prop in their groups, open ones first, and how many there are of each state in words;
    `refused` is why they cannot be read.
    """

    counted: str
    notes: tuple[NoteView, ...]
    refused: tuple[FindingView, ...]


@dataclass(frozen=True, slots=True)
class NotesInView:
    """What taking notes in would do, counted in a sentence; `changes` if it would change anything."""

    sentence: str
    changes: bool
