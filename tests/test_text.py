"""Words of others, before people's eyes."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from posekit.budgets import FINDINGS_TOLD, TOLD_LETTERS
from posekit.errors import PosekitError, error
from posekit.text import decimal, downward, plain, printable, shortened, upward

ANY_TEXT = st.text(st.characters(exclude_categories=()))  # halves of letters (surrogates), too
BIDIRECTIONAL = {"LRE", "RLE", "LRO", "RLO", "PDF", "LRI", "RLI", "FSI", "PDI"}  # classes of UAX #9


@given(ANY_TEXT)
def test_printable_words_are_one_line_without_a_control_or_bidirectional_mark(words: str) -> None:
    shown = printable(words)
    shown.encode()
    assert len(shown.splitlines()) <= 1
    assert not {unicodedata.category(sign) for sign in shown} & {"Cc", "Cs", "Zl", "Zp"}
    assert not {unicodedata.bidirectional(sign) for sign in shown} & BIDIRECTIONAL
    assert not set(shown) & set("\u061c\u200e\u200f\u200b\ufeff\U000e0041")


@given(st.text(st.characters(categories=("L", "N", "P", "S", "M")), max_size=TOLD_LETTERS))
def test_words_without_such_marks_stay_as_they_are(words: str) -> None:
    assert printable(words) == words


def test_what_a_terminal_would_obey_is_written_as_an_escape() -> None:
    assert printable("\x1b[31mred\x07\n\u202egnp.exe\x9b\udc80") == (
        r"\x1b[31mred\x07\n\u202egnp.exe\x9b\udc80"
    )


@given(ANY_TEXT, st.integers(10, 40))
def test_words_keep_their_beginning_and_their_end_within_the_budget(words: str, most: int) -> None:
    assert len(printable(words * 9, most)) <= most
    cut = shortened(words, most)
    assert cut == words if len(words) <= most else (len(cut) == most and cut[0] == words[0])
    assert cut[-1:] == words[-1:]


def test_a_finding_is_one_safe_line_and_a_refusal_tells_a_bounded_number_of_bounded_findings() -> None:
    hostile = "\x1b]0;x\x07\u202e\n" * 100_000
    refused = PosekitError(error(hostile, hostile, hostile, file=hostile, line=3) for _ in range(10_000))
    assert len(refused.findings) == FINDINGS_TOLD + 1
    assert f"{10_000 - FINDINGS_TOLD} more" in refused.findings[-1].message
    lines = str(refused).split("\n")
    assert len(lines) == FINDINGS_TOLD + 1
    assert all(len(line) < 4 * TOLD_LETTERS and printable(line, len(line)) == line for line in lines)


def test_a_finding_without_a_file_says_its_line_in_words() -> None:
    assert str(error("a", "b", "is c", line=18)) == "line 18: b: is c"


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_a_decimal_is_read_as_it_was_written(value: float) -> None:
    assert decimal(repr(value)) == value


@pytest.mark.parametrize(
    "found", ["1_0", "٣", "nan", "inf", "-", "", "1,5", "0x1", "1e", "1e999", "1" * 99, " 1"]
)
def test_what_only_python_takes_for_a_number_is_none(found: str) -> None:
    assert decimal(found) is None


@given(st.floats(-1e9, 1e9))
def test_a_plain_number_has_four_figures_and_no_exponent(value: float) -> None:
    told = plain(value)
    assert set(told) <= set("-0123456789.")
    assert float(told) == pytest.approx(value, rel=5.001e-4, abs=5.001e-7)


def test_plain_numbers_are_as_people_write_them() -> None:
    assert [plain(value) for value in (0, -1e-9, 0.5, 50.266, 160.0, 9999.96, 12_000, 12_345.6)] == [
        *("0", "0", "0.5", "50.27", "160", "10000", "12000", "12346")
    ]


@given(st.floats(0.0, 1e6), st.integers(0, 3))
def test_what_is_proved_is_never_told_greater_nor_smaller_by_more_than_its_last_figure(
    value: float, decimals: int
) -> None:
    told, last = float(downward(value, decimals)), 10.0**-decimals
    assert value - last <= told <= value + 1e-5 * last


@given(st.floats(0.0, 1e6), st.integers(0, 3))
def test_a_bound_is_never_told_too_small_nor_by_more_than_its_last_figure(
    value: float, decimals: int
) -> None:
    told, last = float(upward(value, decimals)), 10.0**-decimals
    assert value - 1e-5 * last <= told <= value + last
