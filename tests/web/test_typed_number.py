"""Numbers that are typed in the page are read as Python reads those of tables and files."""

from __future__ import annotations

import re
from itertools import product

import pytest

from posekit.text import decimal, numbers, two_readings
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
def test_where_a_number_has_to_stand_an_emptied_field_leaves_the_one_that_stood() -> None:
    script = """
    const { takenAlways } = loaded("ui/typed-number", { "../engine/engine": { Refused: Error } });
    const heard = [];
    for (const [text, before] of given) takenAlways((number) => heard.push(number))(text, before ?? undefined);
    tell(heard);
    """
    letters = [["1", None], ["", "12.7"], ["x", "12.7"], ["", None], ["0", "12.7"]]
    assert told_by(script, letters) == [1, 12.7, 12.7, 0]


APART = [", ", ",", "; ", ";", " ", "\t", "\n", " , ", ",,"]
LISTS = [
    *(
        mark.join(words)
        for mark in APART
        for words in (("8", "10", "12.5"), ("8", "12,5"), ("-8", "x"), ("1,500", "2"), ("two ways", "3"))
    ),
    *("12,5", "500,-90", "8, 10,", "8;10;", "10,12,5 8", "", "7", "\u22123, 4", "1_0, 2"),
]


@needs_node
@pytest.mark.parametrize("several", [False, True])
def test_the_page_reads_a_list_of_numbers_as_python_does(several: bool) -> None:
    script = """
    const { readList } = loaded("ui/typed-number", { "../engine/engine": { Refused: Error } });
    tell(given.lists.map((text) => readList(text, given.several)));
    """
    for text, told in zip(LISTS, told_by(script, {"lists": LISTS, "several": several}), strict=True):
        found = numbers(text, several)
        assert (told["wrong"] is None) == (found.wrong is None), text
        assert told["either"] == found.either, text
        assert not found.either or told["wrong"] == f"{found.wrong}.", text
        assert told["numbers"] == list(found.numbers), text


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


def test_a_field_that_shows_a_number_shortened_knows_the_whole_of_it() -> None:
    """What comes back where another was typed and is none is what stood, not what was shown of it."""
    fields = [
        (name(path), field)
        for path in SOURCE.rglob("*.tsx")
        for field in re.findall(r"<Numeral\b.*?/>", code(path), re.S)
    ]
    assert len(fields) > 10
    shortened = [
        each
        for each in fields
        if re.search(r"value=\{[^\n]*(?:toFixed|toPrecision|round\(|short\()", each[1])
    ]
    assert len(shortened) >= 2
    assert [where for where, found in shortened if "exact=" not in found] == []
