"""Joints in the picture: put where a hole is, moved by handles, turned and stopped; by pointer and by keyboard."""

from __future__ import annotations

import io
import zipfile
from typing import Any

import numpy as np
import pytest
from playwright.sync_api import expect

import posekit
from posekit.mechanism.kinematics import forward
from posekit.pipeline import rest
from tests.bridge.test_jointing import FILES, TEXT
from tests.web.conftest import PICTURE_FROM_PROP, picture_from_link
from tests.web.test_page_access import PHONE, serious, tab_to
from tests.web.test_page_numbers import typed

pytestmark = [pytest.mark.page, pytest.mark.python("native")]


def prop_now(bench) -> posekit.Prop:
    return posekit.read({"prop.toml": bench.work()["text"].encode(), **FILES})


def links_at(bench, **positions: float) -> dict[str, np.ndarray]:
    """Where the links stand with these joints there and all others at 0, and what follows where that takes it."""
    prop = prop_now(bench)
    placed = forward(prop, [[positions.get(joint.name, 0.0) for joint in prop.joints]])[0]
    return {link.name: placed[i] for i, link in enumerate(prop.links)}


def opened(bench, text: str = TEXT) -> str:
    """The lever on the bench, and the panel for its joints; answers the text of its file."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        for path, content in {"prop.toml": text.encode(), **FILES}.items():
            archive.writestr(f"lever/{path}", content)
    bench.drop("lever.zip", packed.getvalue())
    bench.becomes("() => posekit.work().folder", "lever")
    bench.quiet()
    return bench.work()["text"]


def seen(bench, world_mm: Any) -> tuple[float, float]:
    """Where a point of the world is seen, in px."""
    at = PICTURE_FROM_PROP @ np.array(world_mm, float) / 1000
    x, y = bench.page.evaluate("point => posekit.seen(point)", at.tolist())
    return x, y


def drag(bench, begin: tuple[float, float], end: tuple[float, float], *, let_go: bool = True) -> None:
    mouse = bench.page.mouse
    mouse.move(*begin)
    mouse.down()
    mouse.move(*np.add(begin, np.subtract(end, begin) / 2), steps=3)
    mouse.move(*end, steps=3)
    if let_go:
        mouse.up()


def joint(bench, name: str) -> posekit.prop.model.Joint:
    prop = prop_now(bench)
    return next(each for each in (*prop.joints, *prop.fixed) if each.name == name)


STOP_TOO_EARLY = """() => {
    const panel = document.querySelector("#panel-joints");
    const [slider, choice] = [panel.querySelector(".slider"), panel.querySelector("select")];
    slider.value = 30;
    slider.dispatchEvent(new Event("input", {bubbles: true}));
    panel.querySelector("[data-stop=high]").click();
    choice.value = "slide";
    choice.dispatchEvent(new Event("change", {bubbles: true}));
}"""


def up_its_arrow(bench, name: str) -> np.ndarray:
    """A point of the arrow that moves a joint of the root along z."""
    origin = np.array(joint(bench, name).at)
    eye = np.linalg.inv(PICTURE_FROM_PROP) @ bench.page.evaluate("() => posekit.eye()") * 1000
    size = np.linalg.norm(origin - eye) * np.tan(np.radians(35 / 2)) * 0.26
    return origin + np.array([0, 0, 0.6 * size])


def test_a_joint_is_put_on_a_hole_moved_turned_and_stopped_and_undo_brings_the_text_back(bench, shot) -> None:
    before = opened(bench)
    panel = bench.tab("Joints")
    panel.get_by_label("Part and its joint").select_option("lever")
    # In the hole, whose rim looks to the viewer at 0, 30, 90.
    bench.stands_at(links_at(bench))
    bench.settled()
    bench.page.mouse.click(*seen(bench, (0, 30, 90)))
    panel.get_by_text("lever: a hole of radius 2.50 mm").wait_for()
    shot(bench, "joint-found")
    assert serious(bench) == []
    panel.get_by_role("button", name="Put the joint there").click()
    bench.becomes("() => posekit.work().text.includes('type = \"revolute\"   # to be placed')", True)
    assert joint(bench, "lever").at == pytest.approx((0, 27, 90), abs=1e-3)
    assert "# to be placed" in bench.work()["text"]
    bench.quiet()
    bench.stands_at(links_at(bench))

    # By its arrow for z 20 mm up: the parts stay, and Escape before that leaves all as it was.
    placed = bench.work()["text"]
    panel.get_by_role("button", name="Move its axis").click()
    grip = up_its_arrow(bench, "lever")
    higher = grip + np.array([0, 0, 20])
    drag(bench, seen(bench, grip), seen(bench, higher), let_go=False)
    panel.get_by_text(", 110 mm").wait_for()
    shot(bench, "joint-dragged")
    bench.page.keyboard.press("Escape")
    bench.page.mouse.up()
    bench.quiet()
    assert bench.work()["text"] == placed
    drag(bench, seen(bench, grip), seen(bench, higher))
    # It is placed where it was let go, once: a drag that is begun right after and broken off takes nothing of that.
    drag(bench, seen(bench, grip), seen(bench, grip + np.array([0, 0, -30])), let_go=False)
    bench.page.keyboard.press("Escape")
    bench.page.mouse.up()
    bench.becomes(f"() => posekit.work().text !== {placed!r}", True)
    bench.quiet()
    assert joint(bench, "lever").at == pytest.approx((0, 27, 110), abs=1e-3)
    assert prop_now(bench).links[1].shapes[0].at == pytest.approx((0, 3, -20), abs=1e-3)
    bench.page.get_by_role("button", name="Undo").click()
    bench.becomes("() => posekit.work().text", placed)
    bench.quiet()

    # Turned in the hand: the tip goes round, no value of a drive is touched.
    panel.get_by_role("button", name="Turn by hand").click()
    bench.stands_at(links_at(bench))
    drag(bench, seen(bench, (12, 30, 102)), seen(bench, (15, 30, 80)))
    slider = panel.get_by_role("slider")
    bench.becomes("() => document.querySelector('#panel-joints .slider').valueAsNumber !== 0", True)
    bench.quiet()
    at = float(slider.input_value())
    assert abs(at) > 20
    turned = float(panel.get_by_role("spinbutton", name="position of lever, °").input_value())
    bench.stands_at(links_at(bench, lever=turned))
    shot(bench, "joint-turned")
    panel.get_by_role("button", name="Low stop here" if turned < 0 else "High stop here").click()
    bench.becomes("() => posekit.work().text.split('stops = [').length", 3)  # that of the slide is the other
    bench.quiet()
    bench.stands_at(links_at(bench, lever=turned))  # where it was turned to
    panel.get_by_role("spinbutton", name="position of lever, °").fill(str(-np.sign(turned) * 10))
    panel.get_by_role("spinbutton", name="position of lever, °").press("Enter")
    panel.get_by_role("button", name="High stop here" if turned < 0 else "Low stop here").click()
    bench.quiet()
    stops = (turned, 10) if turned < 0 else (-10, turned)
    assert joint(bench, "lever").stops == pytest.approx(stops)
    assert serious(bench) == []

    for _ in range(3):
        bench.page.get_by_role("button", name="Undo").click()
        bench.quiet()
    bench.becomes("() => posekit.work().text", before)
    # A turn that is answered after another joint is chosen is not taken for that one's.
    panel.get_by_label("Part and its joint").select_option("tip")
    panel.get_by_role("slider").fill("40")
    panel.get_by_label("Part and its joint").select_option("slide")
    bench.quiet()
    assert panel.get_by_role("slider").input_value() == "0"
    bench.stands_at(links_at(bench))
    # Nor is a stop set of either: pressed for tip before it stood anywhere, and told.
    panel.get_by_label("Part and its joint").select_option("tip")
    bench.quiet()
    bench.page.evaluate(STOP_TOO_EARLY)
    bench.page.get_by_role("alert").get_by_text("The high stop of tip is not set").wait_for()
    bench.quiet()
    assert bench.work()["text"] == before
    bench.tab("Channels")  # the figure stands as its channels say again
    bench.stands_at(rest(prop_now(bench)).links)


def test_the_same_by_keyboard_alone(bench) -> None:
    before = opened(bench)
    bench.page.evaluate("() => document.activeElement?.blur()")
    keys = bench.page.keyboard
    tab_to(bench, "[role=tab][aria-selected=true]")
    while bench.page.get_by_role("tab", name="Joints").get_attribute("aria-selected") != "true":
        keys.press("ArrowRight")  # ends: they go round
    tab_to(bench, "#panel-joints select")
    keys.press("l")  # lever, of the parts that begin so
    tab_to(bench, "[aria-label='part of the point']")
    keys.press("l")
    for axis, mm in zip("xyz", ("0", "28", "90"), strict=True):
        tab_to(bench, f"[aria-label='point {axis}, mm']")
        keys.press("Control+a")
        keys.type(mm)
    keys.press("Enter")
    bench.page.get_by_text("lever: a hole of radius 2.50 mm").wait_for()
    tab_to(bench, "#panel-joints .button--main", back=True)
    keys.press("Enter")
    bench.becomes("() => posekit.work().text.includes('type = \"revolute\"   # to be placed')", True)
    assert joint(bench, "lever").at == pytest.approx((0, 27, 90), abs=1e-3)
    bench.quiet()
    tab_to(bench, "#panel-joints .joints__tools .button:last-child", back=True)
    keys.press("Enter")
    tab_to(bench, "#panel-joints .slider")
    for _ in range(20):
        keys.press("ArrowRight")
    bench.stands_at(links_at(bench, lever=10))
    tab_to(bench, "#panel-joints [data-stop=high]")
    keys.press("Enter")
    bench.becomes("() => posekit.work().text.includes('stops = [-180, 10]')", True)
    for _ in range(2):
        keys.press("Control+z")
        bench.quiet()
    bench.becomes("() => posekit.work().text", before)


def test_every_button_asks_the_fields_beside_it(bench) -> None:
    before = opened(bench)
    panel = bench.tab("Joints")
    panel.get_by_label("Part and its joint").select_option("slide")
    typed(bench.page, panel.get_by_label("point x, mm"), "0x")
    panel.get_by_role("button", name="Find the axis").click()
    panel.get_by_text("point x, mm: “0x” is not a number").wait_for()
    panel.get_by_role("button", name="Move its axis").click()
    typed(bench.page, panel.get_by_label("place z, mm"), "1,500")
    panel.get_by_role("button", name="Show it there").click()
    panel.get_by_text("place z, mm: “1,500” can be read in two ways").wait_for()
    typed(bench.page, panel.get_by_label("place z, mm"), "")
    panel.get_by_role("button", name="Show it there").click()
    panel.get_by_text("place z, mm: nothing stands there").wait_for()
    assert panel.get_by_role("button", name="Put the joint there").count() == 0
    panel.get_by_role("button", name="Turn by hand").click()
    for text, told in (("5x", "“5x” is not a number"), ("", "nothing stands there")):
        typed(bench.page, panel.get_by_role("spinbutton", name="position of slide, mm"), text)
        panel.get_by_role("button", name="High stop here").click()
        panel.get_by_text(f"position of slide, mm: {told}").wait_for()
    bench.quiet()
    assert bench.work()["text"] == before


def test_a_slide_that_turns_from_now_on_loses_its_stops_and_says_so(bench) -> None:
    before = opened(bench)
    panel = bench.tab("Joints")
    panel.get_by_label("Part and its joint").select_option("slide")
    panel.get_by_label("What slide does").select_option("revolute")
    said = bench.page.get_by_role("alert").filter(has_text="Figures of another unit")
    said.get_by_text("are taken out, because they were millimetres; set new ones").wait_for()
    said.get_by_text("1 stands in its place, in degrees per degree").wait_for()  # what follows it
    panel.get_by_text("no stops yet").wait_for()
    assert (joint(bench, "slide").type, joint(bench, "slide").stops) == ("revolute", None)
    bench.page.get_by_role("button", name="Undo").click()
    bench.becomes("() => posekit.work().text", before)


def test_a_joint_that_becomes_fixed_loses_its_stops_and_its_torque_and_says_so(bench) -> None:
    alone = TEXT.replace(
        'follow = {joint = "slide", ratio = 2, offset = 1}', "stops = [-10, 20]\ntorque = 0.02"
    )
    before = opened(bench, alone)
    panel = bench.tab("Joints")
    panel.get_by_label("Part and its joint").select_option("tip")
    panel.get_by_label("What tip does").select_option("fixed")
    said = bench.page.get_by_role("alert").filter(has_text="Figures of another unit")
    said.get_by_text("stops = [-10, 20]: are taken out, because a fixed joint has none").wait_for()
    said.get_by_text("torque = 0.02: is taken out, because a fixed joint has none").wait_for()
    assert [each.name for each in prop_now(bench).fixed] == ["lever", "tip"]
    bench.page.get_by_role("button", name="Undo").click()
    bench.becomes("() => posekit.work().text", before)


@pytest.mark.parametrize("setting", [PHONE], indirect=True)
def test_on_a_phone_a_finger_finds_the_hole_and_drags_the_handles(bench, shot) -> None:
    opened(bench)
    bench.page.get_by_role("button", name="Controls").tap()
    panel = bench.tab("Joints")
    panel.get_by_label("Part and its joint").select_option("lever")
    bench.stands_at(links_at(bench))
    bench.settled()  # it has given way to the controls
    bench.page.touchscreen.tap(*seen(bench, (0, 30, 90)))
    panel.get_by_text("lever: a hole of radius 2.50 mm").wait_for()
    shot(bench, "phone-joint")
    panel.get_by_role("button", name="Put the joint there").tap()
    bench.becomes("() => posekit.work().text.includes('type = \"revolute\"   # to be placed')", True)
    panel.get_by_role("button", name="Move its axis").tap()
    shot(bench, "phone-joint-move")
    bench.quiet()
    grip = up_its_arrow(bench, "lever")
    bench.finger(seen(bench, grip), seen(bench, np.add(grip, (0, 0, 20))))
    for _ in bench.looks():
        if joint(bench, "lever").at[2] > 100:
            break
    assert joint(bench, "lever").at == pytest.approx((0, 27, 110), abs=1e-3)
    bench.quiet()
    bench.stands_at(links_at(bench))
    panel.get_by_role("button", name="Turn by hand").tap()
    panel.get_by_role("slider").fill("30")
    bench.stands_at(links_at(bench, lever=30))
    assert serious(bench) == []
    shot(bench, "phone-joint-turn")


def test_an_axis_is_not_marked_as_found_while_the_figure_stands_otherwise(bench) -> None:
    """It was found with every joint at 0."""
    opened(bench)
    panel = bench.tab("Joints")
    panel.get_by_label("Part and its joint").select_option("slide")
    panel.get_by_label("part of the point").select_option("lever")
    for letter, mm in zip("xyz", ("0", "30", "90"), strict=True):
        typed(bench.page, panel.get_by_label(f"point {letter}, mm"), mm)
    panel.get_by_role("button", name="Find the axis").click()
    found = bench.page.locator(".label--axis", has_text="found")
    found.wait_for(state="attached")
    panel.get_by_role("button", name="Turn by hand").click()
    assert found.count() == 1, "nothing is turned yet"
    position = panel.get_by_role("spinbutton", name="position of slide, mm")
    typed(bench.page, position, "5")
    expect(position).to_have_value("5")
    bench.quiet()
    assert np.abs(bench.node("slide") - picture_from_link(links_at(bench)["slide"])).max() > 1e-3
    assert found.count() == 0
    panel.get_by_role("button", name="Find its axis").click()
    found.wait_for(state="attached")
