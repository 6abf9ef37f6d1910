"""Drives offered and added, asked as the page asks."""

from __future__ import annotations

import posekit
from tests.bridge.test_workbench import Page


def test_a_drive_is_offered_the_next_free_address_and_added_with_a_servo_of_its_own(
    arm: posekit.Prop,
) -> None:
    page = Page()
    page.open(arm)
    first = arm.drives[0].name
    page.ask("remove", {"kind": "drives", "name": first, "with_all": True})
    offer = page.ask("drive_offer", {"universe": 1})
    free = [each["name"] for each in offer["joints"] if not each["moved_by"]]
    assert arm.drives[0].joint in free
    taken = max((each.address + each.bits // 8 - 1 for each in arm.drives[1:]), default=0)
    assert offer["address"] == {"8": taken + 1, "16": taken + 1}
    assert page.ask("drive_offer", {"universe": 7})["address"] == {"8": 1, "16": 1}

    asked = {"name": "nod", "joint": free[0], "servo": "mine", "universe": 7, "address": None, "bits": 16}
    micro = next(each for each in offer["classes"] if each["name"] == "micro")["figures"]
    view = page.ask(
        "add_drive", {**asked, "new_servo": {**micro, "speed": "0.1 s/60deg"}, "typical": "micro"}
    )
    nod = next(each for each in view["drives"] if each["name"] == "nod")
    assert (nod["universe"], nod["address"], nod["bits"], nod["servo"]) == (7, 1, 16, "mine")
    assert (nod["pulse_low"], nod["pulse_high"]) == (1000.0, 2000.0)
    assert "speed = 600" in view["text"] and 'typical = "micro"' in view["text"]

    assert page.refused("add_drive", {**asked, "name": "again"})  # that joint is taken by now
    names = [each["name"] for each in page.ask("edit", {"path": "drives.nod.rest", "value": 3})["drives"]]
    assert names == [each.name for each in arm.drives[1:]] + ["nod"]
