"""The figure for whoever decides how it looks: looks, shows as the servos move, what is to be told, in one file.

Every pose is worked out here. What opens the file only draws them, and between two of a show goes straight.
"""

from __future__ import annotations

from collections.abc import Generator, Iterable, Sequence
from dataclasses import dataclass
from itertools import accumulate
from pathlib import PurePosixPath
from typing import Any

import numpy as np

from posekit import kinds
from posekit.arrays import Array
from posekit.budgets import FILE_POSES, NAME_LETTERS, NOTE_LETTERS, NOTES
from posekit.errors import Finding, PosekitError, error
from posekit.mechanism.joints import Mechanism, mechanism_of, solve
from posekit.mechanism.kinematics import forward
from posekit.motion import follow, readings
from posekit.motion.instants import PICTURES, instants
from posekit.output import one_file
from posekit.output.cautions import CAUTIONS
from posekit.output.figure import Skins, poses
from posekit.output.packed import Packed
from posekit.pipeline import pose, rest
from posekit.prop.fingerprint import fingerprint, for_people
from posekit.prop.folder import LOOKS, SHOWS, in_folder
from posekit.prop.model import Prop
from posekit.prop.notes import kept_notes
from posekit.report.motion import following
from posekit.signal.snapshot import Snapshot
from posekit.stepwise import finished
from posekit.stream import read_show
from posekit.stream.cue_file import parse
from posekit.text import listed, printable

FORM = 1  # of the data in the file


@dataclass(frozen=True, slots=True)
class Shown:
    """What goes into a file: looks by name, and shows by name with the path and the content of their file.

    False where that is nothing, which stands for the prop at rest.
    """

    looks: tuple[tuple[str, Snapshot], ...]
    shows: tuple[tuple[str, str, bytes], ...]

    def __len__(self) -> int:
        return len(self.looks) + len(self.shows)


@dataclass(frozen=True, slots=True)
class DirectorFigure:
    """The data of the file, packed, and what is to be told of what it shows; `made` is the date."""

    prop: str
    fingerprint: str
    made: str
    data: bytes
    findings: tuple[Finding, ...]

    def html(self, drawing: one_file.Drawing) -> bytes:
        """The file, drawn by what the build of the page made."""
        facts = (("made on", self.made), ("fingerprint", for_people(self.fingerprint)))
        return one_file.encode(drawing, self.data, self.prop, facts, CAUTIONS)


def shown(prop: Prop, names: Sequence[str] | None = None) -> Shown:
    """Looks and shows of the prop by these names; a name of both brings both. By default all that there are.

    Raises PosekitError for a name of neither, and for a look that cannot be read.
    """
    looks, shows = in_folder(prop.files, LOOKS), in_folder(prop.files, SHOWS)
    asked = dict.fromkeys([*looks, *shows] if names is None else names)
    if strange := [name for name in asked if name not in looks and name not in shows]:
        right = f"its looks are: {listed(looks)}; its shows: {listed(shows)}"
        raise PosekitError(
            [
                error("no-look", name, f"is neither a look nor a show of this prop; {right}")
                for name in strange
            ]
        )
    return Shown(
        tuple((name, _kept_look(prop, looks[name])) for name in asked if name in looks),
        tuple((name, shows[name], prop.files[shows[name]]) for name in asked if name in shows),
    )


def director_figure(prop: Prop, what: Shown, made: str) -> DirectorFigure:
    """All of `director_steps` in one go."""
    return finished(director_steps(prop, what, made))


def director_steps(prop: Prop, what: Shown, made: str) -> Generator[int, None, DirectorFigure]:
    """The figure, step by step, and how many are done: one for each link, look and show. `made` is the date.

    The notes that are kept with the prop come along, each with its number and its state. PosekitError for a show that
    cannot be read or is too long, and for a mesh or notes that cannot be read.
    """
    mechanism, packed, done = mechanism_of(prop), Packed(), 0
    findings: list[Finding] = []
    skins = Skins(prop, packed)
    for done, _ in enumerate(skins.steps(), 1):
        yield done
    looks: list[dict[str, Any]] = []
    stands = []
    for name, snapshot in what.looks:
        state = pose(prop, snapshot)
        findings += state.findings
        stands.append(np.array([state.links[link.name] for link in prop.links]))
        looks.append({**_named(name), "findings": _told(state.findings)})
        yield (done := done + 1)
    if not what:  # a figure that nobody has posed yet
        state = rest(prop)
        stands.append(np.array([state.links[link.name] for link in prop.links]))
        looks.append({"name": None, "told": "At rest", "findings": _told(state.findings)})
    moving = []
    for name, file, content in what.shows:
        said, told, frames = _show(prop, name, file, content, mechanism)
        findings += told
        moving.append((said, frames))
        yield (done := done + 1)
    first = np.stack(stands) if stands else moving[0][1][:1]
    size_mm = skins.size_mm(first)
    data: dict[str, Any] = {
        "posekit_figure": FORM,
        "prop": _named(prop.name),
        "fingerprint": fingerprint(prop),
        "print": for_people(fingerprint(prop)),
        "made": made,
        "size_mm": size_mm,
        "figure": skins.said(),
        "told": [printable(link.name) for link in prop.links],
        "looks": looks,
        "poses": poses(first if stands else first[:0], size_mm, packed),
        "shows": [{**said, "poses": poses(frames, size_mm, packed)} for said, frames in moving],
        "cautions": CAUTIONS,
        "notes": [{"number": n, **note.as_dict()} for n, note in enumerate(kept_notes(prop), 1)],
        "limits": {"notes": NOTES, "letters": NOTE_LETTERS, "name_letters": NAME_LETTERS},
    }
    found = tuple(dict.fromkeys(findings))
    return DirectorFigure(prop.name, data["fingerprint"], made, packed.encode(data), found)


def _kept_look(prop: Prop, path: str) -> Snapshot:
    return Snapshot.decode(prop.files[path], PurePosixPath(path).suffix, path)


def _show(
    prop: Prop, name: str, file: str, content: bytes, mechanism: Mechanism
) -> tuple[dict[str, Any], tuple[Finding, ...], Array]:
    """A show as the file says it, what is to be told of it, and its poses (P, L, 4, 4), PICTURES a second."""
    show = read_show(prop, content, file)
    motion = follow(prop, show.times, show.values)
    read = readings(prop, motion)
    times = instants(show, read.settled)
    if len(times) * len(prop.links) > FILE_POSES:
        most = FILE_POSES / len(prop.links) / PICTURES
        sentence = (
            f"runs for {times[-1] - times[0]:.0f} s; with {len(prop.links)} parts a file holds {most:.0f} s: "
        )
        sentence += "give it a shorter show"
        raise PosekitError([error("too-long", name, sentence)])
    places = forward(prop, solve(prop, motion.position(times), mechanism).position, mechanism.tree)
    cues = parse(content, file)[0].cues if kinds.ending(file) == kinds.CUES else ()
    begins = accumulate((cue.fade + cue.hold for cue in cues), initial=0.0)
    said = {
        **_named(name),
        "rate": PICTURES,
        "begin": float(times[0]),
        "cues": [[begin, printable(cue.name)] for begin, cue in zip(begins, cues, strict=False)],
        "said": following(read),
        "findings": _told((*show.findings, *read.findings)),
    }
    return said, (*show.findings, *read.findings), places


def _named(name: str) -> dict[str, str]:
    """A name to the letter, by which notes mean it, and as it is shown to people."""
    return {"name": name, "told": printable(name)}


def _told(findings: Iterable[Finding]) -> list[list[str]]:
    return [[finding.level, printable(finding.sentence)] for finding in findings]
