"""Sheets, setting cards and the picture sheet: each public method of `SheetDesk` is one request of the page."""

from __future__ import annotations

from datetime import date
from typing import Literal

from posekit.bridge.sheet_views import CardsView, ComparedRow, ComparedView
from posekit.bridge.steps import Steps
from posekit.bridge.view_of_prop import finding_views
from posekit.bridge.views import FileView
from posekit.bridge.workbench import Workbench
from posekit.errors import PosekitError, error
from posekit.prop.model import Prop
from posekit.report.cards import Cards, card_steps
from posekit.report.cards_document import cards_html
from posekit.report.figures import figures_csv
from posekit.report.measured import Compared, compare
from posekit.report.pictures import PictureSheet, picture_steps
from posekit.report.pictures_document import pictures_html
from posekit.report.sheet import sheet
from posekit.report.sheet_document import sheet_html, sheet_markdown
from posekit.report.sheet_strength import SheetStrength, sheet_strength
from posekit.report.steps import read_steps
from posekit.text import exact, plain, printable, signed

HTML_TYPE, CSV_TYPE, MARKDOWN_TYPE = "text/html", "text/csv", "text/markdown"  # registered with IANA

PaperSize = Literal["A4", "Letter"]


class SheetDesk:
    """The sheets, the cards and the pictures of the prop on a workbench."""

    def __init__(self, workbench: Workbench) -> None:
        self._workbench = workbench
        self._steps: Steps[int, Cards] | None = None
        self._of: Prop | None = None  # what the cards or the pictures are being made of
        self._paper: PaperSize = "A4"
        self._pictures: Steps[tuple[int, int], PictureSheet] | None = None
        self._strength: tuple[Prop, SheetStrength] | None = None

    def sheet_file(
        self, form: Literal["html", "csv", "md"], paper: PaperSize = "A4", strength: bool = False
    ) -> FileView:
        """Patch, wiring and calibration, to print, to fill in, or as text; strength and supply take some seconds."""
        prop = self._workbench.prop
        made = sheet(prop, strength=self._strength_of(prop) if strength else None)
        today = date.today().isoformat()
        if form == "csv":
            return FileView(f"{printable(prop.name)} sheets.csv", CSV_TYPE, figures_csv(made))
        if form == "md":
            return FileView(
                f"{printable(prop.name)} sheets.md", MARKDOWN_TYPE, sheet_markdown(made, today).encode()
            )
        return FileView(f"{printable(prop.name)} sheets.html", HTML_TYPE, sheet_html(made, today, paper))

    def cards(self, paper: PaperSize = "A4", times: bytes | None = None, name: str = "") -> CardsView:
        """Begin the setting cards; `times` is a CSV of times at steps of the controller, `name` what it is called."""
        measured = () if times is None else read_steps(times, name)
        prop, watched = self._workbench.prop, self._workbench.watched
        self._paper, self._of = paper, prop
        self._steps = Steps(lambda: card_steps(prop, measured, watched))
        return self.cards_on(0.0)

    def cards_on(self, seconds: float) -> CardsView:
        """Go on with the cards for about so long; at least with one."""
        if self._steps is None:
            raise PosekitError([error("no-cards", "", "no setting cards are being made; begin them first")])
        prop = self._workbench.prop
        if prop is not self._of:
            self._steps = None
            sentence = "the prop has changed since its setting cards were begun; begin them again"
            raise PosekitError([error("prop-changed", "", sentence)])
        try:
            return CardsView(self._steps.go_on(seconds), len(prop.drives), None, ())
        except StopIteration as finished:
            self._steps, made = None, finished.value
        content = cards_html(made, date.today().isoformat(), self._paper)
        count = len(made.cards)
        file = FileView(f"{printable(prop.name)} setting cards.html", HTML_TYPE, content)
        return CardsView(count, count, file, finding_views(prop, made.findings))

    def pictures(self, paper: PaperSize = "A4") -> CardsView:
        """Begin the picture sheet: all looks from three sides."""
        prop, watched = self._workbench.prop, self._workbench.watched
        self._paper, self._of = paper, prop
        self._pictures = Steps(lambda: picture_steps(prop, None, watched))
        return self.pictures_on()

    def pictures_on(self) -> CardsView:
        """Go on with the picture sheet by one look."""
        prop = self._workbench.prop
        if self._pictures is None or prop is not self._of:
            self._pictures = None
            sentence = "no picture sheet of this prop is being made; begin it first"
            raise PosekitError([error("prop-changed", "", sentence)])
        try:
            done, of = self._pictures.go_on()
        except StopIteration as finished:
            self._pictures, made = None, finished.value
            content = pictures_html(made, date.today().isoformat(), self._paper)
            count = len(made.looks)
            file = FileView(f"{printable(prop.name)} picture sheet.html", HTML_TYPE, content)
            return CardsView(count, count, file, finding_views(prop, made.findings))
        return CardsView(done, of, None, ())

    def _strength_of(self, prop: Prop) -> SheetStrength:
        if self._strength is None or self._strength[0] is not prop:
            self._strength = prop, sheet_strength(prop)
        return self._strength[1]

    def compare_sheet(self, data: bytes, name: str) -> ComparedView:
        """A sheet as CSV that was filled in, against the open prop. Nothing is changed."""
        prop = self._workbench.prop
        found = compare(prop, data, name)
        return ComparedView(
            rows=tuple(map(_row, found.compared)),
            summary=found.summary,
            findings=finding_views(prop, found.findings),
        )


def _row(compared: Compared) -> ComparedRow:
    figure = compared.figure
    return ComparedRow(
        drive=figure.drive,
        figure=f"{figure.joint} {figure.name}".strip(),
        planned="-" if figure.planned is None else f"{plain(figure.planned, 6)} {figure.unit}".strip(),
        measured=f"{exact(compared.measured)} {figure.unit}".strip(),
        off="-" if compared.off is None else signed(plain(compared.off, 3)),
        differs=compared.differs,
    )
