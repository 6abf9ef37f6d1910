"""Sheets and setting cards through the door: of the prop that is open, and of files within what they may have."""

from __future__ import annotations

import json

import pytest

from posekit.authoring.starter import starter
from posekit.budgets import MEASURED_BYTES
from tests.bridge.test_workbench import Page


@pytest.fixture
def page() -> Page:
    page = Page()
    page.open(starter("hare"))
    return page


def test_cards_are_of_the_prop_that_they_were_begun_with_or_are_none(page: Page) -> None:
    assert page.ask("cards", {})["file"] is None
    assert page.ask("cards_on", {"seconds": 60})["file"]["name"] == "hare setting cards.html"
    for change in (
        lambda: page.open(starter("owl")),
        lambda: page.ask("edit", {"path": "links.base.mass", "value": 7.0}),
    ):
        page.ask("cards", {})
        change()
        assert [each["code"] for each in page.refused("cards_on", {"seconds": 60})] == ["prop-changed"]
        assert [each["code"] for each in page.refused("cards_on", {"seconds": 60})] == ["no-cards"]


@pytest.mark.parametrize(("method", "key"), [("compare_sheet", "data"), ("cards", "times")])
def test_a_file_that_is_too_large_is_refused_before_it_is_read(page: Page, method: str, key: str) -> None:
    given = json.dumps({key: {"$block": 0}, "name": "big.csv"})
    state, text, _ = page.door.handle(method, given, [b"\xff" * (MEASURED_BYTES + 1)])
    assert state == "refused"
    assert [each["code"] for each in json.loads(text)] == ["too-large"]
