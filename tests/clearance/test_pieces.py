"""Convex pieces of meshes: their file, whether they cover the mesh, and how they are made."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest
import trimesh

from posekit.clearance import solids
from posekit.clearance.cover import coverage_findings, uncovered
from posekit.clearance.hull import gaps_to_hull
from posekit.errors import PosekitError
from posekit.prop.model import Clearance, Link, Prop, Shape
from posekit.prop.shapes import sources
from posekit.shape import Box, Mesh
from posekit.shape.piece_file import Pieces, write_pieces

CUBE = np.array([(x, y, z) for x in (0.0, 10.0) for y in (0.0, 10.0) for z in (0.0, 10.0)])


def prop_with(mesh, **files):
    return Prop(
        name="One mesh",
        supply=None,
        servos=(),
        links=(Link(name="jaw", shapes=(Shape(form=mesh, at=(1.0, 2.0, 3.0)),)),),
        joints=(),
        fixed=(),
        drives=(),
        clearance=Clearance(),
        text="",
        files={name.replace("_", "."): data for name, data in files.items()},
    )


def pieces_of(prop):
    ((_, shape, source),) = sources(prop)
    return shape.form.convex_pieces(source)


@pytest.fixture(scope="module")
def bracket():
    """An L of two bars, 60 mm by 60 mm and 20 mm square: its hull fills the corner between them."""
    bar = trimesh.creation.box((60.0, 20.0, 20.0))
    post = trimesh.creation.box((20.0, 40.0, 20.0))
    post.apply_translation((20.0, 30.0, 0.0))
    return trimesh.util.concatenate([bar, post])


def test_pieces_come_back_from_their_file_as_they_were():
    mesh = Mesh(path="a.stl", pieces="a.json")
    pieces = Pieces((CUBE, CUBE + 20.0), 0.25)
    back = pieces_of(prop_with(mesh, a_json=write_pieces(pieces)))
    assert back.skin_mm == pieces.skin_mm
    np.testing.assert_array_equal(back.hulls, pieces.hulls)


def test_the_scale_of_the_mesh_scales_its_pieces_and_their_skin():
    mesh = Mesh(path="a.stl", pieces="a.json", scale=25.4)
    found = pieces_of(prop_with(mesh, a_json=write_pieces(Pieces((CUBE,), 0.5))))
    assert found.skin_mm == pytest.approx(12.7, rel=1e-15)
    np.testing.assert_array_equal(found.hulls[0], CUBE * 25.4)


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"solid stl", "does not hold pieces"),
        (b"[1, 2]", "does not hold pieces"),
        (b'{"format": 2, "skin": 0, "pieces": []}', "its format is '2'"),
        (b'{"format": 1, "skin": 0, "pieces": []}', "must hold lists"),
        (b'{"format": 1, "skin": -1, "pieces": [[[0, 0, 0]]]}', "must hold lists"),
        (b'{"format": 1, "skin": 0, "pieces": [[[0, 0]]]}', "must hold lists"),
        (b'{"format": 1, "skin": 0, "pieces": [[[0, 0, NaN]]]}', "NaN is not a number"),
        (b'{"format": 1, "skin": 0, "pieces": [[]]}', "must hold lists"),
        (b'{"format": 1, "skin": 0, "pieces": [[[0, 0, 1e300]]]}', "beyond 1000000000 mm"),
        (b'{"format": 1, "skin": 0, "pieces": [[[0, 0, 1' + b"0" * 400 + b"]]]}", "does not hold pieces"),
        (b'{"format": 1, "skin": 1e300, "pieces": [[[0, 0, 0]]]}', "must hold lists"),
        (b'{"format": 1, "skin": 0, "pieces": ' + b"[" * 5000 + b"]" * 5000 + b"}", "does not hold pieces"),
        (
            json.dumps({"format": 1, "skin": 0, "pieces": [[[0, 0, 0]] * 5000]}).encode(),
            "of 5000 corners at most",
        ),
        (json.dumps({"format": 1, "skin": 0, "pieces": [[[0, 0, 0]]] * 5000}).encode(), "has 5000 pieces"),
        (b'{"format": 1, "skin": 0}', "does not hold pieces"),
        (b"\xff\xfe\x00", "does not hold pieces"),
    ],
)
def test_a_file_that_holds_no_pieces_is_told_with_its_place(data, told):
    mesh = Mesh(path="a.stl", pieces="a.json")
    with pytest.raises(PosekitError, match=r"links\.jaw\.shapes\[0\]\.pieces = 'a\.json'") as refused:
        solids(prop_with(mesh, a_json=data))
    assert told in str(refused.value)


def test_pieces_that_are_not_in_the_folder_are_told():
    with pytest.raises(PosekitError, match=r"pieces = 'a\.json' is not in the prop folder"):
        solids(prop_with(Mesh(path="a.stl", pieces="a.json")))


def test_a_mesh_without_pieces_is_its_hull_and_a_note_says_so(bracket, two_links):
    mesh = Mesh(path="a.stl")
    parts = solids(prop_with(mesh, a_stl=bracket.export(file_type="stl")))
    assert [(note.level, note.code, note.subject) for note in parts.findings] == [
        ("note", "mesh-as-hull", "links.jaw.shapes[0].mesh")
    ]
    found = {tuple(row) for row in np.round(parts.cores.corners[0].T + parts.centre[0] - (1.0, 2.0, 3.0), 6)}
    assert found == {tuple(row) for row in np.round(bracket.convex_hull.vertices, 6)}


def test_pieces_are_placed_with_their_shape_and_grown_by_their_skin(apart, two_links):
    mesh = Mesh(path="a.stl", pieces="a.json")
    prop = two_links([Shape(form=mesh, at=(5.0, 0.0, 0.0))], Box(size=(10.0, 10.0, 10.0)))
    prop = replace(
        prop, files={"a.json": json.dumps({"format": 1, "skin": 0.5, "pieces": [CUBE.tolist()]}).encode()}
    )
    parts = solids(prop)
    np.testing.assert_allclose(parts.centre[0], (10.0, 5.0, 5.0))
    np.testing.assert_array_equal(parts.radius, (0.5, 0.0))


def test_pieces_that_hold_every_corner_of_a_mesh_leave_nothing_of_it_out(bracket):
    x, y, _ = bracket.vertices.T
    bars = [bracket.vertices[y <= 10.0], bracket.vertices[x >= 10.0]]
    assert uncovered(bracket.vertices, bracket.faces, bars) == pytest.approx(0.0, abs=1e-9)


def test_a_face_that_no_piece_covers_is_measured_though_its_corners_are_covered():
    """A square between two slabs that cover its edges alone: its middle stands 4 mm out of both."""
    square = np.array([(0.0, 0.0, 0.0), (10.0, 0.0, 0.0), (10.0, 10.0, 0.0), (0.0, 10.0, 0.0)])
    faces = np.array([[0, 1, 2], [0, 2, 3]])
    slabs = [square * [1.0, 0.1, 1.0], square * [1.0, 0.1, 1.0] + [0.0, 9.0, 0.0]]
    found = uncovered(square, faces, slabs, within_mm=0.01)
    assert 4.0 <= found <= 4.011


def test_a_mesh_that_stands_out_of_its_pieces_is_warned_of(bracket):
    mesh = Mesh(path="a.stl", pieces="a.json")
    bar = np.array([v for v in bracket.vertices if v[1] <= 10])
    stl = bracket.export(file_type="stl")
    short = prop_with(mesh, a_stl=stl, a_json=write_pieces(Pieces((bar,), 39.0)))
    [told] = coverage_findings(short)
    assert (told.level, told.code, told.subject) == ("error", "pieces-short", "links.jaw.shapes[0].pieces")
    assert "by up to 40.00 mm" in told.message
    assert coverage_findings(prop_with(mesh, a_stl=stl, a_json=write_pieces(Pieces((bar,), 40.0)))) == []


def test_the_pieces_of_the_demo_props_cover_their_meshes(demo):
    assert coverage_findings(demo) == []


@pytest.mark.native
def test_a_decomposed_mesh_is_covered_and_its_hollow_stays_open(bracket):
    pytest.importorskip("coacd")
    from posekit.clearance.decompose import decompose

    pieces = decompose(bracket.vertices, bracket.faces, concavity=0.1, within_mm=0.1)
    assert len(pieces.hulls) >= 2
    assert pieces.skin_mm < 0.5
    assert uncovered(bracket.vertices, bracket.faces, pieces.hulls) <= pieces.skin_mm
    # In the corner between the bars, 25 mm from either; the hull of the whole mesh swallows it.
    corner = np.array([[-15.0, 35.0, 0.0]])
    assert min(gaps_to_hull(corner, hull).lower[0] for hull in pieces.hulls) == pytest.approx(25.0, abs=1.5)
    assert gaps_to_hull(corner, bracket.vertices).upper[0] < 15.0
