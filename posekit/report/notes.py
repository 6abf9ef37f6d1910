"""A director's notes as they stand: to what each belongs, whether it is ticked off, and what has changed since."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from posekit.errors import Finding, note, warning
from posekit.prop.fingerprint import fingerprint
from posekit.prop.folder import LOOKS, SHOWS, in_folder
from posekit.prop.model import Prop
from posekit.prop.notes import Note, kept_notes
from posekit.text import plain


@dataclass(frozen=True, slots=True)
class Standing:
    """One note: its number among those of the prop, by which people and the picture call it, and the findings of what
    has changed since it was made.
    """

    number: int
    note: Note
    changed: tuple[Finding, ...]

    @property
    def group(self) -> str:
        """What it is listed under: the look or show, else the part, else the whole figure."""
        for kind in ("look", "show", "part"):
            if name := getattr(self.note, kind):
                return f"{kind.capitalize()} {name}"
        return "Whole figure"

    @property
    def where(self) -> str:
        """All that it belongs to, in words."""
        told = [f"look {self.note.look}"] if self.note.look else []
        if self.note.show:
            at = "" if self.note.time_s is None else f" at {plain(self.note.time_s)} s"
            told.append(f"show {self.note.show}{at}")
        if self.note.part:
            point = (
                "" if self.note.point_mm is None else f" at {', '.join(map(plain, self.note.point_mm))} mm"
            )
            told.append(f"part {self.note.part}{point}")
        return ", ".join(told) or "whole figure"

    def as_dict(self) -> dict[str, Any]:
        """As data."""
        changed = [finding.as_dict() for finding in self.changed]
        return {"number": self.number, "state": self.note.state, **self.note.as_dict(), "changed": changed}


@dataclass(frozen=True, slots=True)
class NotesReport:
    """All notes of a prop, grouped, open ones first."""

    prop: str
    fingerprint: str
    standings: tuple[Standing, ...]

    @property
    def open(self) -> int:
        """How many changes and notes are not ticked off: what is left to do."""
        return sum(each.note.state == "open" and each.note.kind != "approved" for each in self.standings)

    @property
    def done(self) -> int:
        """How many are ticked off."""
        return sum(each.note.state == "done" for each in self.standings)

    @property
    def approved(self) -> int:
        """How many approvals stand: of the prop as it is now."""
        return sum(each.fingerprint == self.fingerprint for each in self._approvals)

    @property
    def counted(self) -> str:
        """All in words. An approval of the prop as it was before is told as that."""
        earlier = len(self._approvals) - self.approved
        approved = [f"{self.approved} approved"] if self.approved else []
        if earlier:
            approved.append(f"{earlier} approved in an earlier file")
        return ", ".join([f"{self.open} open", *approved, f"{self.done} done"])

    @property
    def findings(self) -> tuple[Finding, ...]:
        """What has changed since, of the notes that are open."""
        return tuple(each for one in self.standings if one.note.state == "open" for each in one.changed)

    def as_dict(self) -> dict[str, Any]:
        """As data."""
        return {
            "prop": self.prop,
            "fingerprint": self.fingerprint,
            "open": self.open,
            "approved": self.approved,
            "done": self.done,
            "notes": [each.as_dict() for each in self.standings],
            "findings": [finding.as_dict() for finding in self.findings],
        }

    @property
    def _approvals(self) -> list[Note]:
        """Those that are not ticked off."""
        return [
            each.note for each in self.standings if each.note.kind == "approved" and each.note.state == "open"
        ]


def notes_report(prop: Prop) -> NotesReport:
    """The notes that are kept with a prop, against what it is now. Raises PosekitError if they cannot be read."""
    now = fingerprint(prop)
    found = [
        Standing(number, each, tuple(_changed(prop, number, each, now)))
        for number, each in enumerate(kept_notes(prop), 1)
    ]
    is_open = {each.group: False for each in found}
    for each in found:
        is_open[each.group] |= each.note.state == "open"
    groups = {
        group: place for place, group in enumerate(sorted(is_open, key=lambda group: not is_open[group]))
    }
    found.sort(key=lambda each: (groups[each.group], each.note.state != "open", each.number))
    return NotesReport(prop.name, now, tuple(found))


def _changed(prop: Prop, number: int, of: Note, now: str) -> Iterator[Finding]:
    subject = f"note {number}"
    there = {
        "look": set(in_folder(prop.files, LOOKS)),
        "show": set(in_folder(prop.files, SHOWS)),
        "part": {link.name for link in prop.links},
    }
    for kind, names in there.items():
        name, was = getattr(of, kind), getattr(of, f"{kind}_was")
        if name is not None and name not in names:
            sentence = f"this prop has no {kind} '{name}'"
            if of.fingerprint != now:  # what it was called then stands nowhere, unless another note kept it
                sentence += " now: since the note was made it was removed, or has another name"
            yield warning(f"{kind}-gone", subject, sentence)
        elif was is not None:
            yield note("renamed", subject, f"the {kind} '{name}' was called '{was}' when the note was made")
    if of.prop != prop.name:
        yield warning("other-prop", subject, f"it was made for '{of.prop}', and this prop is '{prop.name}'")
    if of.fingerprint != now:
        sentence = f"the prop has changed since the file of {of.file_made}, in which the note was made"
        yield note("prop-changed", subject, sentence)
