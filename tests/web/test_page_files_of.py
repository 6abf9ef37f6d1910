"""Every door that makes a file makes it of the prop it was asked of; where another came first, that is told."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from playwright.sync_api import Locator, expect

from tests.web.conftest import COARSE, Bench
from tests.web.test_page_other_prop import ARM, ARMS
from tests.web.test_page_sharing import shared_link

pytestmark = [pytest.mark.page, pytest.mark.python("native"), pytest.mark.timeout(600)]


def glb(bench: Bench) -> Locator:
    bench.page.get_by_role("button", name="Save", exact=True).click()
    return bench.page.get_by_role("button", name="GLB of this pose")


def director(bench: Bench) -> Locator:
    bench.page.get_by_role("button", name="Share").click()
    section = bench.page.get_by_role("region", name="A file for the director")
    section.get_by_text("Looks and shows in it: all").wait_for()
    return section.get_by_role("button", name="Save the director's file")


def link(bench: Bench) -> Locator:
    bench.served_for("anyone")
    return bench.page.get_by_role("button", name="Share")  # it is made when the box opens


def motion(words: str) -> Callable[[Bench], Locator]:
    def door(bench: Bench) -> Locator:
        panel = bench.tab("Motion")
        panel.get_by_label("Show", exact=True).select_option("shows/fishing.toml")
        bench.page.locator("#dock").get_by_role("button", name="Play", exact=True).wait_for()
        panel.locator("summary", has_text="Export").click()
        return panel.get_by_role("button", name=words)

    return door


def looks(words: str) -> Callable[[Bench], Locator]:
    def door(bench: Bench) -> Locator:
        panel = bench.tab("Looks")
        return panel.get_by_role("button", name=words)

    return door


def sheets(words: str) -> Callable[[Bench], Locator]:
    def door(bench: Bench) -> Locator:
        panel = bench.tab("Sheets")
        panel.get_by_label("Strength and supply").uncheck()
        for title in ("Setting cards", "Picture sheet"):
            fold = panel.locator("details", has=bench.page.locator("summary", has_text=title))
            fold.evaluate("(each) => void (each.open = true)")
        return panel.get_by_role("button", name=words)

    return door


DOORS = {
    "glb": glb,
    "director": director,
    "link": link,
    "animated-glb": motion("Animated GLB"),
    "curves": motion("Curves of all drives"),
    "snapshot": looks("CSV file"),
    "copied": looks("Copy as JSON"),
    "sheets": sheets("Show the sheets"),
    "sheets-csv": sheets("CSV to fill in"),
    "markdown": sheets("Markdown"),
    "cards": sheets("Show setting cards"),
    "pictures": sheets("Show the picture sheet"),
}


@pytest.mark.parametrize("door", DOORS.values(), ids=DOORS)
def test_what_is_asked_of_a_prop_is_not_made_of_the_one_that_takes_its_place(
    bench: Bench, door: Callable[[Bench], Locator]
) -> None:
    press = door(bench)
    press.wait_for()
    bench.quiet()
    made: list[str] = []
    bench.page.on("download", lambda file: made.append(file.suggested_filename))
    with bench.waiting_for("open"):
        bench.drop("arm.toml", ARM)
        bench.becomes("() => asked()", True)
        press.click()
        # What it needs besides of the network is here before the other prop is.
        bench.page.wait_for_load_state("networkidle")
    bench.page.get_by_text("Not made: another prop came before it was. Try again.").wait_for()
    bench.quiet()
    assert made == []
    assert bench.page.get_by_role("alert").all_inner_texts() == []
    assert bench.page.locator("dialog[open] .paper").count() == 0, "a sheet of another prop"
    assert bench.page.get_by_label("Link", exact=True).all_inner_texts() in ([], [""])


def test_a_picture_of_a_prop_that_has_just_come_waits_for_its_figure(bench: Bench) -> None:
    """Its name is there at once, the figure when Python has made it: until then the one before is seen."""
    page = bench.page
    page.get_by_role("button", name="Save", exact=True).click()
    caption = page.get_by_label("Caption of the picture")
    picture = page.get_by_role("button", name="Save picture (PNG)")
    made: list[str] = []
    page.on("download", lambda file: made.append(file.suggested_filename))
    with bench.waiting_for("scene"):
        bench.drop("arm.toml", ARM)
        bench.becomes("() => asked()", True)
        expect(caption).to_have_value("Arm")
        picture.click()
        page.wait_for_timeout(500)  # a picture is taken in some 50 ms
        assert made == [] and not np.isnan(bench.node("head")).any(), "the heron under the name of the arm"
    bench.becomes("() => posekit.node('head') === null", True)
    for _ in bench.looks():
        if made:
            break
    assert made == ["arm.png"]
    # Taken back before it is drawn: there is nothing to wait for any more.
    page.keyboard.press("Escape")
    with bench.waiting_for("scene"):
        bench.drop("two_arms.toml", ARMS)
        bench.becomes("() => asked()", True)
        page.get_by_role("button", name="Save", exact=True).click()
        expect(caption).to_have_value("Two arms")
        picture.click()
        page.keyboard.press("Escape")
        page.get_by_role("button", name="Undo").click()
        page.get_by_text("Not made: another prop came before it was. Try again.").wait_for()
    bench.quiet()
    assert made == ["arm.png"]


NOT_MADE = "Not made: another prop came before it was. Try again."


def test_a_map_that_another_prop_overtakes_is_not_made_and_a_later_one_is(bench: Bench) -> None:
    """The second worker has not heard of that prop: it answers with a map of the one before."""
    page = bench.page
    panel = bench.tab("Clearance")
    pair = panel.get_by_label("Pair", exact=True)
    with bench.waiting_for("strike_map"):
        pair.select_option(index=1)
        bench.becomes("() => asked()", True)
        bench.drop("two_arms.toml", ARMS)
        page.get_by_role("heading", name="Two arms").wait_for()
    page.get_by_text(NOT_MADE).wait_for()
    assert page.get_by_role("alert").count() == 0 and panel.locator(".map svg").count() == 0
    pair.select_option(label="left – right")
    panel.locator(".map svg").get_by_text("right").first.wait_for()


def test_a_sheet_that_the_second_worker_makes_is_not_of_the_prop_before(bench: Bench) -> None:
    panel = bench.tab("Sheets")
    assert panel.get_by_label("Strength and supply").is_checked()
    made: list[str] = []
    bench.page.on("download", lambda file: made.append(file.suggested_filename))
    with bench.waiting_for("sheet_file"):
        panel.get_by_role("button", name="CSV to fill in").click()
        bench.becomes("() => asked()", True)
        bench.drop("arm.toml", ARM)
        bench.page.get_by_role("heading", name="arm").wait_for()
    bench.page.get_by_text(NOT_MADE).wait_for()
    assert made == [] and bench.page.get_by_role("alert").count() == 0


@pytest.mark.parametrize("setting", [COARSE], indirect=True)
@pytest.mark.parametrize("ends", ["another prop", "its show is closed"])
def test_a_film_that_ends_with_its_show_is_saved_by_the_name_of_what_was_filmed(
    bench: Bench, ends: str
) -> None:
    bench.tab("Motion").get_by_label("Show", exact=True).select_option("shows/fishing.toml")
    film = bench.page.get_by_role("button", name="Film this view")
    film.click()
    expect(film).to_have_attribute("aria-pressed", "true")
    bench.becomes("() => document.querySelector('.dock__time').innerText.startsWith('0:00')", False)
    with bench.page.expect_download() as saved:
        if ends == "another prop":
            bench.drop("arm.toml", ARM)
        else:
            bench.page.get_by_role("button", name="Close the show").click()
    assert saved.value.suggested_filename == "Fishing.webm"
    assert len(saved.value.path().read_bytes()) > 10_000
    bench.page.locator("#dock").wait_for(state="hidden")
    assert bench.page.get_by_role("alert").count() == 0


def test_nothing_is_told_of_a_link_that_another_prop_overtakes(bench: Bench) -> None:
    """Whether its prop has changed is asked by the page alone."""
    link = shared_link(bench)
    bench.page.keyboard.press("Escape")
    told = """() => {
        window.told = [];
        const list = document.querySelector("#toasts");
        new MutationObserver(() => window.told.push(list.innerText)).observe(list, {childList: true});
    }"""
    bench.page.evaluate(told)
    with bench.waiting_for("open"):
        bench.page.evaluate("link => void (location.hash = new URL(link).hash)", link)
        bench.becomes("() => asked()", True)
        bench.drop("arm.toml", ARM)
        bench.page.wait_for_load_state("networkidle")
    bench.page.get_by_role("heading", name="arm").wait_for()
    bench.quiet()
    assert bench.page.evaluate("() => window.told") == []
