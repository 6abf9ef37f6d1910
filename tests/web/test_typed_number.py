"""Numbers that are typed in the page are read as Python reads those of tables and files."""

from __future__ import annotations

import re
from itertools import product

import pytest

from posekit.text import decimal, two_readings
from tests.web.in_node import needs_node, told_by
from tests.web.test_page_source import SOURCE, code, name

pytestmark = pytest.mark.native

READ = """
const { read } = loaded("ui/typed-number", { "../engine/engine": { Refused: Error } });
tell(given.map((text) => read(text)));
"""
SIGNS = ["", "-", "+", "\u2212", "--"]
SIZES = [
    *(
        "6.5",
        "6,5",
        ".5",
        ",5",
        "6.",
        "0,125",
        "1500",
        "1,500",
        "12,345",
        "1,5000",
        "1.500",
        "1.500,5",
        "1,500,000",
    ),
    *(
        "1e3",
        "1E-3",
        "1e999",
        "6e",
        "e6",
        "abc",
        "12 34",
        "1_000",
        "0x10",
        "１２",
        "inf",
        "NaN",
        "\u202e12",
        "🙂",
    ),
]
TYPED = [*(f"{sign}{size}" for sign, size in product(SIGNS, SIZES)), "", "  ", " 7 "]


@needs_node
def test_the_page_reads_a_number_as_python_does() -> None:
    for text, told in zip(TYPED, told_by(READ, TYPED), strict=True):
        plain = text.strip().replace("\u2212", "-")
        number = None if two_readings(plain) else decimal(plain.replace(",", "."))
        assert told["number"] == number, text
        assert (told["wrong"] is None) == (number is not None or plain == ""), text
        if either := two_readings(plain):
            assert told["wrong"] == f"“{plain}” {either}."


def test_no_field_leaves_it_to_the_browser_what_a_number_is() -> None:
    """Of “6,5” some browsers make 65 in a field of type number, others nothing."""
    assert [
        name(path) for path in SOURCE.rglob("*.tsx") if re.search(r'type[=:]\s*.?"number"', code(path))
    ] == []
