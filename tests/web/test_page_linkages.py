"""Linkages in the page: drawn at every pose, pulled by mouse and by number, found for a movement and taken."""

from __future__ import annotations

import re

import numpy as np
import pytest

import posekit
from posekit.mechanism.joints import mechanism_of
from posekit.mechanism.skeleton import Placed, own_bodies, placed, skeleton
from posekit.pipeline import pose_at
from tests.conftest import demo_prop
from tests.web.conftest import PICTURE_FROM_PROP
from tests.web.test_page_access import PHONE, serious

pytestmark = [pytest.mark.page, pytest.mark.python("native")]

HERON = demo_prop("heron")
SWITCH = "Linkages: horns, rods, wheels"


def drawn(prop: posekit.Prop, values: dict[str, int], drive: str, body: str) -> np.ndarray:
    """The ends and the mark of a body in the picture (9,), from the core."""
    row = [values.get(each.name, each.rest_value) for each in prop.drives]
    state = pose_at(prop, row)
    links = np.array([list(state.links.values())])
    shafts = np.array([list(state.shafts.values())])
    d = [each.name for each in prop.drives].index(drive)
    found: list[Placed] = [each for each in placed(prop, mechanism_of(prop)) if d in each.train.drives]
    assert own_bodies(found[0], shafts)
    (bodies,) = skeleton(found, shafts, links)
    one = next(each for each in bodies if each.name == body)
    return (np.vstack([one.ends[0], one.mark]) @ PICTURE_FROM_PROP.T / 1000).ravel()


def stands(bench, prop: posekit.Prop, values: dict[str, int], drive: str, body: str) -> None:
    """Wait until a body of a linkage is drawn where it belongs, to 0.01 mm."""
    wanted = drawn(prop, values, drive, body)
    at = None
    for _ in bench.looks():
        at = bench.page.evaluate("([drive, name]) => posekit.body(drive, name)", [drive, body])
        if at is not None and np.abs(np.array(at) - wanted).max() < 1e-5:
            return
    raise AssertionError(f"{body} of {drive} is at {at}, not at {wanted}")


def changed(bench, text: str) -> str:
    """Wait until the prop file is another; answers it."""
    for _ in bench.looks():
        if (now := bench.work()["text"]) != text:
            return now
    raise AssertionError("the prop file did not change")


def grip(bench, drive: str, name: str) -> tuple[float, float]:
    for _ in bench.looks():
        if at := bench.page.evaluate("([drive, name]) => posekit.grip(drive, name)", [drive, name]):
            return at[0], at[1]
    raise AssertionError(f"{name} of {drive} is not in the picture")


STOPPED_AT_ONCE = """() => {
    [globalThis.steps, globalThis.stopped] = [0, false];
    const post = Worker.prototype.postMessage;
    Worker.prototype.postMessage = function (asked, ...more) {
        if (asked?.method === "find_on") steps += 1;
        return post.call(this, asked, ...more);
    };
    const seer = new MutationObserver(() => {
        const all = [...document.querySelectorAll("button")];
        const stop = all.find(each => each.textContent.startsWith("Stop and keep"));
        if (!stop) return;
        seer.disconnect();
        stop.click();
        stopped = true;
    });
    seer.observe(document.body, {childList: true, subtree: true});
}"""


def test_linkages_are_drawn_pulled_found_and_taken_each_in_one_step_of_undo(bench, shot) -> None:
    page = bench.page
    text = "() => posekit.work().text"
    assert page.evaluate("() => posekit.body('wing_left', 'rod')") is None
    page.get_by_role("button", name=SWITCH).click()
    stands(bench, HERON, {}, "wing_left", "rod")
    stands(bench, HERON, {}, "neck_base", "wheel on the joint")
    bench.tab("Channels").get_by_label("wing_left", exact=True).fill("70")
    stands(bench, HERON, {"wing_left": 70}, "wing_left", "rod")
    page.get_by_role("button", name="Undo").click()

    # A ball is pulled: its key changes while the figures follow, and one undo brings it back.
    panel = bench.tab("Drives")
    panel.get_by_role("button", name=re.compile("^wing_left")).click()
    reach = panel.locator(".readings dd").first
    before = reach.inner_text()
    x, y = grip(bench, "wing_left", "horn")
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 8, y - 6)
    page.keyboard.press("Escape")
    page.mouse.up()
    bench.quiet()
    assert bench.work()["text"] == HERON.text  # a pull that is broken off changes nothing
    stands(bench, HERON, {}, "wing_left", "horn ball")
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 4, y - 3)
    page.mouse.move(x + 8, y - 6)
    for _ in bench.looks():
        if reach.inner_text() != before:
            break
    else:
        raise AssertionError("the reach did not follow the pull")
    assert bench.work()["text"] == HERON.text  # not before it is let go
    shot(bench, "linkage-pulled")
    page.mouse.up()
    pulled = posekit.read({**HERON.files, "prop.toml": changed(bench, HERON.text).encode()})
    old, new = (
        next(each.linkage for each in prop.drives if each.name == "wing_left") for prop in (HERON, pulled)
    )
    assert new.horn_ball != old.horn_ball and new.shaft_at == old.shaft_at
    stands(bench, pulled, {}, "wing_left", "horn ball")
    page.get_by_role("button", name="Undo").click()
    bench.becomes(text, HERON.text)
    stands(bench, HERON, {}, "wing_left", "horn ball")

    # A linkage is looked for, seen moving without any change of the prop, and taken.
    panel.get_by_role("button", name=re.compile("^beak")).click()
    assert "beside beak" in panel.locator(".caution--plain").inner_text()
    panel.get_by_text("Find a linkage").click()
    panel.get_by_label("beak at value 0").fill("0")
    panel.get_by_label("at 255").fill("20")
    panel.get_by_label("Horns at hand").fill("8, 10, twelve")
    panel.get_by_role("button", name="Look for linkages").click()
    panel.locator(".finding--error").wait_for()
    # Stopped with a press as soon as that can be: no step of the search is asked for after it.
    panel.get_by_label("Horns at hand").fill("8:20")
    look = panel.get_by_role("button", name="Look for linkages")
    look.focus()
    page.evaluate(STOPPED_AT_ONCE)
    page.keyboard.press("Enter")
    bench.becomes("() => stopped", True)
    look.wait_for()
    bench.quiet()
    before_it = page.evaluate("() => steps")
    assert look.evaluate("each => document.activeElement === each")
    look.click()
    panel.get_by_role("button", name="See it move: number 1", exact=True).wait_for()
    panel.get_by_text("found, those that push best first").wait_for()
    bench.becomes("() => document.querySelector('.progress--wide')", None)
    assert before_it < page.evaluate("() => steps") - before_it  # the same wish, looked for to its end
    panel.get_by_role("button", name="See it move: number 1", exact=True).click()
    panel.get_by_role("button", name="Stop: number 1", exact=True).wait_for()
    jaw = bench.node("jaw")
    for _ in bench.looks():
        if np.abs(bench.node("jaw") - jaw).max() > 0.02:
            break
    else:
        raise AssertionError("the beak does not move")
    assert bench.work()["text"] == HERON.text
    assert serious(bench) == []
    shot(bench, "linkage-found")
    panel.get_by_role("button", name="Stop: number 1", exact=True).click()
    stands(bench, HERON, {}, "beak", "coupler")
    panel.get_by_role("button", name="Take it: number 1", exact=True).click()
    changed(bench, HERON.text)
    page.get_by_role("button", name="Undo").click()
    bench.becomes(text, HERON.text)


@pytest.mark.parametrize("setting", [PHONE], indirect=True)
def test_on_a_phone_a_linkage_is_dimensioned_and_found_by_keyboard(bench, shot) -> None:
    page, keys = bench.page, bench.page.keyboard
    page.get_by_role("button", name="Controls").tap()
    panel = bench.tab("Drives")
    panel.get_by_role("button", name=re.compile("^beak")).focus()
    keys.press("Enter")
    panel.get_by_role("button", name="Show linkages in the picture").focus()
    keys.press("Enter")
    stands(bench, HERON, {}, "beak", "coupler")
    # A finger takes hold of a ball, and the view stays as it is.
    eye, at = page.evaluate("() => posekit.eye()"), grip(bench, "wing_left", "horn")
    bench.finger(at, (at[0] + 14, at[1] - 10))
    pulled = posekit.read({**HERON.files, "prop.toml": changed(bench, HERON.text).encode()})
    ball = [
        next(d.linkage.horn_ball for d in prop.drives if d.name == "wing_left") for prop in (HERON, pulled)
    ]
    assert ball[0] != ball[1]
    stands(bench, pulled, {}, "wing_left", "horn ball")
    assert page.evaluate("() => posekit.eye()") == eye
    page.get_by_role("button", name="Undo").tap()
    bench.becomes("() => posekit.work().text", HERON.text)
    bench.quiet()
    panel.get_by_role("button", name=re.compile("^beak")).focus()  # the one that was pulled is chosen now
    keys.press("Enter")
    along = panel.locator("[data-path='drives.beak.linkage.ground_along'] input")
    along.focus()
    keys.type("1, 0, 0.2")
    keys.press("Enter")
    lying = posekit.edit(HERON, "drives.beak.linkage.ground_along", [1, 0, 0.2])
    bench.becomes("() => posekit.work().text", lying.text)
    stands(bench, lying, {}, "beak", "coupler")
    panel.locator(".caution--plain").wait_for(state="hidden")
    panel.get_by_text("Find a linkage").focus()
    panel.locator("summary", has_text="Find a linkage").focus()
    keys.press("Enter")
    panel.get_by_label("beak at value 0").focus()
    keys.press("Control+a")
    keys.type("0")
    panel.get_by_label("at 255").focus()
    keys.press("Control+a")
    keys.type("18")
    keys.press("Enter")
    take = panel.get_by_role("button", name="Take it: number 1", exact=True)
    take.wait_for()
    panel.get_by_text("found, those that push best first").wait_for()
    assert serious(bench) == []
    shot(bench, "linkage-phone")
    take.focus()
    keys.press("Enter")
    changed(bench, lying.text)
    keys.press("Control+z")
    bench.becomes("() => posekit.work().text", lying.text)
    bench.quiet()
    assert take.is_visible()  # the prop is the one that was searched again
    keys.press("Control+z")
    bench.becomes("() => posekit.work().text", HERON.text)
    take.wait_for(state="hidden")  # what was found was found for another
