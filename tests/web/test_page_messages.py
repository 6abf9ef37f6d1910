"""What lies over the figure: messages cover nothing that is pressed, and what is pressed leaves no half a number."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tests.web.conftest import HERON, Bench
from tests.web.test_page_access import PHONE

pytestmark = [pytest.mark.page, pytest.mark.python("native"), pytest.mark.timeout(600)]

FISHING = (HERON / "shows" / "fishing.toml").read_bytes()
# What can be pressed and lies under a message in part, by its name.
COVERED = """() => {
    const seen = (each) => each.getClientRects().length > 0 && each.checkVisibility({visibilityProperty: true});
    const meet = (one, other) =>
        one.left < other.right && other.left < one.right && one.top < other.bottom && other.top < one.bottom;
    const list = document.querySelector(".toasts").getBoundingClientRect();
    const messages = [...document.querySelectorAll(".toast")].map((each) => {
        const {left, top, right, bottom} = each.getBoundingClientRect();
        return {left, right, top: Math.max(top, list.top), bottom: Math.min(bottom, list.bottom)};
    });
    return [...document.querySelectorAll("button, input, select, summary, a[href]")]
        .filter((each) => seen(each) && !each.closest(".toast"))
        .filter((each) => messages.some((message) => meet(message, each.getBoundingClientRect())))
        .map((each) => each.ariaLabel ?? each.innerText ?? each.id);
}"""
# Words in the picture that are shown and lie under something in part, and numbers of the floor that its edge cuts.
HALVED = """() => [...document.querySelectorAll(".label:not(.label--away)")]
    .filter((label) => {
        const one = label.getBoundingClientRect();
        const all = document.querySelector("#view").getBoundingClientRect();
        const out = one.left < all.left || all.right < one.right || one.top < all.top || all.bottom < one.bottom;
        if (label.matches(".label--ruler") && out) return true;
        return [...document.querySelectorAll(".stage__tools > *, .stage__status > *, .toast")].some((over) => {
            const other = over.getBoundingClientRect();
            return one.left < other.right && other.left < one.right && one.top < other.bottom && other.top < one.bottom;
        });
    })
    .map((label) => label.textContent)"""


SIZES = [(390, 844), (320, 568), (844, 390)]


@pytest.mark.parametrize("controls", [False, True], ids=["figure", "panels"])
@pytest.mark.parametrize("show", [False, True], ids=["still", "show"])
@pytest.mark.parametrize(
    "setting, size",
    [({}, (1280, 800)), *((PHONE, size) for size in SIZES)],
    ids=["desk", *(f"{wide}x{high}" for wide, high in SIZES)],
    indirect=["setting"],
)
def test_messages_cover_nothing_that_is_pressed(
    bench: Bench, size: tuple[int, int], show: bool, controls: bool, shot: Callable[[Bench, str], None]
) -> None:
    wide, high = size
    bench.page.set_viewport_size({"width": wide, "height": high})
    if show:
        bench.drop("fishing.toml", FISHING)
        bench.page.locator("#dock").get_by_role("button", name="Play", exact=True).wait_for()
    toggle = bench.page.locator(".side-toggle")
    if wide < 832 and (toggle.get_attribute("aria-expanded") == "true") != controls:
        toggle.click()
    for name in ("one.csv", "another.csv"):
        bench.drop(name, b"nothing,of\nuse,here\n")
    told = bench.page.get_by_role("alert")
    told.nth(1).wait_for()
    shot(bench, f"messages-{wide}-{show}-{controls}")
    assert bench.page.evaluate(COVERED) == []
    bench.settled()  # numbers are put anew with the figure, a frame after its place has another size
    assert bench.page.evaluate(HALVED) == []
    for _ in range(2):
        told.get_by_role("button", name="Close").first.click()
    assert told.count() == 0


def test_what_lies_over_the_figure_leaves_no_half_of_a_number(bench: Bench) -> None:
    """The numbers along the floor, wherever the view is looked at from."""
    bench.page.locator("#view canvas").focus()
    for key in ["Home", *["ArrowRight"] * 6, *["ArrowUp"] * 3]:
        bench.page.keyboard.press(key)
        bench.settled()
        assert bench.page.locator(".label--ruler:not(.label--away)").count() > 0
        assert bench.page.evaluate(HALVED) == [], key


# What the numbers along the floor that are seen tell, with their unit.
SCALE = """() => [...document.querySelectorAll(".label--ruler:not(.label--away)")].map(
    (label) => label.textContent + getComputedStyle(label, "::after").content.replace(/^none$|"/g, ""))"""


@pytest.mark.parametrize("size", [(1280, 800), (390, 844)], ids=["desk", "narrow"])
def test_the_last_number_of_the_floor_that_is_seen_tells_its_unit(
    bench: Bench, size: tuple[int, int]
) -> None:
    """However near the eye is, and whatever lies over the others."""
    bench.page.set_viewport_size({"width": size[0], "height": size[1]})
    canvas = bench.page.locator("#view canvas")
    canvas.focus()
    seen = 0
    for key in ["Home", *["+"] * 6, *["ArrowRight"] * 8]:
        bench.page.keyboard.press(key)
        bench.settled()
        scale = bench.page.evaluate(SCALE)
        assert [each for each in scale if "mm" in each] == scale[-1:], key
        assert bench.page.evaluate(HALVED) == [], key
        seen += 0 < len(scale) < 6
    assert seen, "some of them were out of sight"
