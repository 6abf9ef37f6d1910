"""A linkage looked for in steps, seen moving and taken, asked as the page asks."""

from __future__ import annotations

import numpy as np

import posekit
from posekit.authoring.movement import Movement, proposals, with_linkage
from posekit.authoring.synthesis import Stock, one_of
from tests.bridge.test_workbench import Page
from tests.conftest import demo_prop

HERON = demo_prop("heron")
WISH = {"drive": "beak", "joint": [0.0, 18.0], "horns": "8, 10, 12.5"}


def searched(page: Page, wish: dict[str, object]) -> tuple[dict[str, object], list[str]]:
    """The end of a search, and what it said it was doing."""
    view, doing = page.ask("find_linkage", wish), []
    while not view["done"]:
        doing.append(view["doing"])
        view = page.ask("find_on", {"seconds": 0.0})
    return view, doing


def test_a_search_goes_in_steps_and_finds_what_the_command_finds() -> None:
    page = Page()
    page.open(HERON)
    view, doing = searched(page, WISH)
    asked = proposals(HERON, "beak", Movement(joint=(0.0, 18.0)), Stock(horns=one_of(8.0, 10.0, 12.5)))
    assert [each["dimensions"] for each in view["candidates"]] == [
        each.dimensions for each in asked.candidates
    ]
    assert "looking for a four-bar" in doing and len(doing) >= 3
    (note,) = [each for each in view["findings"] if each["code"] == "no-place"]
    assert "--" not in note["message"]
    assert page.refused("find_on", {"seconds": 0.1})  # it is over


def test_what_is_asked_wrong_is_refused_with_the_place() -> None:
    page = Page()
    page.open(HERON)
    assert page.refused("find_linkage", {**WISH, "horns": "ten"})[0]["subject"] == "horns"
    assert page.refused("find_linkage", {**WISH, "servo_at": "1, 2"})[0]["subject"] == "servo shaft at"
    assert page.refused("find_linkage", {**WISH, "joint": [5.0, 5.0]})


def test_a_linkage_found_is_seen_moving_before_it_is_taken_and_stays_where_it_was_said_to_lie() -> None:
    lying = posekit.edit(HERON, "drives.beak.linkage.ground_along", [1, 0, 0.2])
    page = Page()
    page.open(lying)
    view, _ = searched(page, WISH)
    number = next(i for i, each in enumerate(view["candidates"]) if each["type"] == "four_bar")
    chosen = {key: view["candidates"][number][key] for key in ("type", "dimensions")}
    before = page.ask("pose", {"values": {}, "linkages": True})
    preview = page.ask("preview_linkage", {"drive": "beak", **chosen, "values": {}, "steps": 9})
    after = page.ask("pose", {"values": {}, "linkages": True})
    np.testing.assert_array_equal(before["linkages"], after["linkages"])  # the prop is as it was
    assert preview["links"].shape == (9, len(HERON.links), 16)

    taken = page.ask("take_linkage", {"drive": "beak", **chosen})
    wanted = proposals(lying, "beak", Movement(joint=(0.0, 18.0)), Stock(horns=one_of(8.0, 10.0, 12.5)))
    assert taken["text"] == with_linkage(lying, "beak", wanted.candidates[number]).text
    assert "ground_along = [1, 0, 0.2]" in taken["text"]
    full = next(drive.full_scale for drive in HERON.drives if drive.name == "beak")
    for step, value in ((0, 0), (8, full)):
        pose = page.ask("pose", {"values": {"beak": value}, "linkages": True})
        np.testing.assert_allclose(preview["links"][step], pose["links"], atol=1e-6)
        np.testing.assert_allclose(preview["points"][step], pose["linkages"], atol=1e-6)
