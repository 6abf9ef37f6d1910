"""A document as one HTML file to print or to read on a phone: no script, no network, nothing beside it.

Its policy allows the one style sheet by its digest, pictures that lie in the file, and nothing else. Words of others
are text nodes of a tree, so none of them can begin an element; they stand in `bdi`, so none can turn the letters beside
them round.
"""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Mapping
from types import MappingProxyType
from typing import Literal
from xml.etree import ElementTree as Xml

from posekit.output.document import WRITE, Card, Cell, Column, Document, Table, Words
from posekit.output.paper_style import STYLE
from posekit.text import printable

Paper = Literal["A4", "Letter"]
PAPERS: Mapping[Paper, str] = MappingProxyType({"A4": "210mm 297mm", "Letter": "8.5in 11in"})


def encode(document: Document, paper: Paper | None = None, mark: str = "") -> bytes:
    """The document as HTML; `paper` sets the sheet, else the printer's own is taken.

    `mark` stands at the foot of every page beside its number: plain letters and digits, spaces and dots, no others.
    """
    style = _page_rule(paper, mark) + STYLE
    html = Xml.Element("html", {"lang": "en"})
    _head(html, document.title, style, _has_images(document))
    body = Xml.SubElement(html, "body")
    main = Xml.SubElement(body, "main")
    Xml.SubElement(Xml.SubElement(main, "h1"), "bdi").text = printable(document.title)
    _facts(main, document.facts, "facts")
    for block in document.blocks:
        if isinstance(block, Table):
            _table(main, block)
        elif isinstance(block, Card):
            _card(main, block)
        else:
            _words(main, block)
    if document.foot:
        Xml.SubElement(main, "p", {"class": "foot"}).text = printable(document.foot)
    return b"<!doctype html>\n" + Xml.tostring(html, encoding="unicode", method="html").encode() + b"\n"


def _page_rule(paper: Paper | None, mark: str) -> str:
    if not all(sign.isascii() and (sign.isalnum() or sign in " .-") for sign in mark):
        raise ValueError(f"{mark!r} cannot stand in a style sheet")
    size = f"size: {PAPERS[paper]};" if paper else ""
    return (
        f"@page {{ {size} margin: 14mm 12mm 16mm; "
        f'@bottom-left {{ content: "{mark}"; font: 8pt sans-serif; color: #333 }} '
        '@bottom-right { content: "Page " counter(page) " of " counter(pages); font: 8pt sans-serif; color: #333 } }\n'
    )


def _has_images(document: Document) -> bool:
    cards = (block for block in document.blocks if isinstance(block, Card))
    return any(picture.svg.find("image") is not None for card in cards for picture in card.pictures)


def _head(html: Xml.Element, title: str, style: str, images: bool) -> None:
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    own = " img-src data:;" if images else ""  # which lie in the file itself
    policy = f"default-src 'none'; style-src 'sha256-{digest}';{own} base-uri 'none'; form-action 'none'"
    head = Xml.SubElement(html, "head")
    Xml.SubElement(head, "meta", {"charset": "utf-8"})
    Xml.SubElement(head, "meta", {"http-equiv": "Content-Security-Policy", "content": policy})
    Xml.SubElement(head, "meta", {"name": "viewport", "content": "width=device-width, initial-scale=1"})
    Xml.SubElement(head, "title").text = printable(title)
    Xml.SubElement(head, "style").text = style


def _facts(where: Xml.Element, facts: tuple[tuple[str, str], ...], kind: str) -> None:
    if not facts:
        return
    listed = Xml.SubElement(where, "dl", {"class": kind})
    for name, said in facts:
        pair = Xml.SubElement(listed, "div")
        Xml.SubElement(pair, "dt").text = printable(name)
        value = Xml.SubElement(pair, "dd")
        Xml.SubElement(value, "bdi").text = "" if said == WRITE else printable(said)
        if said == WRITE:
            value.set("class", "line")


def _words(where: Xml.Element, words: Words) -> None:
    section = Xml.SubElement(where, "section", {"class": "whole"} if words.whole else {})
    Xml.SubElement(section, "h2").text = printable(words.title)
    _points(section, words.lines)


def _points(where: Xml.Element, lines: tuple[str, ...]) -> None:
    listed = Xml.SubElement(where, "ul")
    for line in lines:
        Xml.SubElement(Xml.SubElement(listed, "li"), "bdi").text = printable(line)


def _table(where: Xml.Element, table: Table) -> None:
    section = Xml.SubElement(where, "section")
    Xml.SubElement(section, "h2").text = printable(table.title)
    # A region that a keyboard can scroll has a name and a place in the order of tabs (WCAG 2.1.1).
    frame = {"class": "wide", "role": "region", "tabindex": "0", "aria-label": printable(table.title)}
    grid = Xml.SubElement(Xml.SubElement(section, "div", frame), "table")
    head = Xml.SubElement(Xml.SubElement(grid, "thead"), "tr")
    for column in table.columns:
        Xml.SubElement(head, "th", {"scope": "col", "class": column.kind}).text = printable(column.title)
    body = Xml.SubElement(grid, "tbody")
    for row in table.rows:
        line = Xml.SubElement(body, "tr")
        for number, (cell, column) in enumerate(zip(row, table.columns, strict=True)):
            _cell(line, cell, column, is_first=number == 0)
    if table.note:
        Xml.SubElement(section, "p", {"class": "note"}).text = printable(table.note)


def _cell(row: Xml.Element, cell: Cell, column: Column, *, is_first: bool) -> None:
    told = Xml.SubElement(
        row,
        "th" if is_first else "td",
        {"class": column.kind} | ({"scope": "row"} if is_first else {}),
    )
    if column.kind == "tick":
        told.text = "☐"
        return
    for line in (cell,) if isinstance(cell, str) else cell:
        place = Xml.SubElement(told, "div", {"class": "line"} if line == WRITE else {})
        Xml.SubElement(place, "bdi").text = "" if line == WRITE else printable(line)


def _card(where: Xml.Element, card: Card) -> None:
    section = Xml.SubElement(where, "section", {"class": "card"})
    Xml.SubElement(Xml.SubElement(section, "h2"), "bdi").text = printable(card.title)
    if card.said:
        Xml.SubElement(Xml.SubElement(section, "p"), "bdi").text = printable(card.said)
    row = Xml.SubElement(section, "div", {"class": "pictures"})
    for picture in card.pictures:
        figure = Xml.SubElement(row, "figure")
        figure.append(picture.svg)
        Xml.SubElement(Xml.SubElement(figure, "figcaption"), "bdi").text = printable(picture.caption)
    _facts(section, card.facts, "figures")
    _points(section, card.watch)
