"""Parts through the door: their tree, their forms, and every change as one request."""

from __future__ import annotations

import numpy as np
import pytest

import posekit
from posekit.authoring.contents import at_zero
from posekit.authoring.starter import starter
from posekit.mechanism.mass import masses
from tests.bridge.test_workbench import Page
from tests.conftest import demo_prop

HERON = demo_prop("heron")


@pytest.fixture
def page() -> Page:
    page = Page()
    page.open(starter("hare"))
    return page


def text_now(page: Page) -> str:
    return page.ask("files", {})["prop.toml"].decode()


def test_the_tree_has_each_part_once_behind_the_one_it_hangs_on() -> None:
    page = Page()
    page.open(HERON)
    parts = page.ask("part_tree", {})["parts"]
    assert sorted(part["name"] for part in parts) == sorted(link.name for link in HERON.links)
    level = {part["name"]: part["level"] for part in parts}
    for above, part in zip([None, *parts], parts, strict=False):
        assert part["level"] == (1 if part["parent"] is None else level[part["parent"]] + 1)
        assert above is None or part["level"] <= above["level"] + 1
    assert [part["name"] for part in parts if part["parent"] is None] == [parts[0]["name"]]


def test_a_form_has_every_key_of_a_part_and_its_shapes_where_edit_takes_it(page: Page) -> None:
    form = page.ask("part_form", {"part": "arm"})
    (shape,) = form["shapes"]
    assert shape["title"] == "capsule radius 8, length 90"
    for field in [*form["fields"], *shape["fields"]]:
        value = False if field["path"].endswith("drawn") else field["value"]
        view = page.ask("edit", {"path": field["path"], "value": value})
        assert view["name"] == "hare", field
    assert form["places"] == ["base"]


def test_the_mass_follows_density_and_shapes(page: Page) -> None:
    page.ask("edit", {"path": "links.base.mass", "value": None})
    page.ask("edit", {"path": "links.base.density", "value": 2.0})
    form = page.ask("part_form", {"part": "base"})
    # 80 x 60 x 20 mm = 96 cm3, by hand.
    assert form["mass_g"] == pytest.approx(192.0)
    assert form["mass"] == "192 g = 2 g/cm³ × 96 cm³ of solid shapes"


@pytest.mark.parametrize("form", ["box", "sphere", "cylinder", "capsule"])
def test_each_form_can_be_added_with_the_numbers_it_begins_with(page: Page, form: str) -> None:
    forms = {each["name"]: each for each in page.ask("forms", {})["forms"]}
    keys = {field["path"]: field["value"] for field in forms[form]["fields"]} | {"at": [0, 0, 150]}
    page.ask("add_part", {"name": "head", "parent": "arm", "form": form, "keys": keys})
    page.ask("add_shape", {"part": "head", "form": form, "keys": keys})
    prop = posekit.read(page.ask("files", {}))
    assert len(prop.links[-1].shapes) == 2
    assert masses(prop)[-1].mass_g > 1.0
    np.testing.assert_allclose(at_zero(prop)["head"], np.eye(4), atol=1e-9)


def test_what_goes_with_a_part_is_told_and_goes_only_when_it_is_said(page: Page) -> None:
    told = page.ask("goes_with", {"kind": "links", "name": "arm"})["rows"]
    assert told == ["joint shoulder (carries 'arm')", "shoulder (moves 'shoulder')"]
    before = text_now(page)
    refused = page.refused("remove", {"kind": "links", "name": "arm"})
    assert [finding["code"] for finding in refused] == ["not-alone"]
    assert text_now(page) == before
    view = page.ask("remove", {"kind": "links", "name": "arm", "with_all": True})
    assert (view["links"], view["drives"]) == (["base"], [])


def test_parts_are_renamed_hung_elsewhere_and_give_shapes_away_where_they_stand(page: Page) -> None:
    page.ask("add_part", {"name": "head", "parent": "arm", "form": "sphere", "keys": {"radius": 15}})
    page.ask("rename", {"kind": "links", "name": "head", "new": "skull"})
    before = at_zero(posekit.read(page.ask("files", {})))
    page.ask("hang", {"part": "skull", "parent": "base"})
    page.ask("move_shape", {"part": "skull", "number": 0, "to": "arm"})
    page.ask("remove_shape", {"part": "arm", "number": 0})
    prop = posekit.read(page.ask("files", {}))
    after = at_zero(prop)
    np.testing.assert_allclose(after["skull"], before["skull"], atol=1e-9)
    assert [len(link.shapes) for link in prop.links] == [1, 1, 0]
    (moved,) = prop.links[1].shapes
    world = after["arm"] @ np.array([*moved.at, 1.0])
    np.testing.assert_allclose(world[:3], [0, 0, 0], atol=1e-9)
