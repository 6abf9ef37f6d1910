"""Channels: from a value on the page to the link in the picture."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from playwright.sync_api import expect

import posekit
from posekit.cli import main
from tests.conftest import demo_prop

pytestmark = [pytest.mark.page, pytest.mark.python("native")]

FOLDER = Path(__file__).parents[2] / "models" / "heron"
HERON = demo_prop("heron")
REST = {drive.name: drive.rest_value for drive in HERON.drives}


def look_file(name: str) -> Path:
    return FOLDER / "looks" / f"{name}.csv"


def look_pose(name: str) -> posekit.Pose:
    return posekit.pose(HERON, posekit.Snapshot.read(look_file(name)))


def told_by_the_command_line(snapshot: str, tmp_path) -> dict:
    (tmp_path / "look.csv").write_text(snapshot)
    done = CliRunner().invoke(main, ["pose", str(FOLDER), str(tmp_path / "look.csv"), "--json"])
    return json.loads(done.output)


def test_a_slider_turns_its_link_as_the_command_line_says(bench, tmp_path) -> None:
    slider = bench.page.get_by_label("neck_top", exact=True)
    slider.fill("200")
    told = told_by_the_command_line(bench.snapshot("csv"), tmp_path)
    assert told["drives"]["neck_top"]["value"] == 200
    links = {name: np.array(rows).reshape(4, 4) for name, rows in told["links"].items()}
    bench.stands_at(links)
    row = bench.page.locator("[data-drive=neck_top]")
    assert f"{told['drives']['neck_top']['pulse_us']:.0f} µs" in row.inner_text()
    assert f"{told['joints']['neck_top']:.1f}°".replace("-", "−") in row.inner_text()


@pytest.mark.parametrize(
    ("key", "step"),
    [
        ("ArrowRight", 1),
        ("ArrowUp", 1),
        ("ArrowLeft", -1),
        ("Shift+ArrowRight", 10),
        ("PageUp", 10),
        ("PageDown", -10),
    ],
)
def test_keys_step_a_channel_by_one_and_by_ten(bench, key: str, step: int) -> None:
    bench.page.get_by_label("head_turn", exact=True).focus()
    bench.page.keyboard.press(key)
    assert bench.work()["values"]["head_turn"] == REST["head_turn"] + step


@pytest.mark.parametrize(
    ("unit", "text", "value"), [("percent", "50", 128), ("16 bit", "65535", 255), ("value", "7", 7)]
)
def test_a_number_is_read_in_the_unit_that_is_shown(bench, unit: str, text: str, value: int) -> None:
    bench.page.get_by_label("Show values as").select_option(unit)
    number = bench.page.get_by_label("head_turn, value")
    number.fill(text)
    number.press("Tab")
    bench.becomes("() => posekit.work().values.head_turn", value)
    # What another unit reads Python tells, a moment behind the value.
    expect(bench.page.get_by_label("head_turn, value")).to_have_value({"percent": "50.2"}.get(unit, text))


def test_a_pasted_snapshot_poses_the_figure(bench, shot) -> None:
    looks = bench.tab("Looks")
    looks.get_by_label("Snapshot as CSV or JSON").fill(look_file("strike").read_text())
    looks.get_by_role("button", name="Use these values").click()
    bench.stands_as(look_pose("strike"))
    shot(bench, "snapshot")


def test_a_dropped_snapshot_poses_the_figure(bench) -> None:
    bench.drop("preen.csv", look_file("preen").read_bytes())
    bench.stands_as(look_pose("preen"))


def test_a_look_is_one_click(bench) -> None:
    bench.tab("Looks").get_by_role("button", name="wings_open", exact=True).click()
    bench.stands_as(look_pose("wings_open"))


def test_a_broken_snapshot_is_told_with_its_line_and_moves_nothing(bench, shot) -> None:
    before = bench.work()["values"]
    looks = bench.tab("Looks")
    looks.get_by_label("Snapshot as CSV or JSON").fill("universe,address,value\n1,9,many")
    looks.get_by_role("button", name="Use these values").click()
    told = looks.locator(".finding--error")
    assert "many" in told.inner_text() and "Error" in told.inner_text()
    assert bench.work()["values"] == before
    shot(bench, "broken-snapshot")


def test_a_value_above_full_scale_is_told_beside_its_row(bench, shot) -> None:
    number = bench.page.get_by_label("head_turn, value")
    number.fill("300")
    number.press("Tab")
    told = bench.page.locator("[data-drive=head_turn] .finding")
    assert "300" in told.inner_text()
    assert told.locator("svg").count() == 1
    shot(bench, "out-of-range")


@pytest.mark.parametrize("setting", [{"viewport": {"width": 360, "height": 740}}], indirect=True)
def test_no_figure_of_a_channel_stands_apart_from_its_unit(bench) -> None:
    """On the narrowest of phones, beside the longest names."""
    bench.page.get_by_role("button", name="Controls").click()
    split = bench.page.evaluate(
        """() => [...document.querySelectorAll(".channel__reads")].flatMap((reads) => {
            const letters = document.createTreeWalker(reads, NodeFilter.SHOW_TEXT);
            const range = document.createRange();
            const tops = [];
            while (letters.nextNode()) {
                [...letters.currentNode.data].forEach((letter, index) => {
                    range.setStart(letters.currentNode, index);
                    range.setEnd(letters.currentNode, index + 1);
                    if (letter.trim()) tops.push([letter, Math.round(range.getBoundingClientRect().top)]);
                });
            }
            return tops.filter(([letter, top], index) => "µ°".includes(letter) && tops[index - 1][1] !== top);
        })"""
    )
    assert split == []
    assert (
        bench.page.evaluate(
            """() => [...document.querySelectorAll(".channel")].filter((row) => row.scrollWidth > row.clientWidth)
            .map((row) => row.dataset.drive)"""
        )
        == []
    )
