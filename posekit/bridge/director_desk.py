"""The director's one file, made in the page: each public method of `DirectorDesk` is one request of the page."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from posekit.bridge.steps import Steps
from posekit.bridge.view_of_prop import finding_views
from posekit.bridge.views import FileView, FindingView
from posekit.bridge.workbench import Workbench
from posekit.errors import PosekitError, error
from posekit.output.one_file import Drawing
from posekit.prop.fingerprint import for_people
from posekit.prop.folder import LOOKS, SHOWS, in_folder
from posekit.prop.model import Prop
from posekit.report.director import DirectorFigure, director_steps, shown
from posekit.text import printable

HTML_TYPE = "text/html"  # registered with IANA


@dataclass(frozen=True, slots=True)
class ShownView:
    """What can go into the file: looks and shows by name; a name of both brings both."""

    looks: tuple[str, ...]
    shows: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class DirectorView:
    """How many steps of the file are made, of how many, and the file once all are; null before."""

    done: int
    of: int
    file: FileView | None
    fingerprint: str
    findings: tuple[FindingView, ...]


class DirectorDesk:
    """The director's file of the prop on a workbench."""

    def __init__(self, workbench: Workbench) -> None:
        self._workbench = workbench
        self._steps: Steps[int, DirectorFigure] | None = None
        self._of: Prop | None = None  # what the file is being made of
        self._count = 0
        self._drawing = Drawing("", "", "")

    def director_shown(self) -> ShownView:
        """What can go into the file."""
        files = self._workbench.prop.files
        return ShownView(tuple(in_folder(files, LOOKS)), tuple(in_folder(files, SHOWS)))

    def director_file(self, names: tuple[str, ...], script: str, style: str, licences: str) -> DirectorView:
        """Begin the file with the looks and shows of these names; the rest are what draws it, as the page has it."""
        prop = self._workbench.prop
        what = shown(prop, names)
        self._of, self._count = prop, len(prop.links) + len(what)
        self._drawing = Drawing(script, style, licences)
        today = date.today().isoformat()
        self._steps = Steps(lambda: director_steps(prop, what, today))
        return self.director_file_on(0.0)

    def director_file_on(self, seconds: float) -> DirectorView:
        """Go on with the file for about so long; at least by one step."""
        if self._steps is None:
            raise PosekitError([error("no-file", "", "no file is being made; begin it first")])
        prop = self._workbench.prop
        if prop is not self._of:
            self._steps = None
            raise PosekitError(
                [error("prop-changed", "", "the prop has changed since the file was begun; begin again")]
            )
        try:
            return DirectorView(self._steps.go_on(seconds), self._count, None, "", ())
        except StopIteration as finished:
            self._steps, made = None, finished.value
        file = FileView(f"{printable(prop.name)}.html", HTML_TYPE, made.html(self._drawing))
        told = finding_views(prop, made.findings)
        return DirectorView(self._count, self._count, file, for_people(made.fingerprint), told)
