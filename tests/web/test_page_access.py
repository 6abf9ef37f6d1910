"""The page by keyboard, on a phone, enlarged, in the dark, and under the eyes of axe."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

import posekit
from posekit.pipeline import pose_at
from tests.conftest import demo_prop

pytestmark = [pytest.mark.page, pytest.mark.python("native")]

ROOT = Path(__file__).parents[2]
HERON = demo_prop("heron")
AXE = (ROOT / "web" / "node_modules" / "axe-core" / "axe.min.js").read_text()
PHONE = {
    "viewport": {"width": 390, "height": 844},
    "has_touch": True,
    "is_mobile": True,
    "device_scale_factor": 2,
}
# A desk of 1280 x 800 at 200 % zoom has half the CSS pixels each way.
ENLARGED = {"viewport": {"width": 640, "height": 400}, "device_scale_factor": 2}
TABS = (
    "Channels",
    "Calibration",
    "Parts",
    "Joints",
    "Drives",
    "Bench",
    "Looks",
    "Notes",
    "Clearance",
    "Strength",
    "Motion",
    "Sheets",
    "Findings",
)


# What axe asks of colours; all other rules of it are of what stands in the page, whatever its colour.
OF_COLOURS = ["color-contrast", "link-in-text-block"]


def serious(bench, rules: list[str] | None = None) -> list[str]:
    """What axe finds, all of which is taken seriously, minor or critical: rule and the elements it found."""
    if not bench.page.evaluate("() => 'axe' in window"):
        bench.page.evaluate(AXE)
    # Colours are on their way for a moment after the scheme has changed.
    bench.page.evaluate("() => document.getAnimations().forEach((each) => each.finish())")
    # Of what is in order nothing is told: to take down thousands of elements takes longer than to look at them.
    found = bench.page.evaluate(
        """async (rules) => {
            const only = rules && {runOnly: {type: "rule", values: rules}};
            const {violations} = await axe.run({resultTypes: ["violations"], ...only});
            return violations.map(({id, nodes}) => [id, nodes.map(({html}) => html.slice(0, 120))]);
        }""",
        rules,
    )
    return [f"{rule}: {elements}" for rule, elements in found]


@pytest.mark.parametrize(
    ("setting", "scheme"),
    [({}, "light"), ({}, "dark"), (PHONE, "dark")],
    ids=["desk-light", "desk-dark", "phone-dark"],
    indirect=["setting"],
)
def test_axe_finds_nothing_in_any_panel_or_dialog(bench, shot, setting, scheme: str) -> None:
    page = bench.page
    page.emulate_media(color_scheme=scheme)
    # The desk in the dark is the one in the light in other colours; a phone is laid out in another way, too.
    rules = OF_COLOURS if scheme == "dark" and not setting else None
    for name in ("Open", "Save", "Share", "Guide and glossary", *([] if setting else ["New"])):
        page.get_by_role("button", name=name, exact=True).first.click()
        page.locator("dialog[open]").wait_for()
        assert serious(bench, rules) == [], name
        page.keyboard.press("Escape")
        page.locator("dialog[open]").wait_for(state="hidden")
    if setting:
        page.get_by_role("button", name="Controls").tap()
    for tab in TABS:
        bench.tab(tab)
        assert serious(bench, rules) == [], tab
        shot(bench, f"{tab.lower()}-{scheme}")


@pytest.mark.own_page  # the way begins where nothing has had the focus yet
def test_the_whole_way_by_keyboard_alone(bench) -> None:
    keys = bench.page.keyboard
    bench.page.evaluate("() => document.activeElement.blur()")
    keys.press("Tab")
    assert bench.page.evaluate("() => document.activeElement.textContent") == "Skip to the controls"
    keys.press("Enter")
    tab_to(bench, "[role=tab][aria-selected=true]")
    tab_to(bench, "#channel-head_turn")
    for _ in range(3):
        keys.press("PageUp")
    values = [drive.rest_value + (30 if drive.name == "head_turn" else 0) for drive in HERON.drives]
    bench.stands_as(pose_at(HERON, values))
    keys.press("Control+z")
    keys.press("Shift+Control+z")
    bench.stands_as(pose_at(HERON, values))
    tab_to(bench, "[role=tab][aria-selected=true]", back=True)
    keys.press("ArrowRight")
    assert bench.page.get_by_role("tab", name="Calibration").get_attribute("aria-selected") == "true"
    tab_to(bench, "[data-path$='pulse.low'] input")
    keys.press("Shift+ArrowUp")
    # The panel has come along to the drive whose channel had the focus last, on the way back to the tabs.
    first = HERON.drives[0]
    wanted = posekit.edit(HERON, f"drives.{first.name}.pulse.low", int(first.pulse.low) + 10)
    bench.becomes("() => posekit.work().text", wanted.text)


EYE_IN_TWO_PICTURES = """async () => {
    for (const _ of [1, 2]) await new Promise(requestAnimationFrame);
    return posekit.eye();
}"""


def test_the_view_turns_by_keyboard(bench) -> None:
    bench.page.locator("canvas").focus()

    def eye_after(key: str) -> np.ndarray:
        bench.page.keyboard.press(key)
        before = None
        for _ in bench.looks():  # the eye glides there
            eye = bench.page.evaluate(EYE_IN_TWO_PICTURES)
            if eye == before:
                break
            before = eye
        return np.array(eye)

    home = eye_after("Home")
    turned = eye_after("ArrowLeft")
    assert np.linalg.norm(turned - home) > 0.05 and turned[1] == pytest.approx(home[1], abs=1e-6)
    assert np.linalg.norm(eye_after("+")) < np.linalg.norm(turned)
    assert eye_after("Home") == pytest.approx(home, abs=1e-6)


@pytest.mark.parametrize("setting", [PHONE], indirect=True)
def test_on_a_phone_the_figure_comes_first_and_one_button_shows_the_controls(bench, shot) -> None:
    shot(bench, "phone")
    view = bench.page.locator("canvas").bounding_box()
    assert view["width"] == 390 and view["height"] > 0.6 * 844
    panels = bench.page.locator("#panels")
    panels.wait_for(state="hidden")
    bench.page.get_by_role("button", name="Controls").tap()
    panels.wait_for()
    shot(bench, "phone-controls")
    bench.page.get_by_label("head_turn, value").fill("200")
    bench.page.keyboard.press("Tab")
    values = [200 if drive.name == "head_turn" else drive.rest_value for drive in HERON.drives]
    bench.stands_as(pose_at(HERON, values))
    assert serious(bench) == []


@pytest.mark.parametrize("setting", [PHONE], indirect=True)
def test_with_a_show_and_the_controls_open_the_figure_keeps_two_fifths_of_a_phone(bench, shot) -> None:
    page, upright = bench.page, bench.page.viewport_size
    page.get_by_role("button", name="Controls").tap()
    bench.tab("Motion").get_by_label("Show", exact=True).select_option("shows/fishing.toml")
    dock, bar = page.locator("#dock"), page.get_by_role("group", name="Play")
    for size in (upright, {"width": upright["height"], "height": upright["width"]}):
        page.set_viewport_size(size)
        bench.becomes("() => innerWidth", size["width"])
        bench.becomes("() => document.querySelector('canvas').clientHeight >= 0.4 * innerHeight", True)
        assert 40 < bar.bounding_box()["height"] < 60  # one row of buttons
        shot(bench, f"phone-show-{size['width']}")
    page.set_viewport_size(upright)
    page.get_by_role("button", name="Figure").tap()  # the button lies on no curve
    toggle = page.get_by_role("button", name="Controls").bounding_box()
    assert toggle["y"] + toggle["height"] < dock.bounding_box()["y"]


@pytest.mark.parametrize("setting", [PHONE], indirect=True)
def test_on_a_phone_the_figure_stays_whole_above_the_open_panel(bench) -> None:
    page = bench.page
    page.get_by_role("button", name="Controls").tap()
    for _ in bench.looks():  # until the panel has come up
        view, side = page.locator("canvas").bounding_box(), page.locator("#panels").bounding_box()
        if view and side and view["y"] + view["height"] <= side["y"] + 1:
            break
    assert view["y"] + view["height"] <= side["y"] + 1 and view["height"] > 250
    page.locator("#view-tools").wait_for(state="hidden")
    page.locator(".status__count").first.wait_for(state="hidden")
    tops = {round(tab.bounding_box()["y"]) for tab in page.get_by_role("tab").all()}
    assert len(tops) == 1
    seen = [
        slider
        for slider in page.locator(".channel .slider").all()
        if slider.bounding_box()["y"] + slider.bounding_box()["height"] <= 844
    ]
    assert len(seen) >= 3


@pytest.mark.own_page
@pytest.mark.parametrize("setting", [PHONE], indirect=True)
def test_a_caution_that_was_read_stays_folded_and_can_be_read_again(bench) -> None:
    bench.page.get_by_role("button", name="Controls").tap()
    caution = bench.tab("Calibration").locator(".caution")
    caution.get_by_text("stall current").wait_for()
    caution.get_by_role("button", name="Got it").tap()
    caution.get_by_text("stall current").wait_for(state="hidden")
    bench.page.reload()
    bench.posed()
    bench.page.get_by_role("button", name="Controls").tap()
    caution = bench.tab("Clearance").locator(".caution")
    caution.scroll_into_view_if_needed()
    caution.get_by_text("stall current").wait_for(state="hidden")
    caution.locator("summary").tap()
    caution.get_by_text("stall current").wait_for()


@pytest.mark.parametrize("setting", [PHONE], indirect=True)
def test_every_button_of_a_phone_has_a_word(bench) -> None:
    worded = """() => [...document.querySelectorAll("#actions .button, #view-tools .button")]
        .filter(each => !each.innerText.trim()).map(each => each.outerHTML)"""
    assert bench.page.evaluate(worded) == []


def test_the_guide_explains_the_words(bench, shot) -> None:
    bench.page.get_by_role("button", name="Guide").click()
    guide = bench.page.get_by_role("dialog", name="Guide")
    guide.get_by_text("Transmission angle").wait_for()
    assert serious(bench) == []
    shot(bench, "guide")


@pytest.mark.parametrize("setting", [ENLARGED, PHONE], indirect=True)
def test_nothing_has_to_be_scrolled_sideways(bench, shot) -> None:
    bench.page.get_by_role("button", name="Controls").click()
    for tab in TABS:
        bench.tab(tab)
        assert bench.page.evaluate("() => document.documentElement.scrollWidth <= innerWidth")
        wide = "p => p.scrollWidth > p.clientWidth"
        assert not bench.page.evaluate(f"() => [...document.querySelectorAll('.panel')].some({wide})")
    shot(bench, f"small-{bench.page.viewport_size['width']}")


@pytest.mark.parametrize("setting", [PHONE], indirect=True)
def test_the_bar_fits_on_the_smallest_phones(bench, shot) -> None:
    for width in (360, 320):
        bench.page.set_viewport_size({"width": width, "height": 740})
        bench.becomes("() => innerWidth", width)
        boxes = bench.page.evaluate(
            """() => [...document.querySelectorAll(".bar__actions .button")]
                .map((each) => each.getBoundingClientRect())
                .filter(({width}) => width)
                .map(({left, right}) => [left, right])"""
        )
        assert len(boxes) == 7, width
        assert all(left >= 0 and right <= width and right - left >= 32 for left, right in boxes), width
        assert bench.page.evaluate("() => document.documentElement.scrollWidth <= innerWidth"), width
        shot(bench, f"bar-{width}")


def tab_to(bench, selector: str, back: bool = False) -> None:
    """Press Tab until an element has the focus, as a builder without a mouse does."""
    for _ in range(60):
        bench.page.keyboard.press("Shift+Tab" if back else "Tab")
        if bench.page.evaluate("selector => document.activeElement.matches(selector)", selector):
            return
    raise AssertionError(f"{selector} cannot be reached with Tab")
