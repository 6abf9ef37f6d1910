"""Notes and two poses beside each other, through the door."""

from __future__ import annotations

import json

import pytest

import posekit
from posekit.prop.fingerprint import fingerprint
from tests.bridge.test_workbench import Page
from tests.conftest import demo_prop

HOSTILE = "<img src=x onerror=alert(1)></script>\u202e\x1b[31m"


@pytest.fixture(scope="module")
def heron() -> posekit.Prop:
    return demo_prop("heron")


@pytest.fixture
def page(heron: posekit.Prop) -> Page:
    page = Page()
    page.open(heron)
    return page


def notes(heron: posekit.Prop, **given: object) -> str:
    top = {
        "posekit_notes": 1,
        "prop": heron.name,
        "fingerprint": fingerprint(heron),
        "file_made": "2026-11-26",
    }
    note = {
        "id": "1a" * 16,
        "made": "2026-11-26T10:00:00Z",
        "kind": "change",
        "look": "alert",
        "text": "lower",
    }
    return json.dumps({**top, "notes": [{**note, **given}]})


def test_notes_go_in_stand_at_their_part_and_are_ticked_off(page: Page, heron: posekit.Prop) -> None:
    text = notes(heron, part="head", point_mm=[10, -20, 30])
    assert page.ask("notes_in", {"text": text, "name": "a"}) == {"sentence": "Notes: 1 new.", "changes": True}
    assert page.ask("notes", {})["notes"] == []
    page.ask("take_notes", {"text": text, "name": "a"})
    assert not page.ask("notes_in", {"text": text, "name": "a"})["changes"]
    (note,) = page.ask("notes", {})["notes"]
    assert (note["look"], note["part"], note["point"]) == ("alert", "head", [0.01, -0.02, 0.03])
    assert (note["state"], note["changed"], note["group"]) == ("open", [], "Look alert")
    page.ask("tick_note", {"note": note["id"], "when": "2026-11-27T08:00:00.000Z", "answer": "by 10"})
    told = page.ask("notes", {})
    assert (told["counted"], told["notes"][0]["done"], told["notes"][0]["answer"]) == (
        "0 open, 1 done",
        "2026-11-27",
        "by 10",
    )
    page.ask("reopen_note", {"note": note["id"]})
    assert page.ask("notes", {})["counted"] == "1 open, 0 done"


def test_what_is_gone_leads_nowhere_and_hostile_words_are_made_safe(page: Page, heron: posekit.Prop) -> None:
    given = {
        "look": HOSTILE,
        "part": HOSTILE,
        "by": HOSTILE,
        "text": HOSTILE + "\n" + "x" * 9_000,
        "point_mm": [1, 2, 3],
    }
    page.ask("take_notes", {"text": notes(heron, **given), "name": HOSTILE})
    (note,) = page.ask("notes", {})["notes"]
    assert (note["look"], note["part"], note["point"]) == (None, None, None)
    assert [each["code"] for each in note["changed"]] == ["look-gone", "part-gone"]
    assert note["text"].endswith("\n" + "x" * 9_000)
    for words in (
        note["text"],
        note["by"],
        note["where"],
        note["group"],
        *(each["text"] for each in note["changed"]),
    ):
        assert "<img" in words and "\u202e" not in words and "\x1b" not in words
    refused = page.refused("take_notes", {"text": "\ud800 posekit notes {", "name": HOSTILE})
    assert len(refused) == 1


def test_two_poses_beside_each_other_tell_what_differs(page: Page, heron: posekit.Prop) -> None:
    looks = {look["name"]: look["values"] for look in page.open(heron)["looks"]}
    left, right = looks["alert"], {**looks["alert"], "beak": 255}
    told = page.ask("beside", {"left": left, "right": right})
    (drive,) = told["drives"]
    assert (drive["name"], drive["left"], drive["right"]) == ("beak", str(left["beak"]), "255")
    assert drive["by"] == f"{255 - left['beak']:+d}" and drive["part"] == told["joints"][0]["part"]
    poses = [posekit.pose_at(heron, [each[d.name] for d in heron.drives]) for each in (left, right)]
    written = [[round(pose.joints[row["name"]], 1) for pose in poses] for row in told["joints"]]
    assert [row["by"] for row in told["joints"]] == [f"{b - a:+.1f}°" for a, b in written]
    assert told["sentence"].startswith("1 of 8 drives differs")
    assert page.ask("beside", {"left": left, "right": left})["sentence"] == "Nothing differs."


def test_what_is_listed_beside_each_other_is_seen_to_differ(page: Page, arm_text: str) -> None:
    """A drive of 16 bits moves its joint by less than is written."""
    fine = posekit.read({"prop.toml": arm_text.replace("address = 1", "address = 1\nbits = 16").encode()})
    page.open(fine)
    (name,) = (drive.name for drive in fine.drives)
    for middle in range(32_700, 32_840, 7):
        for step in (3, 30, 90):
            told = page.ask("beside", {"left": {name: middle}, "right": {name: middle + step}})
            for row in told["joints"]:
                assert row["left"] != row["right"] and float(row["by"].rstrip("°")) != 0.0, row
                assert "-0.0°" not in (row["left"], row["right"])
            assert f"{len(told['joints'])} joint" in told["sentence"]
