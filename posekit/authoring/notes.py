"""A director's notes in a prop: taken in, ticked off, opened again, and led along where what they name changes."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any, Literal

from posekit.arrays import Array
from posekit.errors import Finding, PosekitError, error, warning
from posekit.errors import note as note_of
from posekit.prop.folder import LOOKS, NOTES_FILE, SHOWS, in_folder
from posekit.prop.model import Prop
from posekit.prop.notes import Note, kept_notes, notes_json, with_notes
from posekit.text import counted, listed

Named = Literal["look", "show", "part"]
NAMED: tuple[Named, ...] = ("look", "show", "part")
LEAST_DIGITS = 4  # of an id that is typed; fewer may be meant for another kind of number

# What the director says; all else of a note is what became of it, or of the file it was made in.
_SAID = ("made", "by", "kind", "look", "show", "time_s", "part", "point_mm", "text")


@dataclass(frozen=True, slots=True)
class Taken:
    """The prop with notes taken in: those that are new, that came with other words, and that it had already."""

    prop: Prop
    new: tuple[Note, ...]
    amended: tuple[Note, ...]
    again: tuple[Note, ...]

    @property
    def sentence(self) -> str:
        """What was taken in, counted."""
        counts = (
            (len(self.new), "new"),
            (len(self.amended), "with other words"),
            (len(self.again), "here already"),
        )
        told = [f"{count} {words}" for count, words in counts if count]
        return f"Notes: {', '.join(told) or 'none'}."


def take(prop: Prop, notes: Iterable[Note]) -> Taken:
    """The prop with these notes. One that it has already stays as it is, ticked off or open; one that came with other
    words takes the place of the one before, and is open again.

    Names that are known to have changed since are led along. Raises PosekitError where they are too many together.
    """
    kept = {note.id: note for note in kept_notes(prop)}
    renamed = _renamed_since(prop, kept.values())
    new: list[Note] = []
    amended: list[Note] = []
    again: list[Note] = []
    for note in notes:
        before = kept.get(note.id)
        if before is not None and _said(before) == _said(note):
            again.append(before)
            continue
        led = _led(note, renamed)
        (new if before is None else amended).append(led)
        kept[note.id] = led
    taken = prop if not (new or amended) else with_notes(prop, kept.values())
    return Taken(taken, tuple(new), tuple(amended), tuple(again))


def tick(prop: Prop, note_id: str, when: str, answer: str | None = None) -> Prop:
    """The prop with a note ticked off at a time (as 2026-11-26T10:00:00Z), with what the builder says to it; None
    leaves what was said. Raises PosekitError for a note that is not there.
    """
    note = _found(prop, note_id)
    said = note.answer if answer is None else answer.strip()
    return _with(prop, replace(note, done=note.done or when, answer=said))


def reopen(prop: Prop, note_id: str) -> Prop:
    """The prop with a note open again; what was said to it stays. Raises PosekitError for a note that is not there."""
    return _with(prop, replace(_found(prop, note_id), done=None))


def _found(prop: Prop, note_id: str) -> Note:
    """The note of this id, or of one that begins so. Raises PosekitError where there is none, or more than one."""
    wanted = note_id.strip().lower()
    fits = [note for note in kept_notes(prop) if note.id.startswith(wanted) and len(wanted) >= LEAST_DIGITS]
    if len(fits) != 1:
        why = (
            f"begins {len(fits)} notes; give more of its digits"
            if fits
            else "is the id of no note of this prop"
        )
        right = "" if fits else f"; give {LEAST_DIGITS} digits of it or more, as posekit notes lists them"
        raise PosekitError([error("unknown-name", note_id, why + right)])
    return fits[0]


def renamed(
    prop: Prop, files: Mapping[str, bytes], kind: Named, names: Mapping[str, str]
) -> dict[str, bytes]:
    """These files with the notes of the prop led along to other names of parts, looks or shows, old to new.

    Notes that cannot be read stay as they are (`unread_notes`).
    """
    return _changed(prop, files, lambda note: _called(note, kind, names.get(getattr(note, kind), "")))


def renamed_files(prop: Prop, files: Mapping[str, bytes], moved: Mapping[str, str]) -> dict[str, bytes]:
    """The same for files of looks and shows that have other paths: a name may change by the ending of another file."""
    kinds: tuple[tuple[Named, str], ...] = (("look", LOOKS), ("show", SHOWS))
    for kind, folder in kinds:
        now = {path: name for name, path in in_folder(files, folder).items()}
        before = in_folder(prop.files, folder).items()
        names = {name: now[moved.get(path, path)] for name, path in before if moved.get(path, path) in now}
        files = renamed(prop, files, kind, names)
        prop = replace(
            prop, files={**prop.files, **{path: files[path] for path in (NOTES_FILE,) if path in files}}
        )
    return dict(files)


def moved_frame(prop: Prop, link: str, new_from_old: Array) -> dict[str, bytes]:
    """The files of a prop with the points of notes where they were while the frame (4, 4) [mm] of a part changes."""

    def moved(note: Note) -> Note:
        if note.part != link or note.point_mm is None:
            return note
        x, y, z = (new_from_old @ (*note.point_mm, 1.0))[:3].round(6).tolist()
        return replace(note, point_mm=(x, y, z))

    return _changed(prop, prop.files, moved)


def unread_notes(prop: Prop) -> list[Finding]:
    """A warning where the notes cannot be read, so that a name in them is not followed."""
    try:
        kept_notes(prop)
    except PosekitError:
        sentence = "cannot be read as notes, so what they name was left as it is"
        return [warning("left-alone", "", sentence, file=NOTES_FILE)]
    return []


def left_without_part(old: Prop, new: Prop) -> list[Finding]:
    """What to tell where parts went to which notes belong: the notes stay, and belong to nothing."""
    gone = {link.name for link in old.links} - {link.name for link in new.links}
    try:
        left = [note.part for note in kept_notes(old) if note.part in gone]
    except PosekitError:  # told wherever notes are asked for
        return []
    told = f"{counted(len(left), 'note')} of the director belong to it; they stay, and say that it is gone"
    return [note_of("notes-left", listed(sorted(set(left))), told)] if left else []


def _changed(prop: Prop, files: Mapping[str, bytes], change: Callable[[Note], Note]) -> dict[str, bytes]:
    try:
        before = kept_notes(prop)
    except PosekitError:  # told by `unread_notes`
        return dict(files)
    after = tuple(map(change, before))
    return dict(files) if after == before else {**files, NOTES_FILE: notes_json(after)}


def _with(prop: Prop, changed: Note) -> Prop:
    return with_notes(prop, (changed if note.id == changed.id else note for note in kept_notes(prop)))


def _called(note: Note, kind: Named, name: str) -> Note:
    """A note with another name for what it belongs to; the one it had when it was made is kept beside it."""
    before = getattr(note, kind)
    if not name or before is None or name == before:
        return note
    first = getattr(note, f"{kind}_was") or before
    changes: dict[str, Any] = {kind: name, f"{kind}_was": None if first == name else first}
    return replace(note, **changes)


def _renamed_since(prop: Prop, kept: Iterable[Note]) -> dict[tuple[Named, str], str]:
    """Names that are no more, as other notes knew them, and what they are now."""
    there = {
        "look": set(in_folder(prop.files, LOOKS)),
        "show": set(in_folder(prop.files, SHOWS)),
        "part": {link.name for link in prop.links},
    }
    known = ((kind, getattr(note, f"{kind}_was"), getattr(note, kind)) for note in kept for kind in NAMED)
    return {
        (kind, was): now for kind, was, now in known if was and was not in there[kind] and now in there[kind]
    }


def _led(note: Note, names: Mapping[tuple[Named, str], str]) -> Note:
    for kind in NAMED:
        note = _called(note, kind, names.get((kind, getattr(note, kind) or ""), ""))
    return note


def _said(note: Note) -> tuple[object, ...]:
    """What the director said, by the names of then."""
    then: dict[str, str | None] = {
        kind: getattr(note, f"{kind}_was") or getattr(note, kind) for kind in NAMED
    }
    return tuple(then[name] if name in then else getattr(note, name) for name in _SAID)
