"""The worker may go; the work stays."""

from __future__ import annotations

import json
import zlib
from base64 import urlsafe_b64decode

import pytest
from playwright.sync_api import expect

import posekit
from posekit.pipeline import pose_at
from tests.conftest import demo_prop

pytestmark = [pytest.mark.page, pytest.mark.own_page]

HERON = demo_prop("heron")


def test_a_worker_that_the_browser_ends_is_missed_and_after_a_crash_the_work_is_there(bench, shot) -> None:
    (worker,) = bench.page.workers
    worker.evaluate("() => self.close()")  # no event tells the page of that
    restart = bench.page.get_by_role("button", name="Start it again")
    restart.click()
    bench.becomes("() => document.documentElement.dataset.engine", "ready")
    bench.page.get_by_label("head_turn", exact=True).fill("150")
    bench.stands_as(head_at(150))

    bench.page.get_by_label("head_turn", exact=True).fill("200")
    bench.page.evaluate("() => posekit.crash()")
    restart.wait_for()
    shot(bench, "stopped")
    bench.page.get_by_label("head_turn", exact=True).fill("90")
    restart.click()
    bench.becomes("() => document.documentElement.dataset.engine", "ready")
    bench.stands_as(head_at(90))


@pytest.mark.python("native")
def test_a_link_is_made_while_python_stands_still_and_carries_the_pose(bench) -> None:
    bench.served_for("anyone")
    bench.page.get_by_label("head_turn", exact=True).fill("200")
    bench.stands_as(head_at(200))
    bench.page.evaluate("() => posekit.crash()")
    bench.page.get_by_role("button", name="Start it again").wait_for()
    bench.page.get_by_role("button", name="Share").click()
    bench.page.get_by_text("characters").wait_for()
    link = bench.page.get_by_role("textbox", name="Link").input_value()
    packed = json.loads(zlib.decompress(urlsafe_b64decode(link.split("#pose=")[1] + "==")))
    assert packed["values"]["head_turn"] == 200 and packed["of"] == ""


@pytest.mark.python("native")
def test_what_is_pressed_while_python_stands_still_says_so(bench) -> None:
    page = bench.page
    page.evaluate("() => posekit.crash()")
    page.get_by_role("button", name="Start it again").wait_for()
    page.get_by_role("button", name="Share").click()
    page.get_by_text("Python stands still. Close this box and start it again").wait_for()
    director = page.get_by_role("button", name="Save the director's file")
    expect(director).to_be_disabled()
    page.keyboard.press("Escape")
    page.get_by_role("button", name="Save", exact=True).click()
    page.get_by_role("button", name="GLB of this pose").click()
    page.get_by_text("Not done: Python stands still. Start it again, then try once more.").wait_for()
    page.keyboard.press("Escape")
    page.get_by_role("button", name="Start it again").click()
    bench.becomes("() => document.documentElement.dataset.engine", "ready")
    page.get_by_role("button", name="Share").click()
    expect(director).to_be_enabled()


def head_at(value: int) -> posekit.Pose:
    """The heron at rest but for its head."""
    return pose_at(
        HERON, [value if drive.name == "head_turn" else drive.rest_value for drive in HERON.drives]
    )


@pytest.mark.python("native")
def test_a_swing_and_what_is_asked_of_joints_say_so_too(bench) -> None:
    page = bench.page
    joints = bench.tab("Joints")
    joints.get_by_role("button", name="Find the axis").wait_for()
    bench.quiet()
    page.evaluate("() => posekit.crash()")
    page.get_by_role("button", name="Start it again").wait_for()
    told = page.get_by_text("Not done: Python stands still. Start it again, then try once more.")
    joints.get_by_role("button", name="Find the axis").click()
    told.wait_for()
    told.wait_for(state="hidden")
    joints.get_by_role("button", name="Turn by hand").click()
    joints.get_by_role("button", name="Back to 0").click()
    told.wait_for()
    told.wait_for(state="hidden")
    bench.tab("Bench").get_by_role("button", name="Swing", exact=True).click()
    told.wait_for()
    assert page.get_by_role("alert").count() == 0


@pytest.mark.python("native")
def test_a_hand_on_a_part_is_told_once_however_far_it_pulls(bench) -> None:
    """Of a part that is pulled, of one that is turned in the panel Joints, and of a sweep."""
    page = bench.page
    page.get_by_label("head_turn", exact=True).focus()
    page.get_by_role("button", name="Pull a part").click()
    bench.quiet()
    x, y = page.evaluate("link => posekit.spot(link)", "head")
    page.evaluate("() => posekit.crash()")
    page.get_by_role("button", name="Start it again").wait_for()
    told = page.get_by_text("Not done: Python stands still. Start it again, then try once more.")

    def pull() -> None:
        page.mouse.move(x, y)
        page.mouse.down()
        page.mouse.move(x + 60, y + 30, steps=8)
        page.mouse.up()
        told.wait_for()
        assert told.count() == 1
        told.wait_for(state="hidden")

    pull()
    page.get_by_role("button", name="Sweep the chosen joint between its end points").click()
    told.wait_for()
    assert page.get_by_role("alert").count() == 0


@pytest.mark.python("native")
def test_a_show_that_cannot_play_on_says_why_and_plays_on_by_itself(bench) -> None:
    page = bench.page
    bench.tab("Motion").get_by_label("Show", exact=True).select_option("shows/fishing.toml")
    page.locator("#dock").wait_for()
    bench.quiet()
    page.evaluate("() => posekit.crash()")
    page.get_by_role("button", name="Start it again").wait_for()
    page.get_by_role("button", name="Play", exact=True).click()
    told = page.get_by_text("Python stands still: start it again, and this goes on.")
    told.wait_for()
    page.get_by_role("button", name="Start it again").click()
    bench.becomes("() => posekit.play().time > 1", True)
    expect(told).to_be_hidden()
