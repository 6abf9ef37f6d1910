"""Notes of a director: what they are, their form as JSON, and where they are kept with a prop.

A director makes notes in the one file that was exported, and takes them out as JSON or as text to paste into a message
(`posekit.prop.notes_text`). They are kept with the prop as `notes.json` in the same form, each with what became of it:

    {"posekit_notes": 1, "prop": "Marsh heron", "fingerprint": "64 hex digits", "file_made": "2026-11-26",
     "notes": [{"id": "32 hex digits", "made": "2026-11-26T10:00:00Z", "kind": "change", "look": "alert",
                "part": "head", "point_mm": [1, 2, 3], "text": "lower"}]}

Every key of `Note` may stand in a note; prop, fingerprint and file_made may stand at the top, once for all. A note
belongs to a look, to a show (at a time of it), to a part (at a point of it), or to the whole figure.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, fields
from datetime import UTC, date, datetime
from typing import Any, Literal

from posekit.budgets import DAY_S, NAME_LETTERS, NOTE_BLOCKS, NOTE_LETTERS, NOTES, NOTES_BYTES, PATH_LETTERS
from posekit.errors import PosekitError, error
from posekit.fields import Vector, key
from posekit.paths import too_large
from posekit.prop.beside import with_file, without_file
from posekit.prop.folder import NOTES_FILE
from posekit.prop.model import Prop
from posekit.prop.notes_text import pasted
from posekit.textfile import decoded, json_value
from posekit.toml.places import Path, dotted
from posekit.toml.structure import ABSENT, Problems, as_found, build, tell_unknown

FORM = 1
Kind = Literal["approved", "change", "note"]
State = Literal["open", "done"]

_ID, _FINGERPRINT = re.compile("[0-9a-f]{32}"), re.compile("[0-9a-f]{64}")
_TOP = ("prop", "fingerprint", "file_made")
_LIMITS = {
    "by": NAME_LETTERS,
    "look": PATH_LETTERS,
    "show": PATH_LETTERS,
    "part": NAME_LETTERS,
    "look_was": PATH_LETTERS,
    "show_was": PATH_LETTERS,
    "part_was": NAME_LETTERS,
    "prop": NAME_LETTERS,
    "text": NOTE_LETTERS,
    "answer": NOTE_LETTERS,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """One note. `text`, `by` and all names are words of others as they came: to be shown as text, made printable.

    `revised` is when whoever made it said it in other words; the newer words count (`said_at`), in whatever order they
    come. What became of it: `done`, and `answer`, the builder's words to it. `look_was`, `show_was` and `part_was` are
    the names when the note was made, where they were changed since, `point_was_mm` the point, where the frame of its
    part was moved since; the others are those of now.
    """

    id: str = key("32 hexadecimal digits, by which the same note is known when it comes twice")
    made: str = key("when it was made, as 2026-11-26T10:00:00Z")
    revised: str | None = key(
        "when it was last put in other words; left out where it never was", default=None
    )
    kind: Kind = key("what it says of a look or show: approved or change; else note")
    by: str = key("who made it", default="")
    look: str | None = key("name of a look", default=None)
    show: str | None = key("name of a show", default=None)
    time_s: float | None = key("time of the show", unit="s", default=None, least=0, most=DAY_S)
    part: str | None = key("name of a part", default=None)
    point_mm: Vector | None = key("point in the part's own frame", unit="mm", default=None)
    text: str = key("what it says", default="")
    prop: str = key("name of the prop in the file it was made in")
    fingerprint: str = key("fingerprint of the prop in that file")
    file_made: str = key("date of that file, as 2026-11-26")
    done: str | None = key("when it was ticked off; left out while it is open", default=None)
    answer: str = key("what the builder says to it", default="")
    look_was: str | None = key("name of the look when the note was made", default=None)
    show_was: str | None = key("name of the show when the note was made", default=None)
    part_was: str | None = key("name of the part when the note was made", default=None)
    point_was_mm: Vector | None = key("the point in the frame of then", unit="mm", default=None)

    @property
    def state(self) -> State:
        """Whether it is ticked off."""
        return "open" if self.done is None else "done"

    @property
    def said_at(self) -> datetime:
        """When its words are from; a time without a zone is taken for UTC."""
        said = datetime.fromisoformat(self.revised or self.made)
        return said if said.tzinfo else said.replace(tzinfo=UTC)

    def as_dict(self) -> dict[str, Any]:
        """The note in the form of JSON, without what is left out."""
        given = {declared.name: getattr(self, declared.name) for declared in fields(self)}
        return {
            name: list(v) if isinstance(v, tuple) else v for name, v in given.items() if v not in (None, "")
        }


def read_notes(content: bytes, name: str = "notes") -> tuple[Note, ...]:
    """The notes that a director took out, as a file or as text to paste; or those that are kept with a prop.

    `name` is how messages call it. Raises PosekitError with every problem at once: nothing of a file that is wrong
    anywhere is taken.
    """
    return newest(read_blocks(content, name))


def newest(blocks: Iterable[tuple[Note, ...]]) -> tuple[Note, ...]:
    """The notes of several blocks, newest block first; of a note that is in several, the newest words, else those of
    the newest block.
    """
    found: dict[str, Note] = {}
    for block in blocks:
        for note in block:
            if note.said_at > found.setdefault(note.id, note).said_at:
                found[note.id] = note
    return tuple(found.values())


def read_blocks(content: bytes, name: str = "notes") -> tuple[tuple[Note, ...], ...]:
    """The same by the blocks in which they stand, newest first: a message may quote older ones with theirs."""
    if len(content) > NOTES_BYTES:
        raise too_large(len(content), NOTES_BYTES, name, "a file of notes")
    text = decoded(content, name)
    found = [(text,)] if text.lstrip().startswith(("{", "[")) else pasted(text)
    if not found:
        sentence = (
            "holds no notes; give the file that was taken out of the director's file, or the whole text that was "
            "sent, with its last line 'posekit notes {...}'"
        )
        raise PosekitError([error("no-notes", "", sentence, file=name)])
    if len(found) > NOTE_BLOCKS:
        sentence = f"holds more than {NOTE_BLOCKS} blocks of notes; give the newest message alone"
        raise PosekitError([error("too-many", "", sentence, file=name)])
    several = len(found) > 1
    names = [
        f"{name}, block {number} of {len(found)}" if several else name for number in range(1, len(found) + 1)
    ]
    return tuple(map(_likeliest, found, names))


def _likeliest(texts: tuple[str, ...], name: str) -> tuple[Note, ...]:
    """The notes of the first of these texts that holds any. Raises PosekitError as the first does."""
    refused: list[PosekitError] = []
    for text in texts:
        try:
            return _notes(_json(text, name), name)
        except PosekitError as problem:
            refused.append(problem)
    raise refused[0]


def kept_notes(prop: Prop) -> tuple[Note, ...]:
    """The notes that are kept with a prop, in the order they came.

    Raises PosekitError if its notes.json cannot be read, or was written by a posekit that is newer.
    """
    content = prop.files.get(NOTES_FILE)
    return () if content is None else read_notes(content, NOTES_FILE)


def with_notes(prop: Prop, notes: Iterable[Note]) -> Prop:
    """The prop with these notes in the place of those that it keeps. Raises PosekitError where they are too many or
    too long, or where those that it keeps cannot be read: what cannot be read is not written over.
    """
    kept_notes(prop)
    given = list(notes)
    if not given:
        return without_file(prop, NOTES_FILE) if NOTES_FILE in prop.files else prop
    content = notes_json(given)
    read_notes(content, NOTES_FILE)
    return with_file(prop, NOTES_FILE, content, replace=True)


def notes_json(notes: Iterable[Note]) -> bytes:
    """Notes in the form of a file; `read_notes` gives them back."""
    form = {"posekit_notes": FORM, "notes": [note.as_dict() for note in notes]}
    return (json.dumps(form, ensure_ascii=False, indent=1, allow_nan=False) + "\n").encode()


def _json(text: str, name: str) -> object:
    try:
        return json_value(text)
    except ValueError as reason:
        sentence = f"cannot be read as notes ({reason}); it may be cut short: take it out or copy it again"
        raise PosekitError([error("notes-unreadable", "", sentence, file=name)]) from None


def _notes(data: object, name: str) -> tuple[Note, ...]:
    if not isinstance(data, dict) or "posekit_notes" not in data:
        sentence = (
            "is JSON, but no notes: it has no posekit_notes; give the file taken out of the director's file"
        )
        raise PosekitError([error("no-notes", "", sentence, file=name)])
    form = data["posekit_notes"]
    if isinstance(form, bool) or form != FORM:
        right = "update posekit" if type(form) is int and form > FORM else "take it out again"
        sentence = f"= {as_found(form)}: this posekit reads form {FORM}; {right}. Nothing of it was changed"
        raise PosekitError([error("wrong-format", "posekit_notes", sentence, file=name)])
    problems = Problems()
    tell_unknown(data, ("posekit_notes", "notes", *_TOP), (), problems)
    entries = data.get("notes")
    if not isinstance(entries, list):
        problems.tell(("notes",), "wrong-type", f"= {as_found(entries)}: a list of notes is needed")
        entries = []
    if len(entries) > NOTES:
        sentence = f"has {len(entries)} notes; {NOTES} at most are kept with a prop"
        problems.tell(("notes",), "too-many", sentence)
        entries = []
    top = {each: data[each] for each in _TOP if each in data}
    built = [_note(entry, top, ("notes", number), problems) for number, entry in enumerate(entries)]
    _tell_twice(built, problems)
    if problems.found:
        raise PosekitError(error(code, dotted(at), words, file=name) for at, code, words in problems.found)
    return tuple(built)


def _note(entry: object, top: Mapping[str, Any], path: Path, problems: Problems) -> Any:
    """A note of its table, if it is one; else what is wrong is told."""
    if isinstance(entry, dict):
        given = {**top, **{name: value for name, value in entry.items() if value not in (None, "")}}
        made = build(Note, given, path, problems)
        if made is not ABSENT:
            problems.found += ((path + at, code, sentence) for at, code, sentence in _wrong_in(made))
        return made
    return problems.tell(path, "wrong-type", f"= {as_found(entry)}: a note is needed")


def _wrong_in(note: Note) -> Iterator[tuple[Path, str, str]]:
    """What cannot be so in a note whose keys are each of their kind."""
    for name, limit in _LIMITS.items():
        found = getattr(note, name) or ""
        if len(found) > limit:
            yield (name,), "too-long", f"has {len(found)} letters; {limit} at most are kept"
        if any("\ud800" <= letter <= "\udfff" for letter in found):
            yield (name,), "wrong-value", "has half a letter in it, which no file can hold; type it again"
    for name, form in (("id", _ID), ("fingerprint", _FINGERPRINT)):
        if not form.fullmatch(found := getattr(note, name)):
            yield (
                (name,),
                "wrong-value",
                f"= {as_found(found)}: {form.pattern[9:-1]} digits 0 to f are needed",
            )
    for name in ("made", "revised", "done"):
        if (found := getattr(note, name)) is not None and not _is_time(datetime, found):
            yield (name,), "wrong-value", f"= {as_found(found)}: a time as 2026-11-26T10:00:00Z is needed"
    if not _is_time(date, note.file_made):
        yield ("file_made",), "wrong-value", f"= {as_found(note.file_made)}: a date as 2026-11-26 is needed"
    if note.look is not None and note.show is not None:
        yield (
            ("show",),
            "wrong-value",
            f"= {as_found(note.show)}: a note belongs to a look or a show, not to both",
        )
    if note.time_s is not None and note.show is None:
        yield ("time_s",), "wrong-value", "stands without a show; a time is one of a show"
    if note.point_was_mm is not None and note.point_mm is None:
        yield ("point_was_mm",), "wrong-value", "stands without point_mm, where the point is now"
    if note.point_mm is not None and note.part is None:
        yield ("point_mm",), "wrong-value", "stands without a part; a point is one of a part"
    if note.kind != "note" and note.look is None and note.show is None:
        yield ("kind",), "wrong-value", f"= {as_found(note.kind)}: name the look or the show that is meant"


def _is_time(kind: type[date], found: str) -> bool:
    try:
        kind.fromisoformat(found)
    except ValueError:
        return False
    return len(found) <= len("2026-11-26T10:00:00.000000+00:00")


def _tell_twice(built: list[Any], problems: Problems) -> None:
    """Tell notes of one name that are not the same, in one file."""
    first: dict[str, int] = {}
    for number, note in enumerate(built):
        if note is not ABSENT and (other := first.setdefault(note.id, number)) != number:
            sentence = f"= {as_found(note.id)}: is the id of notes[{other}], too; each note has its own"
            problems.tell(("notes", number, "id"), "name-taken", sentence)
