"""What goes on paper, before it is HTML or Markdown: words, tables and cards. Text of others is just text in it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal
from xml.etree.ElementTree import Element

Kind = Literal["text", "number", "write", "tick"]
Lines = tuple[str, ...]
Cell = str | Lines  # lines stand one under the other; WRITE is one to write on

WRITE = "\x00write"  # no text of others is this: `printable` leaves no control character in it


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table: `number` stands flush right, `write` is wide enough to write in, `tick` has a box."""

    title: str
    kind: Kind = "text"


@dataclass(frozen=True, slots=True)
class Table:
    """A table with its title; a row has a cell for each column, and for `write` and `tick` an empty one."""

    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    note: str = ""


@dataclass(frozen=True, slots=True)
class Words:
    """Sentences under a title, each a point of a list; `whole` ones stand on one page, where a page holds them."""

    title: str
    lines: Lines
    whole: bool = False


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing as an element `svg`, and what is said under it."""

    svg: Element
    caption: str


@dataclass(frozen=True, slots=True)
class Card:
    """Something that is never cut by the end of a page: pictures side by side, facts, and what to watch for."""

    title: str
    said: str
    pictures: tuple[Picture, ...]
    facts: tuple[tuple[str, str], ...]
    watch: Lines


Block = Table | Words | Card


@dataclass(frozen=True, slots=True)
class Document:
    """A document: its title, facts about it in a row under the title, and its blocks. `foot` stands on every page."""

    title: str
    facts: tuple[tuple[str, str], ...]
    blocks: tuple[Block, ...]
    foot: str = ""
