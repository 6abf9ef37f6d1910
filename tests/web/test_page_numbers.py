"""Numbers typed in the page by keyboard: with a comma, with letters, left empty; what is none is told and kept."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import posekit
from tests.report.test_power import arm
from tests.web.test_page_access import serious
from tests.web.test_page_strength import dropped

pytestmark = [pytest.mark.page, pytest.mark.python("native")]

ARM = (Path(__file__).parents[1] / "cases" / "valid" / "arm.toml").read_bytes()


def typed(page, field, text: str) -> None:
    """Type as a hand does, key by key, and go on; nothing empties the field."""
    field.focus()
    page.keyboard.press("ControlOrMeta+a")
    page.keyboard.type(text) if text else page.keyboard.press("Backspace")
    page.keyboard.press("Tab")


def holds(bench, text: str) -> None:
    bench.becomes(f"() => posekit.work().text.includes({text!r})", True)


def test_a_key_of_the_file_takes_a_decimal_comma_and_tells_what_is_no_number(bench) -> None:
    dropped(bench, arm())
    row = bench.tab("Calibration").locator("[data-path='drives.shoulder.pulse.low']")
    low = row.get_by_role("spinbutton")
    typed(bench.page, low, "1350,5")
    holds(bench, "low = 1350.5")
    for text, told in (
        ("1,350", "“1,350” can be read in two ways; write 1350 or 1.350."),
        ("1350x", "“1350x” is not a number; write one such as 12.5."),
        ("1e999", "“1e999” is larger than any number here; write one such as 12.5."),
    ):
        typed(bench.page, low, text)
        row.get_by_role("alert").get_by_text(told).wait_for()
        assert low.input_value() == text
        assert low.get_attribute("aria-invalid") == "true"
        assert low.get_attribute("aria-valuenow") is None
        low.press("ArrowUp")
        bench.quiet()
        assert low.input_value() == text
        holds(bench, "low = 1350.5")  # and not what its first letters were
    assert serious(bench) == []
    low.focus()
    bench.page.keyboard.press("ControlOrMeta+a")
    bench.page.keyboard.type("1360,25")
    bench.page.keyboard.press("Shift+ArrowUp")
    holds(bench, "low = 1370.25")
    assert row.get_by_role("alert").count() == 0


def test_a_form_takes_a_decimal_comma_and_goes_nowhere_with_what_is_no_number(bench) -> None:
    dropped(bench, arm())
    bench.tab("Strength")
    fold = bench.page.locator("details", has=bench.page.locator("[data-feed]")).first
    fold.locator("summary").first.click()
    fold.get_by_role("button", name="Add a supply").click()
    form = fold.get_by_role("form", name="Add a supply")
    form.get_by_label("Name of the supply").fill("legs")
    volts = form.get_by_label("Voltage, V")
    before = bench.work()["text"]
    form.get_by_role("button", name="Add it").click()
    form.get_by_text("Voltage: nothing stands there; write a number such as 12.5.").wait_for()
    typed(bench.page, volts, "6,5V")
    form.get_by_label(re.compile("^Current")).fill("4")
    bench.page.keyboard.press("Enter")
    form.get_by_text("Voltage: “6,5V” is not a number").wait_for()
    bench.quiet()
    assert bench.work()["text"] == before
    typed(bench.page, volts, "6,5")
    form.get_by_role("button", name="Add it").click()
    form.wait_for(state="detached")
    (legs,) = posekit.read({"prop.toml": bench.work()["text"].encode()}).supplies
    assert (legs.voltage, legs.current) == (6.5, 4.0)


def test_one_of_three_numbers_is_never_left_empty_nor_0_for_it(bench) -> None:
    bench.drop("arm.toml", ARM)
    bench.becomes("() => posekit.work().folder", "arm")
    bench.quiet()
    before = bench.work()["text"]
    panel = bench.tab("Parts")
    panel.locator("[role=treeitem]").last.click()
    field = panel.locator("details[open] [data-path$='].at'] [role=spinbutton]").first
    stood = field.input_value()
    field.focus()
    bench.page.keyboard.press("End")
    bench.page.keyboard.type("7")
    for _ in range(len(stood) + 1):
        bench.page.keyboard.press("Backspace")
    bench.page.keyboard.press("Tab")
    panel.get_by_role("alert").get_by_text("Nothing stands there; write a number such as 0.").wait_for()
    bench.quiet()
    assert bench.work()["text"] == before


def test_a_list_whose_commas_can_be_read_in_two_ways_is_refused_beside_its_field(bench) -> None:
    dropped(bench, arm())
    before = bench.work()["text"]
    row = bench.tab("Calibration").locator("[data-path$='.pulse_range']").first
    if not row.is_visible():
        bench.page.locator("summary", has_text="Servo:").click()
    field = row.get_by_role("textbox")
    typed(bench.page, field, "500, 2500,5")
    row.get_by_role("alert").get_by_text(
        "“2500,5” can be read in two ways; write 2500.5 or 2500, 5."
    ).wait_for()
    bench.quiet()
    assert (bench.work()["text"], field.input_value()) == (before, "500, 2500,5")
    typed(bench.page, field, "500; 2400,5")
    holds(bench, "pulse_range = [500, 2400.5]")
