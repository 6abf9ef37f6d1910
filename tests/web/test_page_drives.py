"""Drives in the page: one is taken out, made again with a servo of its own, renamed and patched elsewhere."""

from __future__ import annotations

import re

import pytest

import posekit
from posekit.authoring.new_drive import servo_keys, with_drive
from posekit.authoring.remove import remove
from posekit.authoring.rename import rename
from tests.conftest import demo_prop
from tests.web.test_page_access import PHONE, serious

pytestmark = [pytest.mark.page, pytest.mark.python("native")]

HERON = demo_prop("heron")
FIGURES = {
    "pulse_range": "1000, 2000",
    "travel": "90",
    "voltage": "4.8, 6",
    "speed": "0.1 s/60deg",
    "stall_torque": "2 kg·cm",
    "stall_current": "0.75",
    "idle_current": "0.006",
    "deadband": "8",
}


def test_a_drive_is_removed_and_made_again_each_in_one_step_of_undo(bench, shot) -> None:
    panel = bench.tab("Drives")
    # A test before may have chosen it already: then other buttons have its name behind their own word.
    panel.get_by_role("button", name=re.compile("^beak")).click()
    panel.get_by_role("button", name="Remove beak").click()
    bench.page.get_by_role("button", name="Remove all of it").click()
    without = remove(HERON, "drives", "beak", with_all=True)
    bench.becomes("() => posekit.work().text", without.text)

    panel.get_by_role("button", name="Add a drive").click()
    dialog = bench.page.get_by_role("dialog", name="Add a drive")
    assert dialog.get_by_label("Joint it moves").input_value() == "beak"  # the only one that is free
    dialog.get_by_label("Servo", exact=True).select_option("a new type, from its data sheet")
    dialog.get_by_label("Begin with").select_option("a micro servo")
    dialog.get_by_label("Name of the type").fill("tiny")
    assert dialog.get_by_label("speed").input_value() == "500"
    dialog.get_by_label("speed").fill("quick")
    dialog.get_by_label("stall torque").fill("2 kg·cm")
    dialog.get_by_role("button", name="Add the drive").click()
    dialog.locator(".finding--error").wait_for()
    assert serious(bench) == []
    shot(bench, "drives-add")
    dialog.get_by_label("speed").fill("0.1 s/60deg")
    dialog.get_by_role("button", name="Add the drive").click()
    keys = {"servo": "tiny", "joint": "beak"}
    added = with_drive(without, "beak", keys, servo_keys(FIGURES, "micro"))
    bench.becomes("() => posekit.work().text", added.text)
    dialog.wait_for(state="hidden")

    bench.tab("Channels").get_by_label("beak", exact=True).fill("200")
    bench.becomes("() => posekit.work().values.beak", 200)
    bench.tab("Drives")
    panel.get_by_label("Name", exact=True).fill("bill")
    panel.get_by_label("Name", exact=True).press("Enter")
    named = rename(added, "drives", "beak", "bill")
    bench.becomes("() => posekit.work().text", named.text)
    bench.becomes("() => posekit.work().values.bill", 200)  # it takes its value along
    address = panel.locator("[data-path='drives.bill.address'] input")
    address.fill("40")
    address.press("Tab")
    bench.becomes("() => posekit.work().text", posekit.edit(named, "drives.bill.address", 40).text)
    assert serious(bench) == []
    bench.page.locator(".toast--error").wait_for(state="hidden")
    shot(bench, "drives")

    for text in (named.text, added.text, added.text, without.text, HERON.text):
        bench.page.get_by_role("button", name="Undo").click()
        bench.becomes("() => posekit.work().text", text)


@pytest.mark.parametrize("setting", [PHONE], indirect=True)
def test_on_a_phone_a_drive_is_added_by_keyboard(bench, shot) -> None:
    bench.page.get_by_role("button", name="Controls").tap()
    panel = bench.tab("Drives")
    panel.get_by_role("button", name="lids").tap()
    panel.get_by_role("button", name="Remove lids").tap()
    sure = bench.page.get_by_role("button", name="Remove all of it")
    sure.focus()
    bench.page.keyboard.press("Enter")
    without = remove(HERON, "drives", "lids", with_all=True)
    bench.becomes("() => posekit.work().text", without.text)
    panel.get_by_role("button", name="Add a drive").focus()
    bench.page.keyboard.press("Enter")
    dialog = bench.page.get_by_role("dialog", name="Add a drive")
    dialog.get_by_label("Bits").focus()
    bench.page.keyboard.press("ArrowDown")
    dialog.get_by_label("Name of the drive").focus()
    bench.page.keyboard.press("Control+a")
    bench.page.keyboard.type("eyes")
    assert serious(bench) == []
    shot(bench, "drives-add-phone")
    bench.page.keyboard.press("Enter")
    added = with_drive(without, "eyes", {"servo": HERON.servos[0].name, "joint": "lid_left", "bits": 16})
    bench.becomes("() => posekit.work().text", added.text)
    dialog.wait_for(state="hidden")
    shot(bench, "drives-phone")
