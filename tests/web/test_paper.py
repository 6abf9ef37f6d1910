"""What is printed, as PDF by Chromium on A4 and Letter: all of it stands there as text, and no row or card is cut."""

from __future__ import annotations

import io
import unicodedata
from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page
from pypdf import PdfReader

from posekit.output.document import Column, Document, Table, Words
from posekit.output.paper import Paper, encode
from posekit.report.cards import Cards, cards
from posekit.report.cards_document import cards_html
from posekit.report.pictures import PictureSheet, picture_sheet
from posekit.report.pictures_document import pictures_html
from posekit.report.sheet import sheet
from posekit.report.sheet_document import mark_of, number, sheet_html
from tests.conftest import demo_prop

pytestmark = [pytest.mark.native, pytest.mark.page]

MODELS = Path(__file__).parents[2] / "models"
DATE = "2026-11-26"
LONGWOOD = demo_prop("longwood")  # so many drives that its tables go over several pages
HERON = demo_prop("heron")
SHEET = sheet(LONGWOOD)

# The words of what is found, and of what is in each of it.
WORDS = """what => [...document.querySelectorAll(what)].map((each) => each.textContent)"""
PIECES = """([what, pieces]) => [...document.querySelectorAll(what)].map((each) =>
    [...each.querySelectorAll(pieces)].map((piece) => piece.textContent))"""


@cache
def setting_cards() -> Cards:
    return cards(HERON)


@cache
def pictures() -> PictureSheet:
    return picture_sheet(HERON)


def letters(words: str) -> str:
    """Words without the spaces and line ends, which a PDF does not keep."""
    return "".join(unicodedata.normalize("NFKC", words).split())


@pytest.fixture
def printed(browsers: Callable[[bool], Browser], tmp_path: Path) -> Callable[[bytes], tuple[Page, list[str]]]:
    """Prints a document: its page in the browser, and the letters of each page of its PDF."""

    def print_it(html: bytes) -> tuple[Page, list[str]]:
        place = tmp_path / "document.html"
        place.write_bytes(html)
        page = browsers(False).new_page()
        page.goto(place.as_uri())
        reader = PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True)))
        return page, [letters(each.extract_text()) for each in reader.pages]

    return print_it


@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_every_row_of_the_sheets_stands_whole_on_one_page(printed, size: Paper) -> None:
    page, pages = printed(sheet_html(SHEET, DATE, size))
    rows = page.evaluate(WORDS, "tbody tr")
    assert len(pages) > 5 and len(rows) == 3 * len(SHEET.drives) + len(SHEET.wiring) + sum(
        len(c.ways) for c in SHEET.drives
    )
    cut = [row for row in rows if not any(letters(row) in each for each in pages)]
    assert cut == []
    for drive in SHEET.drives:  # name and pulses side by side, as the core has them
        pulses = letters("".join(map(number, (drive.low_us, drive.middle_us, drive.high_us))))
        assert any(letters(drive.drive) + pulses in each for each in pages)
    said = page.evaluate(WORDS, "h1, h2, dt, dd, li, p")
    assert [words for words in said if not any(letters(words) in each for each in pages)] == []
    # The heads of a table stand again over what goes on, and every page says which it is, and of which state.
    head = letters(page.evaluate(WORDS, "thead tr")[2])
    assert sum(head in each for each in pages) > 1
    for count, each in enumerate(pages, 1):
        assert f"Page{count}of{len(pages)}" in each
        assert letters(mark_of(SHEET.fingerprint, DATE)) in each
    page.close()


@pytest.mark.parametrize("size", ["A4", "Letter"])
@pytest.mark.parametrize("what", ["cards", "pictures"])
def test_every_card_stands_whole_on_one_page(printed, what: str, size: Paper) -> None:
    if what == "cards":
        page, pages = printed(cards_html(setting_cards(), DATE, size))
        names = [f"{row}. {drive.name}" for row, drive in enumerate(HERON.drives, 1)]
    else:
        page, pages = printed(pictures_html(pictures(), DATE, size))
        names = ["alert", "dusk", "fishing", "preen", "rest", "strike", "wings_open"]
        assert sum(each.count("200mm") for each in pages) >= 3 * len(names)  # the bar of each picture
    found = page.evaluate(PIECES, [".card", "h2, p, figcaption, dt, dd, li"])
    assert [title for title, *_ in found] == names
    for pieces in found:
        assert any(all(letters(piece) in each for piece in pieces) for each in pages), pieces
    page.close()


@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_cautions_are_on_one_page_and_notes_beside_the_last_row_of_their_table(printed, size: Paper) -> None:
    """Wherever a page ends: what stands before them is a little longer each time."""
    blocks: list[Table | Words] = []
    for count in range(24):
        blocks.append(Words("Before", tuple(f"n{count}x before {line}" for line in range(count % 9))))
        rows = tuple((f"r{count}x{row}z", "0") for row in range(20))
        blocks.append(Table("Rows", (Column("drive"), Column("value")), rows, f"n{count}x is told below it."))
        blocks.append(Words("Cautions", tuple(f"n{count}x caution {line}" for line in range(8)), whole=True))
    page, pages = printed(encode(Document("Breaks", (), tuple(blocks)), size))
    page.close()

    def on(words: str) -> list[int]:
        return [number for number, each in enumerate(pages) if letters(words) in each]

    assert len(pages) > 12
    for count in range(24):
        assert len({tuple(on(f"n{count}x caution {line}")) for line in range(8)}) == 1
        assert set(on(f"n{count}x is told below it.")) & set(on(f"r{count}x19z"))
