"""Linkages as the picture draws them, and pulled by hand, asked as the page asks."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

import posekit
from posekit.bridge.picture import PICTURE_FROM_PROP
from posekit.mechanism.joints import mechanism_of
from posekit.mechanism.skeleton import placed, points, skeleton
from posekit.pipeline import pose_at
from tests.bridge.test_workbench import Page
from tests.conftest import demo_prop

MODELS = Path(__file__).parents[2] / "models"
ALL = ("heron", "bellows", "longwood")


def drawn(prop: posekit.Prop, values: list[float]) -> np.ndarray:
    """The bodies in the picture (B, 3, 3), from the core."""
    state = pose_at(prop, values)
    links = np.array([list(state.links.values())])
    shafts = np.array([list(state.shafts.values())])
    found = placed(prop, mechanism_of(prop))
    return points(skeleton(found, shafts, links), 1)[0] @ PICTURE_FROM_PROP.T / 1000


@pytest.mark.parametrize("name", ALL)
def test_every_linkage_of_the_models_is_drawn_at_every_pose_and_only_when_asked_for(name: str) -> None:
    prop = demo_prop(name)
    page = Page()
    page.open(prop)
    views = page.ask("linkages", {})["linkages"]
    assert sum(len(each["bodies"]) for each in views) == views[-1]["first"] + len(views[-1]["bodies"])
    values = {drive.name: round(drive.full_scale * 0.4) for drive in prop.drives}
    pose = page.ask("pose", {"values": values, "linkages": True})
    np.testing.assert_allclose(pose["linkages"], drawn(prop, list(values.values())), atol=1e-6)
    assert page.ask("pose", {"values": values})["linkages"] is None
    for each in views:
        assert bool(each["beside"]) == bool(
            next(drive for drive in prop.drives if drive.name == each["drive"]).linkage.unplaced()
        )


def test_a_ball_that_is_pulled_says_which_keys_change_and_what_the_linkage_then_does() -> None:
    prop = demo_prop("heron")
    page = Page()
    page.open(prop)
    views = page.ask("linkages", {})["linkages"]
    wing = next(each for each in views if each["drive"] == "wing_left")
    number = wing["first"] + next(i for i, body in enumerate(wing["bodies"]) if body["grip"] == "horn")
    values = {"wing_left": 60}
    at = page.ask("pose", {"values": values, "linkages": True})["linkages"][number, 0]
    to = np.add(at, [0.002, 0.003, 0.0]).tolist()
    before = page.ask("linkage_figures", {"drive": "wing_left"})
    pulled = {"drive": "wing_left", "grip": "horn", "eye": [1.0, 0.0, 0.0], "to": to, "values": values}
    found = page.ask("drag_linkage", pulled)
    assert list(found["changes"]) == ["drives.wing_left.linkage.horn_ball"] and found["refused"] == []
    assert found["figures"]["reach"] != before["reach"] and before["unit"] == "deg"
    np.testing.assert_allclose(found["points"][number - wing["first"], 0], to, atol=1.5e-4)
    view = page.ask("edit_all", {"changes": found["changes"]})
    assert page.ask("linkage_figures", {"drive": "wing_left"}) == found["figures"]
    assert view["text"].count("\n") == prop.text.count("\n")
    pose = page.ask("pose", {"values": values, "linkages": True})
    own = slice(wing["first"], wing["first"] + len(wing["bodies"]))
    np.testing.assert_allclose(pose["linkages"][own], found["points"], atol=1e-6)


def test_a_pull_to_where_the_linkage_cannot_be_is_refused_and_nothing_changes() -> None:
    prop = demo_prop("heron")
    page = Page()
    page.open(prop)
    own = next(each for each in page.ask("linkages", {})["linkages"] if each["drive"] == "wing_left")
    number = own["first"] + next(i for i, body in enumerate(own["bodies"]) if body["name"] == "horn")
    middle = page.ask("pose", {"values": {}, "linkages": True})["linkages"][number, 0]
    pulled = {
        "drive": "wing_left",
        "grip": "horn",
        "eye": [1.0, 0.0, 0.0],
        "to": middle.tolist(),
        "values": {},
    }
    found = page.ask("drag_linkage", pulled)
    assert found["refused"] and found["changes"] == {}
    assert "wing_left" in found["refused"][0]["subject"] and found["figures"] is None


def test_a_four_bar_of_lengths_alone_stands_beside_its_joint_until_its_shaft_is_pulled() -> None:
    prop = demo_prop("heron")
    page = Page()
    page.open(prop)
    beak = next(each for each in page.ask("linkages", {})["linkages"] if each["drive"] == "beak")
    assert "beside beak" in beak["beside"]
    number = beak["first"] + next(i for i, body in enumerate(beak["bodies"]) if body["grip"] == "shaft")
    at = page.ask("pose", {"values": {}, "linkages": True})["linkages"][number, 0]
    pulled = {
        "drive": "beak",
        "grip": "shaft",
        "eye": [1.0, 0.5, 0.4],
        "to": np.add(at, [0, 0.004, 0]).tolist(),
        "values": {},
    }
    found = page.ask("drag_linkage", pulled)
    assert "drives.beak.linkage.ground_along" in found["changes"]
    page.ask("edit_all", {"changes": found["changes"]})
    again = next(each for each in page.ask("linkages", {})["linkages"] if each["drive"] == "beak")
    assert again["beside"] == ""
