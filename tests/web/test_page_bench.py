"""The Bench panel: a servo is measured, all drives are posed for the bench, and one swings."""

from __future__ import annotations

import numpy as np
import pytest
from playwright.sync_api import expect

import posekit
from posekit.authoring.measured import with_measured
from posekit.authoring.reset_drive import reset_drive
from posekit.mechanism.bench import bench_values
from posekit.pipeline import pose_at
from posekit.signal.fit import fit
from tests.conftest import demo_prop
from tests.web.conftest import Bench
from tests.web.test_page_access import ENLARGED, PHONE, serious

pytestmark = [pytest.mark.page, pytest.mark.python("native"), pytest.mark.timeout(600)]

HERON = demo_prop("heron")
REST = [drive.rest_value for drive in HERON.drives]
DRIVE = "head_turn"
D = [drive.name for drive in HERON.drives].index(DRIVE)
SERVO = HERON.drives[D].servo
MEASURED = [(900, -54.0), (1100, -36.5), (1300, -17.0), (1500, 1.0), (1700, 40.0), (1900, 37.0), (2100, 54.5)]


def cell(panel, row: int, column: str):
    return panel.get_by_label(f"Row {row}, {column}")


def measuring(bench: Bench):
    panel = bench.tab("Bench")
    panel.get_by_label("Servo type to measure").select_option(SERVO)
    return panel


@pytest.mark.python("pyodide")
def test_a_servo_is_measured_by_keyboard_and_its_points_taken_with_one_press(bench: Bench, shot) -> None:
    page = bench.page
    panel = measuring(bench)
    cell(panel, 1, "pulse").focus()
    for us, deg in MEASURED:
        page.keyboard.type(str(us))
        page.keyboard.press("Enter")
        page.keyboard.type(f"{deg:g}".replace(".", ","))
        page.keyboard.press("Enter")
    panel.get_by_text("✕ left out", exact=True).wait_for()
    out = panel.get_by_role("row").filter(has_text="left out")
    assert out.get_by_role("rowheader").inner_text() == "5"
    panel.get_by_text("measure it again").first.wait_for()
    off = panel.get_by_role("img", name="Off the line:")
    off.scroll_into_view_if_needed()
    told = off.get_attribute("aria-label")
    assert [
        round(float(each.split("°")[0].split()[-1].replace("−", "-")), 1)
        for each in told.removeprefix("Off the line: ").split(", ")
    ] == [pytest.approx(each, abs=0.06) for each in fit(MEASURED).residuals_deg]
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        assert serious(bench) == []
        shot(bench, f"measure-{scheme}")
    panel.get_by_role("button", name="Take these points").click()
    wanted = with_measured(HERON, SERVO, MEASURED)
    bench.stands_as(pose_at(wanted, REST))
    assert bench.work()["text"] == wanted.text
    page.get_by_role("button", name="Undo").click()
    bench.becomes("() => posekit.work().text", HERON.text)
    expect(cell(panel, 7, "pulse")).to_have_value("2100")
    expect(page.get_by_role("button", name="Undo")).to_be_disabled()


def test_columns_of_a_spreadsheet_are_pasted_and_what_is_wrong_is_told_at_its_row(bench: Bench) -> None:
    panel = measuring(bench)
    cell(panel, 1, "pulse").focus()
    table = "pulse\tangle\n" + "".join(f"{us}\t{deg}\n" for us, deg in MEASURED[:4])
    bench.page.evaluate("text => navigator.clipboard.writeText(text)", table)
    bench.page.keyboard.press("Control+v")
    expect(cell(panel, 4, "angle")).to_have_value("1.0")
    # What is pasted where readings are goes before them.
    bench.page.evaluate("text => navigator.clipboard.writeText(text)", "700\t-71\n")
    cell(panel, 1, "pulse").focus()
    bench.page.keyboard.press("Control+v")
    expect(cell(panel, 1, "pulse")).to_have_value("700")
    expect(cell(panel, 2, "pulse")).to_have_value("900")
    expect(cell(panel, 5, "angle")).to_have_value("1.0")
    panel.get_by_role("button", name="Remove row 1").click()
    expect(cell(panel, 1, "pulse")).to_have_value("900")
    cell(panel, 5, "pulse").fill("17oo")
    panel.get_by_text("“17oo” is not a number").wait_for()
    panel.get_by_role("button", name="Take these points").click()
    panel.get_by_role("status").get_by_text("row 5").wait_for()
    assert bench.work()["text"] == HERON.text
    panel.get_by_role("button", name="Remove row 5").click()
    panel.get_by_role("button", name="Take these points").click()
    bench.becomes("() => posekit.work().text", with_measured(HERON, SERVO, MEASURED[:4]).text)


def test_the_pulses_of_a_drive_are_filled_in_with_the_values_to_send(bench: Bench) -> None:
    bench.page.get_by_label(DRIVE, exact=True).focus()
    panel = measuring(bench)
    panel.get_by_role("button", name=f"Fill in pulses for {DRIVE}").click()
    expect(cell(panel, 1, "pulse")).to_have_value(
        f"{pose_at(HERON, [0 if d == D else v for d, v in enumerate(REST)]).pulses[DRIVE]:g}"
    )
    panel.get_by_text("send 255").wait_for()
    panel.get_by_role("button", name="Empty the table").click()
    bench.page.get_by_role("alertdialog").get_by_role("button", name="Empty it").click()
    expect(cell(panel, 1, "pulse")).to_have_value("")


@pytest.mark.own_page
def test_what_is_being_measured_outlives_a_reload_letter_by_letter(bench: Bench) -> None:
    cell(measuring(bench), 1, "pulse").fill("1500")
    cell(measuring(bench), 1, "angle").press_sequentially("-0,")
    bench.page.get_by_text("Saved in this browser").wait_for()
    bench.page.reload()
    bench.posed()
    panel = measuring(bench)
    expect(cell(panel, 1, "pulse")).to_have_value("1500")
    expect(cell(panel, 1, "angle")).to_have_value("-0,")


def test_all_drives_stand_for_the_bench_with_one_press_and_one_undo(bench: Bench) -> None:
    panel = bench.tab("Bench")
    for pose, name in (
        ("neutral", "All to 1500 µs"),
        ("low", "All to value 0"),
        ("high", "All to full"),
        ("middle", "All to the middle"),
    ):
        panel.get_by_role("button", name=name).click()
        bench.stands_as(pose_at(HERON, bench_values(HERON, pose)))
    for pose in ("high", "low", "neutral", "rest"):
        bench.page.get_by_role("button", name="Undo").click()
        bench.stands_as(pose_at(HERON, bench_values(HERON, pose)))
    expect(bench.page.get_by_role("button", name="Undo")).to_be_disabled()


def angle(bench: Bench) -> np.ndarray:
    return bench.node("head")


def goes_on(bench: Bench) -> None:
    """Wait until the head stands elsewhere than now."""
    before = angle(bench)
    for _ in bench.looks():
        if np.abs(angle(bench) - before).max() > 1e-4:
            return
    raise AssertionError("nothing moves")


def test_a_drive_swings_at_a_pace_that_is_changed_on_the_way_and_kept_only_when_asked(
    bench: Bench, shot
) -> None:
    page = bench.page
    panel = bench.tab("Bench")
    panel.get_by_label("Drive to swing").select_option(DRIVE)
    panel.get_by_role("button", name="Swing", exact=True).click()
    goes_on(bench)
    speed = panel.get_by_role("slider", name="Speed")
    speed.focus()
    for _ in range(30):
        page.keyboard.press("ArrowLeft")
    panel.get_by_text("These limits are tried only").wait_for()
    goes_on(bench)
    assert bench.work()["text"] == HERON.text
    shot(bench, "swing")
    assert serious(bench) == []
    slow = int(speed.get_attribute("aria-valuetext").split()[0])
    assert slow < HERON.drives[D].speed
    panel.get_by_role("button", name="Keep these limits").click()
    bench.becomes("() => posekit.work().text", posekit.edit(HERON, f"drives.{DRIVE}.speed", slow).text)
    goes_on(bench)
    panel.get_by_role("button", name="Stop").click()
    bench.stands_as(pose_at(HERON, REST))
    page.get_by_role("button", name="Undo").click()
    bench.becomes("() => posekit.work().text", HERON.text)
    expect(panel.get_by_text("The prop file has")).to_be_hidden()  # what it told was of the prop before
    # Nothing swings where nobody could stop it, nor against a hand on a channel.
    panel.get_by_role("button", name="Swing", exact=True).click()
    goes_on(bench)
    bench.tab("Channels")
    bench.stands_as(pose_at(HERON, REST))


def test_a_drive_is_put_back_to_where_it_began_in_one_act(bench: Bench) -> None:
    panel = bench.tab("Bench")
    panel.get_by_label("Drive to swing").select_option(DRIVE)
    panel.get_by_role("button", name="Back to where it began").click()
    wanted = reset_drive(HERON, DRIVE)
    bench.stands_as(pose_at(wanted, REST))
    assert bench.work()["text"] == wanted.text
    bench.page.get_by_role("button", name="Undo").click()
    bench.becomes("() => posekit.work().text", HERON.text)


@pytest.mark.parametrize("setting", [PHONE, ENLARGED], indirect=True)
def test_on_a_small_screen_all_of_the_bench_can_be_reached(bench: Bench, shot) -> None:
    page = bench.page
    page.get_by_role("button", name="Controls").click()
    panel = measuring(bench)
    cell(panel, 1, "pulse").fill("1500")
    cell(panel, 1, "angle").fill("0.5")
    cell(panel, 2, "pulse").fill("1700")
    cell(panel, 2, "angle").fill("18.5")
    panel.get_by_role("img", name="Off the line:").scroll_into_view_if_needed()
    shot(bench, f"bench-small-{page.viewport_size['width']}")
    panel.get_by_role("button", name="Take these points").click()
    bench.becomes("() => posekit.work().text", with_measured(HERON, SERVO, [(1500, 0.5), (1700, 18.5)]).text)
    wide = "p => p.scrollWidth > p.clientWidth"
    assert not page.evaluate(f"() => [...document.querySelectorAll('.panel')].some({wide})")
    assert serious(bench) == []
    panel.get_by_label("Drive to swing").scroll_into_view_if_needed()
    shot(bench, f"bench-small-top-{page.viewport_size['width']}")
