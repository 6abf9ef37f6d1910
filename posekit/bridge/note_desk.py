"""A director's notes: each public method of `NoteDesk` is one request that the page can make."""

from __future__ import annotations

from posekit.authoring.notes import Taken, reopen, take, tick, without_note
from posekit.bridge.note_views import NotesInView, NotesView, NoteView
from posekit.bridge.picture import MM
from posekit.bridge.view_of_prop import finding_views
from posekit.bridge.views import PropView
from posekit.bridge.workbench import Workbench
from posekit.budgets import NOTE_LETTERS
from posekit.errors import PosekitError
from posekit.prop.folder import LOOKS, SHOWS, in_folder
from posekit.prop.model import Prop
from posekit.prop.notes import newest, read_blocks
from posekit.report.notes import Standing, notes_report
from posekit.text import printable, printable_lines

DAY = len("2026-11-26")
LONGEST = 8 * NOTE_LETTERS  # what is made safe to show is written with more letters


class NoteDesk:
    """The notes of the prop on a workbench."""

    def __init__(self, workbench: Workbench) -> None:
        self._workbench = workbench

    def notes(self) -> NotesView:
        """All notes that are kept with the open prop, against what it is now."""
        prop = self._workbench.prop
        try:
            report = notes_report(prop)
        except PosekitError as refused:
            return NotesView("", (), finding_views(prop, refused.findings))
        return NotesView(report.counted, tuple(_view(prop, each) for each in report.standings), ())

    def notes_in(self, text: str, name: str) -> NotesInView:
        """What taking in these notes would do; `name` is how messages call them. Nothing is changed."""
        taken = _taken(self._workbench.prop, text, name)
        return NotesInView(taken.sentence, bool(taken.new or taken.amended))

    def take_notes(self, text: str, name: str) -> PropView:
        """Take in notes, as the text of a file or of a message; the same one twice is one."""
        return self._workbench.take(_taken(self._workbench.prop, text, name).prop)

    def tick_note(self, note: str, when: str, answer: str | None = None) -> PropView:
        """Tick off the note of this id at a time, as 2026-11-26T10:00:00Z, with what is said to it, if anything."""
        return self._workbench.take(tick(self._workbench.prop, note, when, answer))

    def reopen_note(self, note: str) -> PropView:
        """Open the note of this id again."""
        return self._workbench.take(reopen(self._workbench.prop, note))

    def remove_note(self, note: str) -> PropView:
        """Remove the note of this id; the numbers of those after it are one less."""
        return self._workbench.take(without_note(self._workbench.prop, note))


def _taken(prop: Prop, text: str, name: str) -> Taken:
    blocks = read_blocks(text.encode(errors="surrogatepass"), name)
    return take(prop, newest(blocks), len(blocks))


def _view(prop: Prop, each: Standing) -> NoteView:
    note = each.note
    looks, shows = in_folder(prop.files, LOOKS), in_folder(prop.files, SHOWS)
    is_there = any(link.name == note.part for link in prop.links)
    x, y, z = note.point_mm or (0.0, 0.0, 0.0)
    return NoteView(
        number=each.number,
        id=note.id,
        kind=note.kind,
        state=note.state,
        group=printable(each.group),
        where=printable(each.where),
        text=printable_lines(note.text, LONGEST),
        by=printable(note.by),
        made=note.made[:DAY],
        look=note.look if note.look in looks else None,
        show=shows.get(note.show or ""),
        time_s=note.time_s,
        part=note.part if is_there else None,
        point=(x * MM, y * MM, z * MM) if is_there and note.point_mm else None,
        done=(note.done or "")[:DAY],
        answer=printable_lines(note.answer, LONGEST),
        changed=finding_views(prop, each.changed),
    )
