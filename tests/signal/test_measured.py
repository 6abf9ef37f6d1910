"""Measured pairs as people write them: typed with point or comma, pasted from a spreadsheet or a CSV file."""

from __future__ import annotations

import pytest

from posekit.budgets import MEASURED_PAIRS
from posekit.errors import PosekitError
from posekit.signal.measured import pair_of, pasted


@pytest.mark.parametrize(
    ("typed", "pair"),
    [
        (("1500", "0.5"), (1500.0, 0.5)),
        ((" 1500 ", "0,5"), (1500.0, 0.5)),
        (("1500.", "−12,25"), (1500.0, -12.25)),
        (("1500", "+.5"), (1500.0, 0.5)),
        (("", ""), None),
        (("1500", " "), None),
        (("", "3"), None),
    ],
)
def test_a_pair_is_read_as_people_write_numbers(typed, pair):
    assert pair_of(typed) == pair


@pytest.mark.parametrize(
    "typed", [("15oo", "1"), ("1500", "1,2,3"), ("nan", "1"), ("1e", "1"), ("", "deg"), ("١٥٠٠", "1")]
)
def test_what_is_no_number_is_told_as_it_was_typed(typed):
    told = pair_of(typed)
    assert isinstance(told, str) and "is not a number" in told


@pytest.mark.parametrize(("typed", "right"), [(("-3", "1"), "more than 0"), (("1500", "99999"), "degrees")])
def test_what_no_servo_can_do_is_told_with_what_would_be_right(typed, right):
    told = pair_of(typed)
    assert isinstance(told, str) and right in told


@pytest.mark.parametrize(
    "text",
    [
        "1000\t-44.5\n1500\t0\n",
        "pulse\tangle\r\n1000\t-44.5\r\n1500\t0\r\n",
        "us,degrees\n1000,-44.5\n\n1500,0",
        "µs;Grad\n1000;-44.5\n1500;0",
        "1000 -44.5\n1500   0",
        "1000, -44.5\n1500, 0",
    ],
)
def test_two_columns_are_pasted_however_they_were_copied(text):
    assert pasted(text) == (("1000", "-44.5"), ("1500", "0"))


def test_a_decimal_comma_is_kept_where_columns_stand_apart_by_something_else():
    assert [pair_of(row) for row in pasted("1000\t-44,5\n1500;0,25\n2000 44,5")] == [
        (1000.0, -44.5),
        (1500.0, 0.25),
        (2000.0, 44.5),
    ]


def test_a_first_row_with_a_number_in_it_is_no_head():
    assert pasted("1500us\t0\n1600\t9") == (("1500us", "0"), ("1600", "9"))


def test_a_row_is_called_by_its_place_in_what_was_pasted():
    with pytest.raises(PosekitError) as refused:
        pasted("pulse\tangle\n\n1000\t-44\n1600")
    assert [each.subject for each in refused.value.findings] == ["row 4"]


@pytest.mark.parametrize("pulse", ["1,500", "2,000", "12,345", "+1,500"])
def test_a_pulse_with_a_comma_before_three_digits_is_asked_about_and_never_guessed(pulse):
    told = pair_of((pulse, "0"))
    assert isinstance(told, str) and pulse.replace(",", "") in told and pulse.replace(",", ".") in told


def test_rows_of_more_or_fewer_cells_are_all_named():
    with pytest.raises(PosekitError) as refused:
        pasted("1000\t-44\t3\n1500\t0\n1600")
    assert [(each.subject, each.message[:11]) for each in refused.value.findings] == [
        ("row 1", "has 3 cells"),
        ("row 3", "has 1 cell;"),
    ]


def test_a_column_of_thousands_is_refused():
    with pytest.raises(PosekitError, match=f"{MEASURED_PAIRS} at most"):
        pasted("1000\t1\n" * (MEASURED_PAIRS + 2))
