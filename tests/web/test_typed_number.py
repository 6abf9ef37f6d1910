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
        "1" * 32,
        "0." + "1" * 31,
        "0." + "1" * 60,
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


@needs_node
def test_what_ends_as_no_number_leaves_the_one_that_stood_before_it() -> None:
    script = """
    const { taken } = loaded("ui/typed-number", { "../engine/engine": { Refused: Error } });
    const heard = [];
    for (const [text, before] of given) taken((number) => heard.push(number))(text, before ?? undefined);
    tell(heard);
    """
    letters = [["1", None], ["1,", "1350.5"], ["1,5", "1350.5"], ["1,500", "1350.5"], ["x", None], ["x", ""]]
    assert told_by(script, letters) == [1, 1, 1.5, 1350.5, None]


@needs_node
@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("2", 2),
        ("1.5", "Universe: “1.5” is not a whole number; write one such as 1."),
        (" ", "Universe: nothing stands there; write a whole number such as 1."),
        ("x", "Universe: “x” is not a number; write one such as 12.5."),
    ],
)
def test_a_whole_number_is_asked_for_where_one_has_to_stand(text: str, told: object) -> None:
    script = """
    class Refused extends Error { constructor([{ message }]) { super(message); } }
    const { neededWhole } = loaded("ui/typed-number", { "../engine/engine": { Refused } });
    try { tell(neededWhole(given, "Universe")); } catch (problem) { tell(problem.message); }
    """
    assert told_by(script, text) == told


def test_no_field_leaves_it_to_the_browser_what_a_number_is() -> None:
    """Of “6,5” some browsers make 65 in a field of type number, others nothing."""
    assert [
        name(path) for path in SOURCE.rglob("*.tsx") if re.search(r'type[=:]\s*.?"number"', code(path))
    ] == []
