"""The parts of a prop in the page: one choice in list and picture, and a figure built part by part."""

from __future__ import annotations

import re

import pytest

import posekit
from posekit.authoring import add, remove, rename, world
from tests.conftest import demo_prop

pytestmark = [pytest.mark.page, pytest.mark.python("native")]

HERON = demo_prop("heron")


def row(panel, name: str):
    return panel.locator("[role=treeitem]").filter(has=panel.page.get_by_text(name, exact=True))


def text_becomes(bench, prop: posekit.Prop) -> None:
    bench.becomes("() => posekit.work().text", prop.text)


def test_a_part_chosen_in_the_list_is_outlined_and_one_clicked_in_the_picture_is_chosen(bench) -> None:
    panel = bench.tab("Parts")
    row(panel, "body").click()
    bench.becomes("() => posekit.outlined()", "body")
    bench.page.mouse.click(*bench.page.evaluate("() => posekit.spot('head')"))
    bench.becomes("() => posekit.outlined()", "head")
    panel.get_by_role("heading", name="head", exact=True).wait_for()
    assert row(panel, "head").get_attribute("aria-selected") == "true"
    assert panel.locator("[role=treeitem][aria-selected=true]").count() == 1


def test_the_tree_is_walked_by_arrows_ends_and_letters(bench) -> None:
    panel = bench.tab("Parts")
    row(panel, "marsh").click()
    keys = bench.page.keyboard

    def chosen_after(key: str) -> str:
        keys.press(key)
        return panel.locator("[role=treeitem]:focus[aria-selected=true] .tree__name").inner_text()

    assert chosen_after("ArrowDown") == "body"
    count = panel.locator("[role=treeitem]").count()
    assert count == len(HERON.links)
    assert chosen_after("ArrowLeft") == "body"  # folded
    assert panel.locator("[role=treeitem]").count() < count
    assert chosen_after("ArrowRight") == "body"
    assert chosen_after("ArrowRight") == "neck_low"
    assert chosen_after("ArrowLeft") == "neck_low"  # folded
    assert chosen_after("ArrowLeft") == "body"
    assert chosen_after("w") == "wing_left"
    assert chosen_after("w") == "wing_right"
    last = chosen_after("End")
    assert panel.locator("[role=treeitem] .tree__name").last.inner_text() == last
    assert chosen_after("Home") == "marsh"
    assert panel.locator("[role=treeitem][tabindex='0']").count() == 1


def test_parts_are_changed_as_by_the_command_and_undone_to_the_letter(bench) -> None:
    panel = bench.tab("Parts")
    row(panel, "jaw").click()
    panel.get_by_role("button", name="Rename").click()
    panel.get_by_label("New name of jaw").fill("head")
    bench.page.keyboard.press("Enter")
    panel.get_by_role("alert").get_by_text("there is a part of that name already").wait_for()
    panel.get_by_label("New name of jaw").fill("under_beak")
    bench.page.keyboard.press("Enter")
    renamed = rename.rename(HERON, "links", "jaw", "under_beak")
    text_becomes(bench, renamed)
    bench.becomes("() => posekit.outlined()", "under_beak")
    panel.get_by_role("button", name="Hang elsewhere").click()
    panel.get_by_label("under_beak hangs on").select_option("nape")
    panel.get_by_role("button", name="Hang it there").click()
    hung = world.hang(renamed, "under_beak", "nape")
    text_becomes(bench, hung)
    panel.get_by_role("button", name="Remove", exact=True).click()
    told = bench.page.get_by_role("alertdialog")
    told.get_by_text("joint beak (carries 'under_beak')").wait_for()
    told.get_by_role("button", name="Remove all of it").click()
    text_becomes(bench, remove.remove(hung, "links", "under_beak", with_all=True))
    for prop in (hung, renamed, HERON):
        bench.page.get_by_role("button", name="Undo").click()
        text_becomes(bench, prop)


def test_a_part_is_added_by_numbers_and_weighs_what_they_say(bench, shot) -> None:
    panel = bench.tab("Parts")
    row(panel, "head").click()
    panel.get_by_role("button", name="Add a part").click()
    form = panel.get_by_role("form", name="Add a part")
    form.get_by_label("Name of the part").fill("hat")
    form.get_by_label("Form").select_option("cylinder")
    form.get_by_label("radius").fill("-1")
    form.get_by_role("button", name="Add the part").click()
    form.locator("[data-path=radius] .finding--error").wait_for()
    form.get_by_label("radius").fill("1,500")
    form.get_by_role("button", name="Add the part").click()
    form.get_by_text(re.compile("^radius.*“1,500” can be read in two ways")).wait_for()
    form.get_by_label("radius").fill("20")
    form.get_by_label("at z").fill("500")
    shot(bench, "parts-add")
    form.get_by_role("button", name="Add the part").click()
    shape = {"cylinder": {"radius": 20, "length": 40}, "at": [0, 0, 500], "colour": "#9aa3ad"}
    made = add.add_link(HERON, "hat", "head", {"shapes": [shape]})
    text_becomes(bench, made)
    # pi 2^2 4 cm3, by hand.
    panel.get_by_text("50.27 g = 1 g/cm³ × 50.27 cm³ of solid shapes").wait_for()
    density = panel.get_by_label("density")
    density.fill("2")
    panel.get_by_text("100.5 g = 2 g/cm³").wait_for()
    density.fill("0")
    panel.locator("[data-path='links.hat.density'] .finding--error").wait_for()
    bench.becomes("() => posekit.work().text", posekit.edit(made, "links.hat.density", 2).text)
