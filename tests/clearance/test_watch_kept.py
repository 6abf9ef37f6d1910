"""What is watched of a prop is found again for one that is made alike, and for no other."""

from __future__ import annotations

import numpy as np
import pytest

import posekit
from posekit.budgets import KEPT_WATCHES
from posekit.clearance.watch import Watch, _kept, watch
from posekit.shape.mesh_file.writing import ply_bytes

# A rod slides out of a sleeve as far as its drive takes it, past a post; a wand turns on the rod.
SLIDE = """format = 1
name = "Slide"
[servos.standard]
pulse_range = [1000, 2000]
travel = 90.0
[links.sleeve]
shapes = [{mesh = "sleeve.ply"}]
[links.rod]
shapes = [{box = [8, 8, 60], at = [0, 0, 30]}]
[links.wand]
shapes = [{box = [40, 4, 4], at = [20, 0, 0]}]
[joints.slide]
type = "prismatic"
parent = "sleeve"
child = "rod"
axis = [0, 0, 1]
[joints.wand]
type = "revolute"
parent = "rod"
child = "wand"
at = [0, 0, 60]
axis = [0, 0, 1]
stops = [-30, 30]
[drives.slide]
servo = "standard"
joint = "slide"
address = 1
linkage = {type = "slider_crank", crank = 20.0, coupler = 70.0}
[drives.wand]
servo = "standard"
joint = "wand"
address = 2
"""
TETRAHEDRON = np.array([[0, 2, 1], [0, 1, 3], [1, 2, 3], [0, 3, 2]])


def sleeve(mm: float) -> bytes:
    return ply_bytes(np.array([[-mm, -mm, 0], [mm, -mm, 0], [0, mm, 0], [0, 0, 30]], float), TETRAHEDRON)


@pytest.fixture
def slide() -> posekit.Prop:
    return posekit.read({"prop.toml": SLIDE.encode(), "sleeve.ply": sleeve(20.0)})


def told(watched: Watch) -> object:
    parts = watched.parts
    numbers = (parts.owner, parts.rotation, parts.centre, parts.radius, parts.reach, parts.cores.corners)
    return watched.pairs, watched.zones, watched.left_out, [each.tolist() for each in numbers]


def anew(prop: posekit.Prop) -> Watch:
    _kept.clear()
    return watch(prop)


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("drives.wand.pulse.low", 1100),
        ("drives.wand.speed", 50.0),
        ("gravity.down", [0.0, 1.0, 0.0]),
        ("supply", {"voltage": 6.0, "current": 2.0}),
    ],
)
def test_what_moves_no_part_leaves_it_as_it_was_found(slide: posekit.Prop, key: str, value: object) -> None:
    stopped = posekit.edit(slide, "joints.slide.stops", [0, 5])
    first = watch(stopped)
    assert watch(posekit.edit(stopped, key, value)) is first


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("links.rod.shapes[0].at", [0, 0, 34]),
        ("links.rod.shapes[0].solid", False),
        ("joints.wand.at", [0, 0, 62]),
        ("joints.wand.zone", 25.0),
        ("joints.slide.stops", [0, 5]),
        ("clearance.margin", 1.0),
        ("clearance.ignore", [["sleeve", "wand"]]),
        ("drives.slide.linkage.crank", 15.0),  # the slide has no stops: how far it goes is its drive's
        ("drives.slide.pulse", {"low": 1400, "high": 1600}),
        ("servos.standard.travel", 60.0),
    ],
)
def test_what_it_depends_on_has_it_found_anew(slide: posekit.Prop, key: str, value: object) -> None:
    before = told(watch(slide))
    changed = posekit.edit(slide, key, value)
    found = told(watch(changed))
    assert told(watch(slide)) == before
    assert found == told(anew(changed)) != before


def test_a_mesh_file_of_the_same_name_is_another_part(slide: posekit.Prop) -> None:
    before = watch(slide)
    beside = posekit.read({**slide.files, "prop.toml": SLIDE.encode(), "looks/high.csv": b"x"})
    assert watch(beside) is before
    other = posekit.read({**slide.files, "prop.toml": SLIDE.encode(), "sleeve.ply": sleeve(25.0)})
    assert told(watch(other)) == told(anew(other)) != told(before)


def test_no_more_of_them_are_kept_than_undo_and_redo_need(slide: posekit.Prop) -> None:
    for row in range(KEPT_WATCHES + 2):
        last = watch(posekit.edit(slide, "clearance.margin", 1.0 + row / 10))
    assert len(_kept) == KEPT_WATCHES and _kept[-1][1] is last
