"""From picture to values: parts taken hold of, by mouse or by number; Python finds the values."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest

import posekit
from posekit.pipeline import pose_at
from tests.conftest import demo_prop
from tests.web.test_page_numbers import typed

pytestmark = [pytest.mark.page, pytest.mark.python("native")]

HERON = demo_prop("heron")
ARM = (Path(__file__).parents[1] / "cases" / "valid" / "arm.toml").read_bytes()
REST = {drive.name: drive.rest_value for drive in HERON.drives}


def pose_of(values: dict[str, int]) -> posekit.Pose:
    return pose_at(HERON, [values.get(drive.name, drive.rest_value) for drive in HERON.drives])


def drag(bench, link: str, by: tuple[int, int]) -> None:
    """Pull a link from where its middle is seen."""
    x, y = bench.page.evaluate("link => posekit.spot(link)", link)
    mouse = bench.page.mouse
    mouse.move(x, y)
    mouse.down()
    mouse.move(x + by[0] / 2, y + by[1] / 2, steps=3)
    mouse.move(x + by[0], y + by[1], steps=3)
    bench.page.locator(".reached").get_by_text("off the target").wait_for()
    mouse.up()
    bench.quiet()  # what was asked last is still on its way


def test_a_part_that_is_turned_moves_its_own_joint_alone(bench, shot) -> None:
    bench.page.get_by_role("button", name="Turn a joint").click()
    drag(bench, "neck_high", (40, 25))
    bench.becomes("() => posekit.work().values.neck_middle !== " + str(REST["neck_middle"]), True)
    values = bench.work()["values"]
    assert {name for name in REST if values[name] != REST[name]} == {"neck_middle"}
    bench.stands_as(pose_of(values))
    shot(bench, "turned")
    bench.page.get_by_role("button", name="Undo").click()
    assert bench.work()["values"] == REST


def test_a_part_that_is_pulled_takes_all_joints_on_the_way_along(bench, shot) -> None:
    bench.page.get_by_role("button", name="Pull a part").click()
    before = pose_of(REST).links["head"][:3, 3]
    drag(bench, "head", (60, 20))
    values = bench.work()["values"]
    moved = {name for name in REST if values[name] != REST[name]}
    assert len(moved) >= 2 and moved <= {"neck_base", "neck_middle", "neck_top", "head_turn"}
    assert np.linalg.norm(pose_of(values).links["head"][:3, 3] - before) > 10
    bench.stands_as(pose_of(values))
    shot(bench, "pulled")


def test_a_part_brought_to_a_point_by_number_is_as_near_as_is_told(bench) -> None:
    looks = bench.tab("Looks")
    looks.get_by_text("Move a part or a joint to a target").click()
    looks.get_by_label("Part").select_option("head")
    target = pose_of({**REST, "neck_base": 9000, "neck_top": 160}).links["head"][:3, 3].round()
    for axis, mm in zip("xyz", target, strict=True):
        looks.get_by_label(f"target {axis}, mm").fill(str(int(mm)))
    looks.get_by_role("button", name="Move there").click()
    bench.becomes("() => posekit.work().values.neck_base !== " + str(REST["neck_base"]), True)
    told = bench.page.locator(".reached").inner_text()
    off = float(re.match(r"([\d.]+) mm", told).group(1))
    reached = pose_of(bench.work()["values"]).links["head"][:3, 3]
    assert off < 3 and np.linalg.norm(reached - target) == pytest.approx(off, abs=0.06)


def test_a_text_that_is_no_number_gives_back_the_whole_of_the_one_that_stood(bench) -> None:
    looks = bench.tab("Looks")
    looks.get_by_text("Move a part or a joint to a target").click()
    looks.get_by_label("Part").select_option("head")
    field = looks.get_by_label("target x, mm")
    typed(bench.page, field, "112,34567")
    assert field.input_value() == "112.346"
    for text in ("9x", ""):
        typed(bench.page, field, text)
        field.press("ControlOrMeta+z")  # lets go of the text
        assert field.input_value() == "112.346"
    bench.page.evaluate(
        """() => {
            const post = Worker.prototype.postMessage;
            Worker.prototype.postMessage = function (...given) {
                if (given[0].method === "bring") window.brought = given[0].params.target_mm;
                post.apply(this, given);
            };
        }"""
    )
    looks.get_by_role("button", name="Move there").click()
    bench.becomes("() => window.brought?.[0]", 112.34567)


PRESSES = {
    "Looks": lambda panel: panel.get_by_role("button", name="Move there"),
    "Bench": lambda panel: panel.get_by_role("button", name="Swing"),
}


@pytest.mark.parametrize("tab", PRESSES)
def test_what_was_pressed_while_another_prop_came_says_to_try_again(bench, tab) -> None:
    panel = bench.tab(tab)
    if tab == "Looks":
        panel.get_by_text("Move a part or a joint to a target").click()
    with bench.waiting_for("open"):
        bench.drop("arm.toml", ARM)
        bench.becomes("() => asked()", True)
        PRESSES[tab](panel).click()
    bench.page.get_by_text("The prop changed while this was asked. Try again.").wait_for()
    bench.quiet()
    assert bench.page.get_by_role("alert").all_inner_texts() == []


def test_a_pull_that_another_prop_ends_says_nothing(bench) -> None:
    bench.page.get_by_role("button", name="Pull a part").click()
    x, y = bench.page.evaluate("link => posekit.spot(link)", "head")
    with bench.waiting_for("open"):
        bench.drop("arm.toml", ARM)
        bench.becomes("() => asked()", True)
        bench.page.mouse.move(x, y)
        bench.page.mouse.down()
        bench.page.mouse.move(x + 40, y + 20, steps=3)
        bench.page.mouse.up()
    bench.becomes("() => posekit.work().folder", "arm")
    bench.quiet()
    assert bench.page.get_by_text("Try again").count() == 0


def test_a_joint_turned_to_a_position_by_number_stands_there(bench, shot) -> None:
    looks = bench.tab("Looks")
    looks.get_by_text("Move a part or a joint to a target").click()
    looks.get_by_label("Joint", exact=True).select_option("neck_middle")
    looks.get_by_label("position of the joint").fill("12.5")
    looks.get_by_role("button", name="Turn to").click()
    bench.becomes("() => posekit.work().values.neck_middle !== " + str(REST["neck_middle"]), True)
    values = bench.work()["values"]
    assert {name for name in REST if values[name] != REST[name]} == {"neck_middle"}
    off = float(re.match(r"([\d.]+)°", bench.page.locator(".reached").inner_text()).group(1))
    assert abs(pose_of(values).joints["neck_middle"] - 12.5) == pytest.approx(off, abs=0.051)
    assert off < 0.3
    bench.stands_as(pose_of(values))
    shot(bench, "turned-to")
