"""A director's notes in a prop: taken in, ticked off, opened again, removed, and led along with what they name."""

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

# What the director says, and where it is kept what was said before something moved; all else of a note is what became
# of it, or of the file it was made in.
_SAID = {name: name for name in ("made", "by", "kind", "time_s", "text")}
_SAID |= {kind: f"{kind}_was" for kind in NAMED} | {"point_mm": "point_was_mm"}
# What became of a note is for the builder's prop to say, not for what comes in.
_UNSAID: dict[str, Any] = {"done": None, "answer": "", "point_was_mm": None} | {
    f"{kind}_was": None for kind in NAMED
}


@dataclass(frozen=True, slots=True)
class Taken:
    """The prop with notes taken in: those that are new, that say something else now, that it had already, and that it
    has in newer words than came; and from how many blocks of notes.
    """

    prop: Prop
    new: tuple[Note, ...]
    amended: tuple[Note, ...]
    again: tuple[Note, ...]
    older: tuple[Note, ...]
    blocks: int = 1

    @property
    def sentence(self) -> str:
        """What was taken in, counted."""
        counts = (
            (len(self.new), "new"),
            (len(self.amended), "changed"),
            (len(self.again), "here already"),
            (len(self.older), "here in newer words, which stay"),
        )
        told = [f"{count} {words}" for count, words in counts if count]
        source = f", from {self.blocks} blocks of notes" if self.blocks > 1 else ""
        return f"Notes: {', '.join(told) or 'none'}{source}."


def take(prop: Prop, notes: Iterable[Note], blocks: int = 1) -> Taken:
    """The prop with these notes, of which only what the director says is taken: what became of them is said here.

    Notes that it has already stay as they are, whatever names changed and frames moved since: taking notes in again
    changes nothing. One that says something else takes the place of the one before, unless that was said later; it is
    open again, and its answer stays. Names that are known to have changed since are led along. `blocks` is told as
    where they came from. Raises PosekitError where they are too many together.
    """
    kept = {note.id: note for note in kept_notes(prop)}
    renamed = _renamed_since(prop, kept.values())
    new: list[Note] = []
    amended: list[Note] = []
    again: list[Note] = []
    older: list[Note] = []
    for came in notes:
        note = replace(came, **_UNSAID)
        before = kept.get(note.id)
        if before is None:
            kept[note.id] = _led(note, renamed)
            new.append(kept[note.id])
        elif all(_says(before, note, name) for name in _SAID):
            again.append(before)
        elif note.said_at < before.said_at:
            older.append(before)
        else:
            kept[note.id] = _amended(before, note, renamed)
            amended.append(kept[note.id])
    taken = prop if not (new or amended) else with_notes(prop, kept.values())
    return Taken(taken, tuple(new), tuple(amended), tuple(again), tuple(older), blocks)


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


def without_note(prop: Prop, note_id: str) -> Prop:
    """The prop without a note; the numbers of those after it are one less. Raises PosekitError for a note that is not
    there.
    """
    gone = _found(prop, note_id)
    return with_notes(prop, (note for note in kept_notes(prop) if note.id != gone.id))


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
        first = note.point_was_mm or note.point_mm
        return replace(note, point_mm=(x, y, z), point_was_mm=None if first == (x, y, z) else first)

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


def _amended(before: Note, note: Note, renamed: Mapping[tuple[Named, str], str]) -> Note:
    """What a note says now, with the answer that it had, and at the place that it had where that is not another."""
    stays = [kind for kind in NAMED if _says(before, note, kind)]
    same = [*stays, *(("point_mm",) if "part" in stays and _says(before, note, "point_mm") else ())]
    kept: dict[str, Any] = {key: getattr(before, key) for name in same for key in (name, _SAID[name])}
    return replace(_led(note, renamed), **kept, answer=before.answer)


def _says(before: Note, note: Note, name: str) -> bool:
    """Whether a note says the same as the one before, as that stands or as it stood when it was made."""
    return getattr(note, name) in (now := getattr(before, name), getattr(before, _SAID[name]) or now)
