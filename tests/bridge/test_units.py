"""Values as they are written and typed in each unit."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

import posekit
from posekit.bridge.units import UNITS, Unit, step, texts, typed, written
from posekit.prop.model import Drive
from tests.bridge.test_workbench import Page
from tests.conftest import CASES


def drive(bits: int) -> Drive:
    return replace(
        posekit.read({"prop.toml": (CASES / "valid" / "arm.toml").read_bytes()}).drives[0], bits=bits
    )


@given(st.sampled_from([8, 16]), st.sampled_from(UNITS), st.floats(0, 1))
def test_what_is_written_is_read_as_the_same_value_where_the_unit_is_fine_enough(
    bits: int, unit: Unit, share: float
) -> None:
    one = drive(bits)
    value = round(share * one.full_scale)
    back, notice = typed(one, written(one, value, unit), unit)
    assert notice is None
    coarse = one.full_scale / 1000 if unit == "percent" else 0.0  # percent is written with one decimal
    assert back is not None and abs(back - value) <= coarse


@pytest.mark.parametrize(
    ("bits", "text", "unit", "value"),
    [
        (8, "50", "percent", 128),  # 127.5, to the even one
        (8, "100", "percent", 255),
        (8, "65535", "16 bit", 255),
        (8, "32896", "16 bit", 128),
        (16, "50", "percent", 32768),
        (16, "12,5", "percent", 8192),
        (8, " 7 ", "value", 7),
    ],
)
def test_a_number_is_read_in_its_unit(bits: int, text: str, unit: Unit, value: int) -> None:
    assert typed(drive(bits), text, unit) == (value, None)


@pytest.mark.parametrize("text", ["", "many", "nan", "1e999", "12 34", "1_000", "１２"])
def test_what_is_no_number_sets_nothing_and_says_what_would(text: str) -> None:
    value, notice = typed(drive(8), text, "percent")
    assert value is None
    assert notice == f"“{text}” is not a number. Write one from 0 to 100.0."


def test_a_comma_before_three_digits_is_asked_about() -> None:
    told = "“1,500” can be read in two ways; write 1500 or 1.500."
    assert typed(drive(16), "1,500", "value") == (None, told)


def test_a_number_outside_is_set_to_the_nearest_and_said() -> None:
    assert typed(drive(8), "256", "value") == (255, "256 is outside 0 to 255; set to 255.")
    assert typed(drive(8), "-1", "percent") == (0, "-1 is outside 0 to 100.0; set to 0.0.")


def test_words_of_others_come_back_printable_and_short() -> None:
    _, notice = typed(drive(8), "\x1b[2J" + "x" * 10_000, "value")
    assert notice is not None and "\x1b" not in notice and len(notice) < 200


def test_a_step_is_one_value_at_least_and_one_of_its_unit_where_that_is_more() -> None:
    assert [step(drive(8), unit) for unit in UNITS] == [1, 3, 1]
    assert [step(drive(16), unit) for unit in UNITS] == [1, 655, 1]


def test_a_pose_tells_its_values_in_every_unit(arm: posekit.Prop) -> None:
    page = Page()
    page.open(arm)
    pose = page.ask("pose", {"values": {arm.drives[0].name: 10}})
    assert pose["texts"] == {
        unit: list(row) for unit, row in texts(arm.drives, pose["values"].values()).items()
    }
