"""Documents as CSV, Markdown and HTML, read back by readers of others; with names that want to be more than names."""

from __future__ import annotations

import base64
import csv
import hashlib
import io
import re
from html.parser import HTMLParser

import pytest
from hypothesis import given
from hypothesis import strategies as st

from posekit.output import cells, markdown, paper
from posekit.output.document import WRITE, Card, Column, Document, Table, Words
from posekit.text import printable

HOSTILE = [
    "<img src=x onerror=alert(1)>",
    "</script><script>alert(1)</script>",
    "</style><b>",
    "a|b | c\n| d",
    "=1+1",
    "@SUM(A1)",
    "+1",
    "-1",
    "\t=1",
    "\r=1",
    " =1",
    "＝1",
    "'=1",
    'say "x", then; y',
    "\u202egnp.exe",
    "1. x",
    "# x",
    "- x",
    "---",
    "`x` *x* _x_ **x** [x](http://x) ![x](y) ~~x~~ &amp; \\| $x$",
    "http://x.org www.x.org a@b.org <http://x>",
    "x" * 10_000,
    "",
]
names = st.one_of(st.sampled_from(HOSTILE), st.text(max_size=40))


def document(name: str) -> Document:
    columns = (Column("drive"), Column("µs", "number"), Column("set", "write"), Column("✓", "tick"))
    return Document(
        name,
        (("prop", name), ("by", WRITE)),
        (
            Table(name, columns, ((name, ("1", name), WRITE, ""), ("b", "2", WRITE, "")), name),
            Words("Said", (name, "x")),
            Card(name, name, (), (("a", name),), (name,)),
        ),
        name,
    )


@given(names, st.floats(allow_nan=False, allow_infinity=False, width=32))
def test_csv_reads_back_by_rfc_4180_and_no_cell_is_a_formula(name: str, number: float) -> None:
    content = cells.encode(("name", "number", "none"), [(name, number, None), (name, -12.5, None)])
    text = content.decode("utf-8-sig")
    assert re.fullmatch(r"(?:[^\r\n]*\r\n){3}", text)
    header, first, second = csv.reader(io.StringIO(text, newline=""), strict=True)
    assert header == ["name", "number", "none"]
    assert float(first[1]) == number and second[1] == "-12.5" and ",-12.5," in text
    # What spreadsheets take for the beginning of a formula (common practice).
    assert not first[0].lstrip().startswith(("=", "+", "-", "@", "\t", "\r", "＝", "＋", "－", "＠"))
    assert first[0].removeprefix("'") in (printable(name), printable(name).removeprefix("'"))


@given(names)
def test_markdown_keeps_its_tables_and_marks_nothing_up(name: str) -> None:
    markdown_it = pytest.importorskip("markdown_it")
    reader = markdown_it.MarkdownIt("gfm-like", {"linkify": False, "html": True})
    tokens = reader.parse(markdown.encode(document(name)))
    kinds = [token.type for token in tokens]
    assert kinds.count("table_open") == 1 and kinds.count("tr_open") == 3
    assert kinds.count("th_open") == 4 and kinds.count("td_open") == 8
    assert kinds.count("heading_open") == 4 and kinds.count("bullet_list_open") == 3
    assert not {"html_block", "code_block", "fence", "ordered_list_open", "hr", "blockquote_open"} & set(
        kinds
    )
    inner = [child for token in tokens for child in token.children or ()]
    assert {child.type for child in inner} <= {"text", "text_special", "softbreak"}
    said = [
        "".join(child.content for child in token.children or ()) for token in tokens if token.type == "inline"
    ]
    plain = printable(name).strip()
    assert " ".join(said[0].split()) == " ".join(plain.split())


class Tree(HTMLParser):
    """The elements and texts of a file, and whether each that opens is closed in its turn."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.texts: list[tuple[str, str]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag not in ("meta",):
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.texts.append((self.open[-1] if self.open else "", data))


@given(names, st.sampled_from([None, "A4", "Letter"]))
def test_html_is_whole_and_allows_only_its_own_style(name: str, size: paper.Paper | None) -> None:
    tree = Tree()
    tree.feed(paper.encode(document(name), size, "prop ab12 . 2026-11-26").decode())
    tree.close()
    assert tree.open == []
    used = {tag for tag, _ in tree.tags}
    allowed = {
        "html",
        "head",
        "meta",
        "title",
        "style",
        "body",
        "main",
        "h1",
        "h2",
        "bdi",
        "dl",
        "div",
        "dt",
        "dd",
    }
    allowed |= {"section", "table", "thead", "tbody", "tr", "th", "td", "p", "ul", "li"}
    assert used <= allowed
    names_of_attributes = {key for _, attributes in tree.tags for key in attributes}
    assert not any(key.startswith("on") or key in ("style", "src", "href") for key in names_of_attributes)
    style = "".join(text for place, text in tree.texts if place == "style")
    policy = next(a["content"] for tag, a in tree.tags if a.get("http-equiv") == "Content-Security-Policy")
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    assert f"style-src 'sha256-{digest}'" in policy and policy.startswith("default-src 'none'")
    assert "script" not in policy
    if printable(name):
        assert ("bdi", printable(name)) in tree.texts


def test_what_stands_at_the_foot_of_pages_is_no_style_of_others() -> None:
    with pytest.raises(ValueError, match="style sheet"):
        paper.encode(document("x"), None, 'x"; } body { display: none')
