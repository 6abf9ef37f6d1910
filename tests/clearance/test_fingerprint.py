"""The name of a verdict changes with whatever could change the verdict, and with nothing else."""

from __future__ import annotations

import json

import pytest

import posekit
from posekit.clearance import watch
from posekit.clearance.fingerprint import fingerprint
from posekit.clearance.pair_model import pair_model
from posekit.mechanism.reach import coordinates

PROP = """
format = 1
name = "Two arms"
[servos.plain]
travel = 180.0
[links.base]
[links.left]
shapes = [{mesh = "rock.stl", pieces = "rock.json"}, {cylinder = {radius = 4, length = 60}}]
[links.right]
shapes = [{box = [10, 20, 30], at = [5, 0, 0]}]
[links.hat]
shapes = [{sphere = {radius = 9}}]
[joints.left]
type = "revolute"
parent = "base"
child = "left"
stops = [-80, 80]
[joints.right]
type = "revolute"
parent = "base"
child = "right"
at = [100, 0, 0]
[joints.hat]
type = "revolute"
parent = "base"
child = "hat"
[drives.left]
servo = "plain"
joint = "left"
address = 1
[drives.right]
servo = "plain"
joint = "right"
address = 2
linkage = {type = "gear", ratio = 2.0}
[drives.hat]
servo = "plain"
joint = "hat"
address = 3
rest = 100
"""
ROCK = [[0, 0, 0], [9, 0, 0], [0, 9, 0], [0, 0, 9], [9, 9, 9]]
# Another rock about the same middle.
STONE = [[0, 0, 0], [9, 0, 0], [0, 9, 0], [0, 0, 8], [9, 9, 10]]


def name_of(text: str, rock: list[list[int]] = ROCK, resolution: float = 1.0, margin_mm: float = 2.0) -> str:
    pieces = json.dumps({"format": 1, "skin": 0.1, "pieces": [rock]}).encode()
    prop = posekit.read({"prop.toml": text.encode(), "rock.stl": b"", "rock.json": pieces})
    return fingerprint(
        pair_model(prop, coordinates(prop), watch(prop), ("left", "right")), resolution, margin_mm
    )


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("travel = 180.0", "travel = 181.0"),
        ("radius = 4", "radius = 4.5"),
        ("box = [10, 20, 30]", "box = [10, 20, 31]"),
        ("at = [5, 0, 0]", "at = [5, 0, 0], turn = [0, 0, 1]"),
        ("stops = [-80, 80]", "stops = [-80, 40]"),
        ("at = [100, 0, 0]", "at = [100, 1, 0]"),
        ("at = [100, 0, 0]", "at = [100, 0, 0]\naxis = [0, 1, 0]"),
        ("ratio = 2.0", "ratio = 2.5"),
        ("address = 1", "address = 1\npulse = {low = 1000, high = 1900}"),
        ("rest = 100", "rest = 101"),
        ("drives.hat", "drives.cap"),
    ],
)
def test_what_could_change_the_verdict_or_its_witness_changes_the_name(old, new):
    assert PROP.count(old) == 1
    assert name_of(PROP.replace(old, new)) != name_of(PROP)


def test_other_corners_resolutions_margins_and_versions_change_the_name(monkeypatch):
    names = {
        name_of(PROP), name_of(PROP, rock=STONE), name_of(PROP, resolution=0.5), name_of(PROP, margin_mm=3.0),
    }  # fmt: skip
    monkeypatch.setattr(posekit, "__version__", "99.0")
    assert len(names | {name_of(PROP)}) == 5


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("Two arms", "Three arms"),
        ("radius = 9", "radius = 8"),
        ("address = 3", "address = 4\npulse = {low = 1200, high = 1300}"),
        ("format = 1", "format = 1\nclearance = {margin = 5.0}"),
    ],
)
def test_what_has_nothing_to_do_with_the_verdict_keeps_the_name(old, new):
    assert PROP.count(old) == 1
    assert name_of(PROP.replace(old, new)) == name_of(PROP)
