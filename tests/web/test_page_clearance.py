"""Clearance in the page: what strikes now, what could ever strike, and where."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest

import posekit
from posekit.clearance.left_out import grouped, summary
from posekit.pipeline import pose_at
from posekit.text import downward
from tests.conftest import demo_prop
from tests.web.test_page_keeping import zipped

pytestmark = [pytest.mark.page, pytest.mark.python("native")]

MODELS = Path(__file__).parents[2] / "models"
HERON = demo_prop("heron")
CROSSING = (Path(__file__).parents[1] / "cases" / "valid" / "two_arms.toml").read_bytes()
ARMS = posekit.read({"prop.toml": CROSSING})
PEG = """
[links.{0}]
[[links.{0}.shapes]]
box = [4, 4, 20]
[joints.{0}]
type = "revolute"
parent = "board"
child = "{0}"
at = [{1}, 0, 20]
"""
# Pegs that no drive moves yet, of which each is told the same.
PEGS = """
format = 1
name = "Pegs"
[links.board]
[[links.board.shapes]]
box = [100, 20, 20]
""" + "".join(PEG.format(name, at) for name, at in (("left", -30), ("middle", 0), ("right", 30)))


def dropped_arms(bench) -> None:
    """Two upright arms, 50 mm apart, that strike when they lean towards each other."""
    bench.drop("two_arms.toml", CROSSING)
    bench.page.get_by_role("heading", name="Two arms").wait_for()


def lean(bench, left: int, right: int) -> None:
    bench.tab("Channels")
    for name, value in (("left", left), ("right", right)):
        bench.page.get_by_label(f"{name}, value").fill(str(value))
        bench.page.keyboard.press("Tab")


def survey(bench):
    panel = bench.tab("Clearance")
    panel.get_by_role("button", name="Check every pair").click()
    panel.get_by_text("Done: 1 of 1 pairs").wait_for()
    return panel


def test_parts_below_the_margin_are_listed_with_their_distance(bench, shot) -> None:
    dropped_arms(bench)
    lean(bench, 178, 78)
    joints = pose_at(ARMS, [178, 78]).joints
    distance = posekit.clearance.distances(ARMS, np.array([list(joints.values())]))[0, 0]
    assert 0 < distance < ARMS.clearance.margin
    told = bench.tab("Clearance").locator(".near")
    told.get_by_text(f"{downward(distance, 1)} mm").wait_for()
    assert "Near" in told.inner_text()
    shot(bench, "near")


def test_the_envelope_finds_the_strike_and_its_witness_strikes(bench, shot) -> None:
    dropped_arms(bench)
    panel = survey(bench)
    panel.get_by_text("1 can strike").wait_for()
    panel.get_by_role("button", name="Show left and right striking").click()
    bench.becomes("() => posekit.work().values.left !== 128", True)
    values = bench.work()["values"]
    joints = pose_at(ARMS, [values["left"], values["right"]]).joints
    assert posekit.clearance.distances(ARMS, np.array([list(joints.values())]))[0, 0] == 0.0
    panel.locator(".near").get_by_text("Strike").wait_for()
    shot(bench, "strike")


def test_a_suggested_end_point_clears_the_pair(bench) -> None:
    dropped_arms(bench)
    panel = survey(bench)
    panel.get_by_role("button", name="Set left").first.click()
    panel.get_by_text("Check again").wait_for()
    fixed = posekit.read({"prop.toml": bench.work()["text"].encode()})
    assert [found.verdict for found in posekit.clearance.envelope(fixed, resolution=0.5).pairs] == ["clear"]


@pytest.mark.python("pyodide")
def test_channels_stay_quick_while_the_envelope_of_the_heron_runs_and_it_can_be_stopped(bench) -> None:
    panel = bench.tab("Clearance")
    panel.get_by_label("Resolution").select_option("0.5")
    panel.get_by_role("button", name="Check every pair").click()
    panel.get_by_text("Checking pairs: ").wait_for()
    bench.tab("Channels")
    bench.page.get_by_label("head_turn, value").fill("200")
    bench.page.keyboard.press("Tab")
    values = [200 if drive.name == "head_turn" else drive.rest_value for drive in HERON.drives]
    bench.stands_as(pose_at(HERON, values))
    bench.tab("Clearance")
    panel.get_by_role("button", name="Stop and keep the results").click()
    count = len(posekit.clearance.pairs(HERON))
    panel.get_by_text(re.compile(rf"Stopped: \d+ of {count} pairs checked to the end")).wait_for()
    panel.get_by_text("% of the range is left").first.wait_for()


@pytest.mark.python("pyodide")
@pytest.mark.parametrize("name", ["bellows", pytest.param("heron", marks=pytest.mark.long)])
def test_the_whole_envelope_in_the_page_is_that_of_the_library(bench, name: str) -> None:
    """Of seven pairs in every run, and of 69, which takes Python in the page a minute, where that is asked for."""
    prop = demo_prop(name)
    whole = posekit.clearance.envelope(prop, resolution=1.0)
    bench.drop(
        f"{name}.zip",
        zipped(
            {f"{name}/{path}": data for path, data in {**prop.files, "prop.toml": prop.text.encode()}.items()}
        ),
    )
    bench.page.get_by_role("heading", name=prop.name).wait_for()
    panel = bench.tab("Clearance")
    panel.get_by_label("Resolution").select_option("1")
    panel.get_by_role("button", name="Check every pair").click()
    panel.get_by_text(f"Done: {len(whole.pairs)} of {len(whole.pairs)} pairs").wait_for()
    if whole.of("strikes"):
        panel.get_by_text(f"{len(whole.of('strikes'))} can strike").wait_for()
    panel.get_by_text(f"{len(whole.of('clear'))} clear, proved").wait_for()
    shown = panel.locator(".verdict", has_text="mm apart or more, proved").all_text_contents()
    told = {
        f"{' – '.join(each.pair)} {downward(each.clear_by_mm, 1)} mm apart or more, proved"
        for each in whole.of("clear")
    }
    assert {text for text in shown if "never touch" not in text} == told


def test_what_is_not_checked_stands_beside_the_pose_and_the_envelope(bench) -> None:
    aside = posekit.clearance.left_out(HERON)
    rows = [f"{parts.replace(' - ', ' – ')} {why}" for parts, why in grouped(aside)]
    panel = bench.tab("Clearance")
    here = panel.locator("section", has_text="In this pose")
    here.get_by_text(summary(len(posekit.clearance.pairs(HERON)), aside)).click()
    assert here.locator(".left-out li").all_inner_texts() == rows
    panel.get_by_role("button", name="Check every pair").click()
    panel.get_by_role("button", name="Stop and keep the results").click()
    panel.locator("summary", has_text="Left out: not checked").click()
    assert panel.locator(".left-out").last.locator("li").all_inner_texts() == rows


def test_the_map_of_a_pair_follows_the_values(bench, shot) -> None:
    dropped_arms(bench)
    panel = bench.tab("Clearance")
    panel.get_by_label("Pair", exact=True).select_option(label="left – right")
    panel.locator(".map svg").wait_for()
    shot(bench, "map")
    assert "left 128" in panel.locator(".map svg").inner_html()
    lean(bench, 200, 128)
    bench.tab("Clearance")
    bench.becomes("() => document.querySelector('.map svg').innerHTML.includes('left 200')", True)


def test_findings_are_counted_as_the_panel_lists_them(bench) -> None:
    """So far, where the shapes of the parts were not looked at: what they do may be graver than all that is told."""
    bench.drop("pegs.toml", PEGS.encode())
    bench.page.get_by_role("heading", name="Pegs").wait_for()
    count = bench.page.locator("#status").get_by_role("button", name="finding")
    count.get_by_text("so far").wait_for()
    rows = bench.tab("Findings").locator(".finding")
    count.get_by_text("so far").wait_for(state="detached")
    assert count.inner_text() == f"{rows.count()} findings"
    assert rows.filter(has_text="the same for").count() > 0, "notes that say the same are one"
