"""The page under real touches: turned, pinched, slid, scrolled from anywhere, and the phone on its side."""

from __future__ import annotations

import numpy as np
import pytest
from playwright.sync_api import expect

import posekit
from posekit.pipeline import pose_at
from tests.web.conftest import HERON as FOLDER
from tests.web.conftest import Bench
from tests.web.test_page_access import PHONE

HERON = posekit.load(FOLDER)
REST = {drive.name: drive.rest_value for drive in HERON.drives}
UPRIGHT, ON_ITS_SIDE = {"width": 390, "height": 844}, {"width": 844, "height": 390}
pytestmark = [
    pytest.mark.page,
    pytest.mark.python("native"),
    pytest.mark.parametrize("setting", [PHONE], indirect=True),
]


def box(bench: Bench, selector: str) -> tuple[float, float, float, float]:
    """Left, top, width and height [px]."""
    found = bench.page.locator(selector).first.bounding_box()
    assert found is not None
    return found["x"], found["y"], found["width"], found["height"]


def eye(bench: Bench) -> np.ndarray:
    return np.array(bench.page.evaluate("() => posekit.eye()"))


def moved(bench: Bench, before: np.ndarray) -> np.ndarray:
    """Where the view is looked at from, once it has moved [m]."""
    for _ in bench.looks():
        if np.linalg.norm((now := eye(bench)) - before) > 0.02:
            return now
    raise AssertionError("the view has not moved")


def test_one_finger_turns_the_view_and_two_bring_it_nearer(bench: Bench) -> None:
    left, top, width, height = box(bench, "#view canvas")
    x, y = left + width / 2, top + height * 0.75
    first = bench.settled()
    bench.finger((x - 60, y), (x + 60, y))
    turned = moved(bench, first)
    # Round the figure at the same height, not nearer or farther.
    assert np.linalg.norm(turned) == pytest.approx(np.linalg.norm(first), rel=0.05)
    assert turned[1] == pytest.approx(first[1], abs=0.02)
    bench.fingers(((x - 20, y), (x - 100, y)), ((x + 20, y), (x + 100, y)))
    near = moved(bench, turned)
    assert np.linalg.norm(near) < 0.8 * np.linalg.norm(turned)


def middle(bench: Bench, selector: str) -> tuple[float, float]:
    """Where the middle of an element is seen [px]."""
    left, top, width, height = box(bench, selector)
    return left + width / 2, top + height / 2


def scrolled(bench: Bench, begin: tuple[float, float]) -> None:
    """Scroll the panel of channels up from a place by a finger, and wait until it has gone."""
    bench.finger(begin, (begin[0], begin[1] - 150))
    bench.becomes("() => document.getElementById('panel-channels').scrollTop > 50", True)


def test_a_finger_moves_a_slider_in_one_step_and_a_tap_sets_it(bench: Bench) -> None:
    bench.page.get_by_role("button", name="Controls").tap()
    bench.settled()
    left, top, width, height = box(bench, "#channel-neck_base")
    y = top + height / 2
    bench.finger((left + 12, y), (left + width * 0.85, y))
    bench.becomes("() => posekit.work().values.neck_base > 40000", True)
    values = bench.work()["values"]
    bench.stands_as(pose_at(HERON, [values[drive.name] for drive in HERON.drives]))
    bench.page.touchscreen.tap(left + width / 2, y)
    bench.becomes("() => Math.abs(posekit.work().values.neck_base - 32768) < 3000", True)
    undo = bench.page.get_by_role("button", name="Undo")
    undo.tap()
    bench.becomes("() => posekit.work().values.neck_base", values["neck_base"])
    undo.tap()
    bench.becomes("() => posekit.work().values.neck_base", REST["neck_base"])
    expect(undo).to_be_disabled()


@pytest.mark.parametrize("place", ["#channel-neck_base", "[data-drive=neck_base] .channel__head"])
def test_a_finger_scrolls_the_sheet_and_nothing_else_changes_even_from_a_slider(
    bench: Bench, place: str
) -> None:
    bench.page.get_by_role("button", name="Controls").tap()
    before = bench.settled()
    bench.page.locator("#channel-neck_base").fill("900")
    bench.page.get_by_role("button", name="Undo").tap()
    bench.quiet()
    slider, number = bench.page.locator("#channel-neck_base"), bench.page.locator("#channel-neck_base-number")
    shown = [slider.input_value(), number.input_value()]
    begin = middle(bench, place)
    hit = bench.page.evaluate("([x, y]) => document.elementFromPoint(x, y).type", begin)
    assert (hit == "range") == place.startswith("#"), "it begins on a slider, or beside"
    scrolled(bench, begin)
    assert bench.page.evaluate("() => scrollY") == 0, "the page itself stays"
    assert np.linalg.norm(eye(bench) - before) < 1e-6, "and so does the figure: a turn at rest leaves nothing"
    assert bench.work()["values"] == REST
    expect(slider).to_have_value(shown[0])
    expect(number).to_have_value(shown[1])
    expect(bench.page.get_by_role("button", name="Undo")).to_be_disabled()
    expect(bench.page.get_by_role("button", name="Redo")).to_be_enabled()


def test_a_problem_that_is_told_lies_over_no_button_that_leads_to_the_controls(bench: Bench, shot) -> None:
    for each in range(4):
        bench.drop(f"no-prop-{each}.toml", b"what = this is")
    bench.becomes("() => document.querySelectorAll('[role=alert]').length", 4)
    for how, size in (("upright", UPRIGHT), ("on-its-side", {"width": 740, "height": 360})):
        bench.page.set_viewport_size(size)
        bench.becomes("() => innerWidth", size["width"])
        newest = bench.page.get_by_role("alert").first.get_by_role("button", name="Close")
        expect(newest).to_be_in_viewport(ratio=1)
        assert newest.evaluate("button => button.scrollHeight") < 60, "its word is not broken"
        shot(bench, f"touch-told-{how}")
        bench.page.get_by_role("button", name="Controls").tap()
        shot(bench, f"touch-told-over-controls-{how}")
        bench.page.get_by_role("button", name="Figure", exact=True).tap()
    for left in range(3, -1, -1):
        bench.page.get_by_role("alert").get_by_role("button", name="Close").first.tap()
        bench.becomes("() => document.querySelectorAll('[role=alert]').length", left)


def test_with_a_show_and_the_sheet_open_the_figure_keeps_two_fifths_of_the_height(bench: Bench, shot) -> None:
    bench.page.get_by_role("button", name="Controls").tap()
    bench.tab("Motion").get_by_label("Show", exact=True).select_option("shows/fishing.toml")
    bench.page.locator("#dock").wait_for()
    for how, size in (("upright", UPRIGHT), ("on-its-side", ON_ITS_SIDE)):
        bench.page.set_viewport_size(size)
        bench.becomes("() => [innerWidth, innerHeight].join()", f"{size['width']},{size['height']}")
        shot(bench, f"touch-{how}")
        stage, canvas = box(bench, ".stage"), box(bench, "#view canvas")
        assert stage[3] >= 0.4 * size["height"], how
        assert np.allclose(canvas, stage, atol=1), "the picture fills its place"
        assert bench.page.evaluate("() => document.documentElement.scrollWidth") <= size["width"], how
        assert bench.page.get_by_role("button", name="Play", exact=True).is_visible()
        for over in (".stage__tools", ".status__count"):
            assert not bench.page.locator(over).first.is_visible(), (
                "nothing lies over the little that is left"
            )
        assert bench.page.locator("#panels").bounding_box()["height"] > 0.25 * size["height"], how


def test_a_phone_on_its_side_shows_the_figure_beside_the_controls(bench: Bench, shot) -> None:
    bench.page.get_by_role("button", name="Controls").tap()
    bench.page.set_viewport_size(ON_ITS_SIDE)
    bench.becomes("() => innerWidth", ON_ITS_SIDE["width"])
    shot(bench, "touch-controls-on-its-side")
    stage, side = box(bench, ".stage"), box(bench, ".side")
    assert stage[0] + stage[2] <= side[0] + 1, "side by side"
    left, top, width, height = box(bench, "#channel-neck_base")
    bench.finger((left + 12, top + height / 2), (left + width / 2, top + height / 2))
    bench.becomes("() => posekit.work().values.neck_base > 20000", True)
    before = bench.settled()
    x, y = stage[0] + stage[2] / 2, stage[1] + stage[3] / 2
    bench.finger((x - 50, y), (x + 50, y))
    moved(bench, before)
