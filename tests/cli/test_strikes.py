"""Strikes on the command line: at a pose, and along a show, on a prop whose strike is known by hand.

Two fingers turn about parallel axes 100 mm apart, each 60 mm long with a radius of 5 mm. Pointing at each
other they would overlap: 60 + 60 is more than 100. Either alone at its end leaves the other far away.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from posekit.cli import main

FINGER = """
[links.{name}]
[[links.{name}.shapes]]
capsule = {{radius = 5, length = 60}}
at = [0, 0, 30]
[joints.{name}]
type = "revolute"
parent = "palm"
child = "{name}"
at = [{x}, 0, 0]
axis = [0, 1, 0]
[drives.{name}]
servo = "quick"
joint = "{name}"
address = {address}
pulse = {{low = {low}, high = {high}}}
rest = 0
speed = 90.0
"""
PROP = """
format = 1
name = "two fingers"
[servos.quick]
[links.palm]
"""


@pytest.fixture
def fingers(tmp_path: Path) -> Path:
    """The prop; at value 0 both fingers stand upright, at 255 they point at each other."""
    left = FINGER.format(name="left", x=0, address=1, low=1500, high=2500)
    right = FINGER.format(name="right", x=100, address=2, low=1500, high=500)
    (tmp_path / "prop.toml").write_text(PROP + left + right)
    return tmp_path


def run(*words: str) -> Result:
    return CliRunner().invoke(main, words)


def test_check_tells_a_strike_at_a_pose_with_its_depth(fingers: Path) -> None:
    assert run("check", str(fingers), "1/1@255, 1/2@0").exit_code == 0
    done = run("check", str(fingers), "1/1@255, 1/2@255", "--json")
    assert done.exit_code == 1
    data = json.loads(done.output)
    assert [f["code"] for f in data["findings"] if f["level"] == "error"] == ["strikes"]
    (near,) = data["near"]
    assert near["pair"] == ["left", "right"] and near["mm"] == 0
    assert near["depth_mm"] == pytest.approx(10.0, abs=1e-3)  # two radii: the shortest way out is sideways


def test_motion_tells_the_first_strike_of_a_show_with_its_time(fingers: Path) -> None:
    show = fingers / "clash.toml"
    show.write_text(
        'format = 1\nname = "clash"\n[[cues]]\nname = "left"\ntext = "1/1@255"\nhold = 2.0\n'
        '[[cues]]\nname = "both"\ntext = "1/2@255"\nhold = 2.0\n'
    )
    done = run("motion", str(fingers), str(show), "--json")
    assert done.exit_code == 1, done.output
    (move,) = json.loads(done.output)["clearance"]
    assert move["pair"] == ["left", "right"] and move["verdict"] == "strikes"
    # The left tip lies 40 mm from the right axis; the right finger, a degrees from upright, passes it at
    # 40 cos(a), which is two radii at a = acos(0.25) = 75.5225 degrees, reached at 90 degrees/s.
    assert move["at_s"] == pytest.approx(2.0 + 75.5225 / 90.0, abs=0.002)


def test_motion_of_one_finger_strikes_nothing(fingers: Path) -> None:
    show = fingers / "alone.toml"
    show.write_text('format = 1\nname = "alone"\n[[cues]]\nname = "left"\ntext = "1/1@255"\nhold = 2.0\n')
    data = json.loads(run("motion", str(fingers), str(show), "--json").output)
    assert data["clearance"] == []


def test_check_tells_an_end_point_that_strikes_alone_with_its_line(fingers: Path) -> None:
    file = fingers / "prop.toml"
    file.write_text(file.read_text().replace("at = [100, 0, 0]", "at = [55, 0, 0]"))
    done = run("check", str(fingers), "--json")
    assert done.exit_code == 1
    struck = [f for f in json.loads(done.output)["findings"] if f["code"] == "strikes"]
    # 60 mm long and 5 mm thick, 55 mm apart: either finger laid down meets the other one standing
    assert [f["subject"] for f in struck] == ["drives.left.pulse.high", "drives.right.pulse.high"]
    line = file.read_text().splitlines().index("pulse = {low = 1500, high = 2500}") + 1
    assert (
        f"prop.toml:{line}: drives.left.pulse.high = 2500: there 'left' and 'right'"
        in run("check", str(fingers)).output
    )


def test_check_tells_a_pair_that_strikes_at_rest_once(fingers: Path) -> None:
    file = fingers / "prop.toml"
    file.write_text(file.read_text().replace("at = [100, 0, 0]", "at = [4, 0, 0]"))
    struck = [
        f
        for f in json.loads(run("check", str(fingers), "--json").output)["findings"]
        if f["code"] == "strikes"
    ]
    assert [f["subject"] for f in struck] == ["left - right"]
