"""Another prop on the bench: nothing of the one before is taken for it. And what is chosen is chosen everywhere."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import expect

from tests.conftest import demo_prop

pytestmark = [pytest.mark.page, pytest.mark.python("native"), pytest.mark.timeout(600)]

MODELS = Path(__file__).parents[2] / "models"
HERON = demo_prop("heron")
CASES = Path(__file__).parents[1] / "cases" / "valid"
ARM = (CASES / "arm.toml").read_bytes()
ARMS = (CASES / "two_arms.toml").read_bytes()
SWEEP = "Sweep the chosen joint between its end points"


def test_results_belong_to_the_prop_they_were_made_of(bench, shot) -> None:
    bench.drop("two_arms.toml", ARMS)
    bench.page.get_by_role("heading", name="Two arms").wait_for()
    panel = bench.tab("Clearance")
    panel.get_by_role("button", name="Check every pair").click()
    panel.get_by_text("1 can strike").wait_for()
    panel.get_by_label("Pair", exact=True).select_option(label="left – right")
    panel.locator(".map svg").wait_for()
    bench.drop("arm.toml", ARM)
    bench.page.get_by_role("heading", name="arm").wait_for()
    panel.get_by_text("1 can strike").wait_for(state="detached")
    panel.locator(".map svg").wait_for(state="detached")
    assert panel.get_by_role("button", name="Set").count() == 0
    assert panel.get_by_role("button", name="Save as SVG").locator("visible=true").count() == 0
    assert panel.get_by_text("Done:").locator("visible=true").count() == 0
    shot(bench, "other-prop")
    bench.page.get_by_role("button", name="Undo").click()
    bench.page.get_by_role("heading", name="Two arms").wait_for()
    panel.get_by_text("1 can strike").wait_for()  # it is that prop again


def struck(bench) -> None:
    """Two arms that lean into each other."""
    bench.drop("two_arms.toml", ARMS)
    bench.page.get_by_role("heading", name="Two arms").wait_for()
    for name, value in (("left", 255), ("right", 0)):
        bench.page.get_by_label(f"{name}, value").fill(str(value))
        bench.page.keyboard.press("Tab")
    bench.tab("Clearance").locator(".near").get_by_text("Strike").wait_for()
    bench.quiet()


def nothing_said_of_strikes(bench) -> None:
    """Neither that parts strike in this pose nor that nothing was found in it: it was not looked at."""
    panel = bench.tab("Clearance")
    panel.get_by_text("Not checked yet.").wait_for()
    assert panel.locator(".near").count() == 0
    panel = bench.tab("Findings")
    panel.get_by_text("Whether parts strike in it is not checked yet.").wait_for()
    assert panel.get_by_text("Nothing found in this pose.").count() == 0
    assert panel.get_by_text("strike").count() == 1, "of parts of another prop"
    assert bench.page.locator("#status").get_by_text("closer than the margin").count() == 0


def test_what_strikes_is_not_told_of_a_prop_that_is_still_on_its_way(bench, shot) -> None:
    struck(bench)
    with bench.waiting_for("pose"):
        bench.drop("arm.toml", ARM)
        bench.becomes("() => asked()", True)
        bench.page.get_by_role("heading", name="arm").wait_for()
        nothing_said_of_strikes(bench)
        shot(bench, "not-checked-yet")
    bench.tab("Findings").get_by_text("Whether parts strike in it is not checked yet.").wait_for(
        state="detached"
    )


@pytest.mark.own_page
def test_what_strikes_is_not_told_of_values_that_a_stopped_engine_never_heard(bench) -> None:
    struck(bench)
    bench.page.evaluate("() => posekit.crash()")
    bench.page.get_by_role("button", name="Start it again").wait_for()
    assert bench.tab("Clearance").locator(".near").count() == 1, "the pose it was found in still stands"
    bench.tab("Channels")
    bench.page.get_by_label("left", exact=True).fill("128")
    bench.becomes("() => posekit.work().values.left", 128)
    nothing_said_of_strikes(bench)
    bench.page.get_by_role("button", name="Start it again").click()
    bench.tab("Clearance").locator(".near").get_by_text("Strike").wait_for()


def test_what_strikes_is_not_told_where_the_next_answer_is_refused(bench) -> None:
    struck(bench)
    bench.tab("Channels")
    bench.page.evaluate(
        """() => {
            const post = Worker.prototype.postMessage;
            Worker.prototype.postMessage = function (message, ...rest) {
                if (message.method !== "near") return post.call(this, message, ...rest);
                Worker.prototype.postMessage = post;
                post.call(this, {...message, params: {...message.params, values: {left: 9999}}}, ...rest);
            };
        }"""
    )
    bench.page.get_by_label("left, value").fill("128")
    bench.page.keyboard.press("Tab")
    bench.page.get_by_role("alert").wait_for()
    nothing_said_of_strikes(bench)


def test_another_prop_ends_the_show_without_an_error(bench) -> None:
    motion = bench.tab("Motion")
    (file, *_) = [path for path in HERON.files if path.startswith("shows/") and path.endswith(".toml")]
    motion.get_by_label("Show", exact=True).select_option(file)
    bench.page.locator("#dock").get_by_role("button", name="Play", exact=True).wait_for()
    bench.drop("arm.toml", ARM)
    bench.page.get_by_role("heading", name="arm").wait_for()
    bench.page.locator("#dock").wait_for(state="hidden")
    bench.page.get_by_text("Saved in this browser").wait_for()
    assert bench.page.get_by_role("alert").all_inner_texts() == []


def test_a_sweep_asked_for_while_another_prop_comes_is_no_error_of_that_one(bench) -> None:
    bench.drop("two_arms.toml", ARMS)
    bench.page.get_by_role("heading", name="Two arms").wait_for()
    bench.page.get_by_label("right", exact=True).focus()
    bench.quiet()
    with bench.waiting_for("open"):
        bench.drop("arm.toml", ARM)
        bench.becomes("() => asked()", True)
        bench.page.get_by_role("button", name=SWEEP).click()
    nothing_said_of_another_prop(bench, "arm")


def test_a_show_played_while_another_prop_comes_is_no_error_of_that_one(bench) -> None:
    bench.tab("Motion").get_by_label("Show", exact=True).select_option("shows/fishing.toml")
    time = bench.page.get_by_role("slider", name="Time in the show")
    time.wait_for()
    bench.quiet()
    with bench.waiting_for("open"):
        bench.drop("arm.toml", ARM)
        bench.becomes("() => asked()", True)
        time.fill("9.6")
    nothing_said_of_another_prop(bench, "arm")
    bench.page.locator("#dock").wait_for(state="hidden")


def test_a_sweep_asked_for_while_its_drive_is_removed_is_no_error(bench) -> None:
    bench.drop("two_arms.toml", ARMS)
    bench.page.get_by_role("heading", name="Two arms").wait_for()
    bench.page.get_by_label("right", exact=True).focus()
    panel = bench.tab("Drives")
    bench.quiet()
    with bench.waiting_for("files"):
        panel.get_by_role("button", name="Remove right").click()
        bench.becomes("() => asked()", True)
        bench.page.get_by_role("button", name=SWEEP).click()
    bench.becomes("() => posekit.work().text.includes('[drives.right]')", False)
    nothing_said_of_another_prop(bench, "Two arms")


def nothing_said_of_another_prop(bench, name: str) -> None:
    """This prop is there, all that was asked is answered, and no refusal is told."""
    bench.page.get_by_role("heading", name=name).wait_for()
    bench.quiet()
    assert bench.page.get_by_role("alert").all_inner_texts() == []


def test_the_chosen_drive_of_calibration_is_the_chosen_part(bench) -> None:
    bench.page.get_by_label("head_turn", exact=True).focus()
    panel = bench.tab("Calibration")
    which = panel.get_by_label("Drive", exact=True)
    assert which.input_value() == "head_turn"
    which.select_option("neck_top")
    assert bench.page.locator(".channel--chosen").get_attribute("data-drive") == "neck_top"


def test_a_part_that_follows_chooses_the_drive_of_its_leader(bench) -> None:
    (follower,) = [joint for joint in HERON.joints if joint.name == "hand_left"]
    assert follower.follow is not None and follower.follow.joint == "wing_left"
    looks = bench.tab("Looks")
    looks.get_by_text("Move a part or a joint to a target").click()
    looks.get_by_label("Part").select_option(follower.child)
    looks.get_by_role("button", name="Move there").click()
    expect(bench.page.locator(".channel--chosen")).to_have_attribute("data-drive", "wing_left")
    assert bench.tab("Calibration").get_by_label("Drive", exact=True).input_value() == "wing_left"


def test_link_names_near_each_other_keep_their_order(bench, shot) -> None:
    bench.page.get_by_role("button", name="Part names").click()
    canvas = bench.page.locator("canvas")
    canvas.focus()
    shown = "[...document.querySelectorAll('.label--name:not(.label--away)')]"
    bench.becomes(f"() => {shown}.length > 3 && {shown}.every((label) => label.style.transform !== '')", True)
    for turn in range(6):
        seen = bench.page.evaluate(
            """() => [...document.querySelectorAll('.label--name:not(.label--away)')].map((label) => {
                const box = label.getBoundingClientRect();
                const spot = posekit.spot(label.textContent)[1];
                const y = new DOMMatrix(label.style.transform).f;
                return {name: label.textContent, y, left: box.left, right: box.right, spot};
            })"""
        )
        assert len(seen) > 3
        for one in seen:
            for other in seen:
                near = one["left"] < other["right"] and other["left"] < one["right"]
                if near and one["spot"] + 1 < other["spot"]:
                    assert one["y"] < other["y"], (turn, one, other)
        bench.page.keyboard.press("ArrowLeft")
        bench.page.evaluate("() => new Promise(requestAnimationFrame)")
    shot(bench, "link-names")
