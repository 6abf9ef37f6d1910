"""Hollows between the pieces of a mesh: found against scipy's label of a grid, and told wherever clearance is."""

from __future__ import annotations

import json
from itertools import product

import numpy as np
import pytest
import trimesh

import posekit
from posekit.clearance import hollow
from posekit.clearance.hollow import filling, has_inside
from posekit.report.check import check_report
from posekit.report.envelope import envelope_report

EDGE = 100.0
SKIN = 0.1


def block(low, high):
    """The corners (8, 3) [mm] of a box."""
    return np.array(list(product(*zip(low, high, strict=True))), float)


def walls(thick):
    """Six slabs [mm] that cover the surface of a cube of EDGE about the origin."""
    half, found = EDGE / 2, []
    for axis, side in product(range(3), (-1, 1)):
        low, high = np.full(3, -half), np.full(3, half)
        low[axis], high[axis] = sorted((side * half, side * (half - thick)))
        found.append(block(low, high))
    return found


def cube(edge=EDGE):
    return trimesh.creation.box((edge,) * 3)


def in_mesh(mesh, hulls, within_mm=4.0):
    return filling(np.asarray(mesh.vertices), np.asarray(mesh.faces), hulls, SKIN, within_mm)


@pytest.mark.parametrize("thick", [2.0, 10.0, 44.0])
def test_a_shell_of_pieces_has_one_hollow_which_is_found(thick):
    found = in_mesh(cube(), walls(thick))
    assert found.within_mm == 4.0
    [only] = found.hollows
    room = EDGE / 2 - thick - SKIN
    assert 0.0 < only.radius_mm <= room - np.abs(only.centre).max() + 1e-9
    assert only.radius_mm >= room / 4


def test_a_filled_shell_has_none():
    assert in_mesh(cube(), [*walls(10.0), block([-41.0] * 3, [41.0] * 3)]).hollows == ()
    assert in_mesh(cube(), walls(50.0)).hollows == ()


def test_a_slit_that_holds_a_ball_of_the_size_asked_for_is_found():
    halves = [block([-41.0] * 3, [41.0, 41.0, -8.5]), block([-41.0, -41.0, 0.0], [41.0] * 3)]
    [slit] = in_mesh(cube(), [*walls(10.0), *halves]).hollows
    assert -8.5 < slit.centre[2] < 0.0


def test_the_hollow_of_a_mesh_with_an_inner_surface_is_not_inside_it():
    inner = cube(EDGE - 20.0)
    inner.invert()
    assert in_mesh(trimesh.util.concatenate([cube(), inner]), walls(10.0)).hollows == ()


def test_the_hole_of_a_ring_is_not_inside_it():
    ring = trimesh.creation.annulus(20.0, 40.0, 60.0, sections=12)
    around = 2 * np.pi * np.arange(13) / 12
    rim = np.stack([np.cos(around), np.sin(around)], axis=1)
    sectors = [
        np.array([(*(r * rim[k]), z) for k in (i, i + 1) for r in (20.0, 40.0) for z in (-30.0, 30.0)])
        for i in range(12)
    ]
    assert in_mesh(ring, sectors).hollows == ()


def test_a_mesh_whose_faces_point_inwards_has_the_same_hollow():
    turned = cube()
    turned.invert()
    [there], [here] = (in_mesh(mesh, walls(10.0), 10.0).hollows for mesh in (cube(), turned))
    np.testing.assert_array_equal(here.centre, there.centre)


def test_chains_and_trees_of_pieces_are_known_to_enclose_nothing_without_a_look(monkeypatch):
    monkeypatch.setattr(hollow, "_free", lambda *_: pytest.fail("looked"))
    chain = [block([x, -5.0, -5.0], [x + 11.0, 5.0, 5.0]) for x in range(0, 90, 10)]
    branch = [block([40.0, y, -5.0], [50.0, y + 11.0, 5.0]) for y in range(5, 60, 10)]
    assert in_mesh(cube(), [*chain, *branch]).hollows == ()


@pytest.mark.parametrize("seed", range(3))
def test_hollows_are_those_that_a_fine_grid_shows(seed):
    """Random blocks inside a shell: the stretches of free space by scipy's label of a grid of 1 mm, in which a step
    goes through faces. Each that holds a ball of 4 mm is found, and nothing else is."""
    ndimage = pytest.importorskip("scipy.ndimage")
    rng = np.random.default_rng(seed)
    inside = [
        block(at, np.minimum(at + rng.integers(20, 80, 3), 44)) for at in rng.integers(-44, 20, (10, 3))
    ]
    hulls = [*walls(6.0), *inside]
    ticks = np.arange(-44.5, 45.0, 1.0)
    points = np.stack(np.meshgrid(ticks, ticks, ticks, indexing="ij"), axis=-1)
    room = np.min(
        [
            np.linalg.norm(np.maximum(np.maximum(h.min(axis=0) - points, points - h.max(axis=0)), 0), axis=-1)
            for h in hulls
        ],
        axis=0,
    )
    label, count = ndimage.label(room > SKIN)
    widest = ndimage.maximum(room, label, range(1, count + 1)) - SKIN
    found = in_mesh(cube(), hulls, within_mm=4.0)
    assert found.within_mm == 4.0
    where = [label[tuple(np.rint(each.centre + 44.5).astype(int))] for each in found.hollows]
    assert 0 not in where
    assert set(where) >= {row + 1 for row in range(count) if widest[row] >= 4.0}
    for each, stretch in zip(found.hollows, where, strict=True):
        assert each.radius_mm <= widest[stretch - 1] + 3**0.5


def test_where_the_boxes_are_used_up_what_is_known_is_said(monkeypatch):
    monkeypatch.setattr(hollow, "BOXES", 3000)
    found = in_mesh(cube(), walls(10.0), within_mm=0.5)
    assert 0.5 < found.within_mm < 40.0
    assert len(found.hollows) == 1


def test_faces_have_an_inside_if_each_edge_is_gone_along_both_ways():
    assert has_inside(cube().faces)
    assert not has_inside(cube().faces[1:])
    two = trimesh.util.concatenate([cube(), cube()])
    two.merge_vertices()
    assert has_inside(two.faces)


TEXT = """
format = 1
name = "Egg"
[servos.plain]
travel = 180.0
[links.egg]
[[links.egg.shapes]]
mesh = "egg.stl"
pieces = "egg.json"
at = [0, 0, 30]
[links.yolk]
[[links.yolk.shapes]]
sphere = {{radius = 10}}
[joints.turn]
type = "revolute"
parent = "egg"
child = "yolk"
at = [0, 0, 30]
zone = 0.5
[drives.turn]
servo = "plain"
joint = "turn"
address = 1
pulse = {{low = 1000, high = 2000}}
[clearance]
margin = {margin}
"""


def egg(mesh, hulls, margin=4.0):
    kept = {"format": 1, "skin": SKIN, "pieces": [hull.tolist() for hull in hulls]}
    files = {"egg.stl": mesh.export(file_type="stl"), "egg.json": json.dumps(kept).encode()}
    return posekit.read({"prop.toml": TEXT.format(margin=margin).encode(), **files})


def test_a_part_in_the_hollow_of_anothers_pieces_is_never_just_clear():
    """The gravest case: the yolk stands in the solid of the egg, 30 mm from the pieces that are to stand for it."""
    prop = egg(cube(), walls(10.0))
    for report in (check_report(prop), envelope_report(prop)):
        [told] = [each for each in report.findings if each.code == "pieces-hollow"]
        assert (told.level, told.subject) == ("error", "links.egg.shapes[0].pieces")
        assert "mm wide or more, about (" in told.message and "in 'egg'" in told.message
    x, y, z = (
        float(word.strip("()")) for word in told.message.partition("about ")[2].split(" mm")[0].split(",")
    )
    assert np.abs(np.array([x, y, z]) - [0, 0, 30]).max() < 40.0
    assert [
        each.code for each in check_report(egg(cube(), walls(50.0))).findings if "pieces" in each.code
    ] == []


def test_a_mesh_that_is_not_closed_is_told_where_pieces_could_leave_its_inside_out():
    open_ = cube()
    open_.update_faces(np.arange(len(open_.faces)) > 0)
    codes = [(each.level, each.code) for each in check_report(egg(open_, walls(50.0))).findings]
    assert ("warning", "pieces-open") in codes


def test_a_margin_too_small_to_look_for_is_told(monkeypatch):
    monkeypatch.setattr(hollow, "BOXES", 3000)
    told = [
        each for each in check_report(egg(cube(), walls(50.0))).findings if each.code == "pieces-hollow-small"
    ]
    assert [each.level for each in told] == ["note"]
    assert "less than" in told[0].message
