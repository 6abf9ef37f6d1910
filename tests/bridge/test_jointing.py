"""Joints through the door: an axis found on parts, placed, turned by hand; numbers worked out by hand beside each."""

from __future__ import annotations

import numpy as np
import pytest

import posekit
from posekit.authoring.contents import at_zero
from posekit.bridge.picture import PICTURE_FROM_PROP
from tests.authoring.test_hinge import stl
from tests.authoring.turned_parts import plate_with_hole
from tests.bridge.test_workbench import Page

# A post with a slot on its far side, a lever beside it with a hole, a tip on the lever; the lever is fixed yet.
TEXT = """
format = 1
name = "Lever"

[links.post]
[[links.post.shapes]]
box = [40, 40, 100]
at = [0, 0, 50]

[links.lever]
[[links.lever.shapes]]
mesh = "lever.stl"   # a plate of 30 by 30 by 6, its hole of 2.5 along z
at = [0, 30, 90]
turn = [90, 0, 0]

[links.tip]
[[links.tip.shapes]]
box = [4, 4, 4]
at = [0, 30, 140]

[joints.lever]
type = "fixed"   # to be placed
parent = "post"
child = "lever"

[joints.tip]
type = "revolute"
parent = "lever"
child = "tip"
at = [0, 30, 130]
axis = [0, 1, 0]
follow = {joint = "slide", ratio = 2, offset = 1}

[links.slide]
[joints.slide]
type = "prismatic"
parent = "post"
child = "slide"
at = [50, 0, 0]
axis = [2, 0, 0]
stops = [-5, 5]
"""
FILES = {"lever.stl": stl(plate_with_hole(30, 6, 2.5, 32))}
M = 1e-3


@pytest.fixture
def page() -> Page:
    page = Page()
    page.open(prop_of(TEXT))
    return page


def prop_of(text: str) -> posekit.Prop:
    return posekit.read({"prop.toml": text.encode(), **FILES})


def text_of(page: Page) -> str:
    return page.ask("files", {})["prop.toml"].decode()


def found(page: Page, how: str, *spots: tuple[str, list[float]]) -> dict:
    parts, points = [part for part, _ in spots], [point for _, point in spots]
    return page.ask("find_axis", {"how": how, "parts": parts, "points": points})


def test_a_hole_clicked_in_the_picture_is_told_and_takes_the_joint_while_the_parts_stay(page: Page) -> None:
    # The plate's z from 0 to 6 runs along -y from 30: the middle of the hole is at y = 27.
    spot = page.ask("spot", {"part": "lever", "point": [0, 28 * M, 92.5 * M]})
    assert spot == [0, 28, 92.5]
    at = found(page, "round", ("lever", spot))
    axis = at["axis"]
    assert np.allclose(axis["point_mm"], [0, 27, 90], atol=1e-3)
    assert np.allclose(np.abs(axis["direction"]), [0, 1, 0], atol=1e-6)
    assert axis["radius_mm"] == pytest.approx(2.5, abs=1e-4)
    assert np.allclose(axis["at"], PICTURE_FROM_PROP @ axis["point_mm"] * M)
    assert at["told"][0].startswith("lever: a hole of radius 2.50 mm, 6.0 mm long, all the way round.")

    # Beside the hole the face is flat, and the hole is meant all the same; further off it is not.
    beside = found(page, "round", ("lever", [0, 30, 94]))
    assert np.allclose(beside["axis"]["point_mm"], [0, 27, 90], atol=1e-3)
    refused = page.refused("find_axis", {"how": "round", "parts": ["lever"], "points": [[0, 30, 99]]})
    assert "is flat there" in refused[0]["message"]

    before = at_zero(prop_of(text_of(page)))["lever"]
    joint = {"joint": "lever", "type": "revolute"}
    view = page.ask("place_joint", joint | {key: axis[key] for key in ("point_mm", "direction")})
    after = prop_of(view["text"])
    assert "# to be placed" in view["text"]
    moved = at_zero(after)["lever"]
    assert np.allclose(moved[:3, 3], [0, 27, 90], atol=1e-3)
    # The shape is where it was: its place in the world is the frame's and its own.
    shape = after.links[1].shapes[0]
    assert np.allclose(moved[:3, :3] @ shape.at + moved[:3, 3], before[:3, :3] @ [0, 30, 90] + before[:3, 3])
    (place,) = (each for each in page.ask("joint_places", {})["joints"] if each["name"] == "lever")
    assert (place["type"], place["free"]) == ("revolute", [-180, 180])
    assert np.allclose(place["axis"]["point_mm"], [0, 27, 90], atol=1e-3)


def test_other_ways_to_say_where_an_axis_is(page: Page) -> None:
    # The edge of the post at x = 20, y = 20, from z = 0 to 100; its face at x = 20; two points; both plates' one hole.
    edge = found(page, "edge", ("post", [19, 20, 80]))["axis"]
    assert np.allclose(edge["point_mm"], [20, 20, 50]) and np.allclose(np.abs(edge["direction"]), [0, 0, 1])
    face = found(page, "face", ("post", [20.1, 3, 40]))["axis"]
    assert np.allclose(face["point_mm"], [20, 3, 40]) and np.allclose(face["direction"], [1, 0, 0])
    points = found(page, "points", ("post", [0, 0, 0]), ("tip", [0, 30, 40]))["axis"]
    assert np.allclose(points["direction"], [0, 0.6, 0.8])
    typed = page.ask("typed_axis", {"point_mm": [1, 2, 3], "direction": [0, 0, -2]})
    assert typed["direction"] == [0, 0, -1] and typed["text"] == "1, 2, 3 mm, along 0, 0, -1"


@pytest.mark.parametrize(
    ("how", "spot", "why"),
    [
        ("round", ("post", [20, 0, 50]), "is flat there"),
        ("face", ("lever", [2.5, 28, 90]), "not flat"),
        ("edge", ("lever", [2.5, 30, 90]), "is bent"),
        ("round", ("post", [500, 0, 0]), "stands elsewhere"),
        ("round", ("slide", [0, 0, 0]), "has no shape"),
        ("round", ("nobody", [0, 0, 0]), "there is no part"),
    ],
)
def test_where_there_is_no_such_axis_it_is_said_what_is_there(
    page: Page, how: str, spot: tuple, why: str
) -> None:
    asked = {"how": how, "parts": [spot[0]], "points": [spot[1]]}
    (finding,) = page.refused("find_axis", asked)
    assert why in finding["message"]


def test_an_axis_dragged_in_the_picture_is_told_in_the_words_of_the_prop_file(page: Page) -> None:
    x, y, z = (PICTURE_FROM_PROP @ [10.0004, -3, 7.25] * M).tolist()
    shown = {"at": [x, y, z], "along": (PICTURE_FROM_PROP @ [0, 0.6, 0.8]).tolist()}
    axis = page.ask("seen_axis", shown)
    assert axis["point_mm"] == [10, -3, 7.25]
    assert axis["direction"] == [0, 0.6, 0.8]
    # Let go there it is the same as placed there, and a change that no later one takes the place of.
    joint = {"joint": "lever", "type": "revolute"}
    dropped = page.ask("drop_joint", joint | shown)["text"]
    page.open(prop_of(TEXT))
    typed = {key: axis[key] for key in ("point_mm", "direction")}
    assert dropped == page.ask("place_joint", joint | typed)["text"] != TEXT


def test_a_joint_that_no_drive_moves_turns_by_hand_and_takes_its_stops_there(page: Page) -> None:
    (fixed,) = page.refused("try_joint", {"joint": "lever", "position": 10})
    assert fixed["code"] == "wrong-kind"
    where = {"point_mm": [0, 27, 90], "direction": [0, 1, 0], "type": "revolute"}
    page.ask("place_joint", {"joint": "lever", **where})
    trial = page.ask("try_joint", {"joint": "lever", "position": 90})
    assert (trial["position"], trial["text"]) == (90, "90.0°")
    # About y, a quarter turn brings z to x: the tip, 40 mm above the hole and 3 mm beside it, lies 40 mm before it.
    tip = trial["links"][[each.name for each in prop_of(text_of(page)).links].index("tip")].reshape(4, 4).T
    assert np.allclose(tip[:3, 3], PICTURE_FROM_PROP @ [40, 30, 90] * M, atol=1e-6)

    # Pulled by a point 50 mm above the axis to one that lies 50 mm in front of it and a little beside: the same turn.
    grip = np.array([0, 3, 50]) * M
    to = (PICTURE_FROM_PROP @ [50, 12, 90] * M).tolist()
    pulled = {"joint": "lever", "link": "lever", "grip": grip.tolist(), "target": to, "position": 60}
    assert page.ask("pull_joint", pulled)["position"] == pytest.approx(90)
    # From beyond a half turn on, the same place is not where it came from by another way round.
    behind = pulled | {"target": (PICTURE_FROM_PROP @ [-1, 0, 40] * M).tolist(), "position": 175}
    assert page.ask("pull_joint", behind)["position"] == pytest.approx(180, abs=2)
    assert page.ask("pull_joint", pulled | {"link": "post"})["position"] == 60  # which does not move with it

    page.ask("set_stop", {"joint": "lever", "which": "low", "position": -12.5})
    view = page.ask("set_stop", {"joint": "lever", "which": "high", "position": 30})
    stops = {joint["name"]: joint["stops"] for joint in view["joints"]}
    assert stops["lever"] == [-12.5, 30]
    (refused,) = page.refused("set_stop", {"joint": "lever", "which": "high", "position": -20})
    assert "move that first" in refused["message"]
    assert (
        page.ask("try_joint", {"joint": "lever", "position": 400})["position"] == 180
    )  # whatever the stops are


def test_a_joint_that_turns_and_slides_now_keeps_no_stops_of_the_other_unit(page: Page) -> None:
    view = page.ask("become_joint", {"joint": "slide", "type": "revolute"})
    turning = TEXT.replace('type = "prismatic"', 'type = "revolute"').replace("stops = [-5, 5]\n", "")
    assert text_of(page) == turning.replace(
        "ratio = 2, ", ""
    )  # of degrees per mm, by which the tip follows it
    assert [each["text"] for each in view["told"]] == [
        "joint slide: stops = [-5, 5]: are taken out, because they were millimetres; set new ones",
        "joint tip: follow ratio = 2: is taken out, because it was degrees per millimetre; 1 stands in its place, "
        "in degrees per degree; set a new one",
    ]
    page.ask("set_stop", {"joint": "slide", "which": "low", "position": -30.0})
    page.ask("become_joint", {"joint": "slide", "type": "revolute"})
    (slide,) = [joint for joint in prop_of(text_of(page)).joints if joint.name == "slide"]
    assert slide.stops is not None
    assert slide.stops[0] == -30.0


def test_a_joint_that_slides_takes_what_follows_it_along(page: Page) -> None:
    trial = page.ask("try_joint", {"joint": "slide", "position": 20})
    prop = prop_of(text_of(page))
    posed = posekit.forward(prop, [[20 if joint.name == "slide" else 41 for joint in prop.joints]])[0]
    names = [link.name for link in prop.links]
    for name in ("slide", "tip"):
        drawn = trial["links"][names.index(name)].reshape(4, 4).T
        assert np.allclose(drawn[:3, 3], PICTURE_FROM_PROP @ posed[names.index(name)][:3, 3] * M, atol=1e-6)
        assert np.allclose(drawn[:3, :3], PICTURE_FROM_PROP @ posed[names.index(name)][:3, :3], atol=1e-6)
    pulled = {"joint": "slide", "link": "slide", "grip": [0, 0, 0], "position": 0}
    assert page.ask("pull_joint", pulled | {"target": [0.5, 0.2, 0.062]})["position"] == pytest.approx(12)
