"""Calibration in the page: the prop file changes, the figure with it, and nothing is lost."""

from __future__ import annotations

from pathlib import Path

import pytest

import posekit
from posekit.pipeline import pose_at
from tests.conftest import demo_prop

pytestmark = [pytest.mark.page, pytest.mark.python("native")]

FOLDER = Path(__file__).parents[2] / "models" / "heron"
HERON = demo_prop("heron")
REST = [drive.rest_value for drive in HERON.drives]


def set_low(bench, drive: str, pulse_us: int):
    """Set the lower end point of a drive in the Calibration panel; answers the row of that key."""
    panel = bench.tab("Calibration")
    panel.get_by_label("Drive").select_option(drive)
    row = panel.locator(f"[data-path='drives.{drive}.pulse.low']")
    row.get_by_role("spinbutton").fill(str(pulse_us))
    row.get_by_role("spinbutton").press("Tab")
    return row


def edited(drive: str, pulse_us: int) -> posekit.Prop:
    return posekit.edit(HERON, f"drives.{drive}.pulse.low", pulse_us)


def test_an_end_point_moves_the_figure_at_once_and_keeps_the_comments(bench, shot) -> None:
    set_low(bench, "wing_left", 1300)
    bench.stands_as(pose_at(edited("wing_left", 1300), REST))
    assert bench.work()["text"] == edited("wing_left", 1300).text
    assert bench.work()["text"].count("#") == HERON.text.count("#")
    shot(bench, "calibration")


def test_undo_takes_an_edit_back_and_redo_makes_it_again(bench) -> None:
    set_low(bench, "wing_left", 1300)
    bench.stands_as(pose_at(edited("wing_left", 1300), REST))
    bench.page.get_by_role("button", name="Undo").click()
    bench.stands_as(pose_at(HERON, REST))
    assert bench.work()["text"] == HERON.text
    bench.page.get_by_role("button", name="Redo").click()
    bench.stands_as(pose_at(edited("wing_left", 1300), REST))


def test_the_prop_file_is_saved_as_the_text_it_became(bench, tmp_path: Path) -> None:
    set_low(bench, "wing_left", 1300)
    bench.stands_as(pose_at(edited("wing_left", 1300), REST))
    bench.page.get_by_role("button", name="Save", exact=True).click()
    with bench.page.expect_download() as saved:
        bench.page.get_by_role("button", name="Prop file").click()
    saved.value.save_as(tmp_path / "prop.toml")
    assert (tmp_path / "prop.toml").read_text() == edited("wing_left", 1300).text


@pytest.mark.own_page
def test_a_reload_loses_nothing_not_even_a_look_and_undo_still_works(bench) -> None:
    set_low(bench, "wing_left", 1300)
    bench.becomes("() => posekit.work().text", edited("wing_left", 1300).text)
    bench.page.get_by_role("tab", name="Channels").click()
    bench.page.get_by_label("head_turn", exact=True).fill("200")
    looks = bench.tab("Looks")
    looks.get_by_label("Name of a new look").fill("glance")
    looks.get_by_role("button", name="Store this pose").click()
    stored = looks.get_by_role("button", name="glance", exact=True)
    stored.wait_for()
    bench.page.get_by_text("Saved in this browser").wait_for()
    before = bench.work()
    bench.page.reload()
    bench.posed()
    assert bench.work() == before
    bench.tab("Looks")
    stored.wait_for()
    values = {**dict(zip([drive.name for drive in HERON.drives], REST, strict=True)), "head_turn": 200}
    bench.stands_as(pose_at(edited("wing_left", 1300), list(values.values())))
    for _ in range(3):  # the look, the channel, the pulse
        bench.page.get_by_role("button", name="Undo").click()
    bench.stands_as(pose_at(HERON, REST))


def test_a_pulse_that_cannot_be_is_refused_beside_its_field(bench, shot) -> None:
    row = set_low(bench, "wing_left", -5)
    told = row.locator(".finding--error")
    told.wait_for()
    assert "-5" in told.inner_text()
    assert row.get_by_role("spinbutton").get_attribute("aria-invalid") == "true"
    assert bench.work()["text"] == HERON.text
    shot(bench, "refused-pulse")


def test_reverse_swaps_the_end_points(bench) -> None:
    panel = bench.tab("Calibration")
    panel.get_by_label("Drive").select_option("head_turn")
    panel.get_by_role("button", name="Reverse").click()
    drive = next(drive for drive in HERON.drives if drive.name == "head_turn")
    swapped = posekit.edit(HERON, "drives.head_turn.pulse.low", drive.pulse.high)
    swapped = posekit.edit(swapped, "drives.head_turn.pulse.high", drive.pulse.low)
    bench.stands_as(pose_at(swapped, REST))


def test_focus_and_open_folds_stay_while_the_prop_changes_under_them(bench) -> None:
    panel = bench.tab("Calibration")
    panel.get_by_label("Drive").select_option("wing_left")
    panel.locator("summary", has_text="Servo:").click()
    panel.locator("summary", has_text="Linkage:").click()  # closed now
    low = panel.locator("[data-path='drives.wing_left.pulse.low'] input")
    before = low.input_value()
    bench.page.evaluate(
        "() => document.querySelector(\"[data-path='drives.wing_left.pulse.low'] input\").mine = 1"
    )
    low.focus()
    low.press("PageUp")
    bench.becomes("() => posekit.work().text", edited("wing_left", int(before) + 10).text)
    bench.page.keyboard.press("Control+z")
    bench.becomes("() => posekit.work().text", HERON.text)
    # Undone before the eyes of the one who typed.
    bench.becomes(
        "() => document.querySelector(\"[data-path='drives.wing_left.pulse.low'] input\").value", before
    )
    assert bench.page.evaluate("() => document.activeElement.mine") == 1  # the very element, not one like it
    opened = panel.locator("details.fold").evaluate_all(
        "all => all.map(each => [each.textContent.slice(0, 6), each.open])"
    )
    assert dict(opened)["Servo:"] is True and dict(opened)["Linkag"] is False


def test_a_number_that_is_being_typed_is_not_taken_away_by_what_comes_meanwhile(bench) -> None:
    panel = bench.tab("Calibration")
    panel.get_by_label("Drive").select_option("wing_left")
    low = panel.locator("[data-path='drives.wing_left.pulse.low'] input")
    low.select_text()  # not emptied first: where that is judged by itself, the key goes and comes back elsewhere
    low.press_sequentially("13")
    bench.page.evaluate("() => document.querySelector('#tab-channels').click()")  # panels draw, focus stays
    bench.page.evaluate("() => document.querySelector('#tab-calibration').click()")
    low.press("End")  # where the caret comes to stand is the browser's
    low.press_sequentially("00")
    assert low.input_value() == "1300"
    bench.becomes("() => posekit.work().text", edited("wing_left", 1300).text)
