"""Mesh files of every kind posekit reads, written by trimesh, and what it says of those it cannot."""

from __future__ import annotations

import subprocess
import sys

import numpy as np
import pytest
import trimesh

from posekit.errors import PosekitError
from posekit.prop.reader import read
from posekit.prop.shapes import sources
from posekit.shape import Mesh, Source

TEXT = 'format = 1\nname = "Beak"\n[links.head]\n[[links.head.shapes]]\nbox = [1, 1, 1]\n'


def prop_with(path, content, scale=1.0):
    text = TEXT + f'[[links.head.shapes]]\nmesh = "{path}"\nscale = {scale}\n'
    return read({"prop.toml": text.encode(), path: content})


def triangles_of(prop):
    _, (_, shape, source) = sources(prop)
    return shape.form.triangles(source)


def wedge():
    """A solid without symmetry."""
    return trimesh.Trimesh(
        [[0, 0, 0], [40, 0, 0], [0, 25, 0], [5, 5, 60]], [[0, 2, 1], [0, 1, 3], [1, 2, 3], [2, 0, 3]]
    )


def exported(solid, file_type):
    content = solid.export(file_type=file_type)
    return content.encode() if isinstance(content, str) else content


@pytest.mark.parametrize("file_type", ["stl", "stl_ascii", "obj", "ply", "glb", "STL"])
def test_volume_and_centre_are_those_trimesh_computes(file_type):
    content = exported(wedge(), file_type.lower())
    prop = prop_with(f"meshes/wedge.{file_type.removesuffix('_ascii')}", content, scale=2.0)
    vertices, faces = triangles_of(prop)
    assert vertices.shape == (4, 3)
    assert faces.shape == (4, 3)
    found = trimesh.Trimesh(vertices, faces, process=False)
    assert found.is_watertight
    assert found.volume == pytest.approx(wedge().volume * 8, rel=1e-6)
    np.testing.assert_allclose(found.center_mass, wedge().center_mass * 2, atol=1e-5)


def test_a_glb_of_several_parts_is_one_mesh_with_every_part_in_its_place():
    scene = trimesh.Scene()
    scene.add_geometry(
        trimesh.creation.box((2, 2, 2)), transform=trimesh.transformations.translation_matrix((9, 0, 0))
    )
    scene.add_geometry(trimesh.creation.box((4, 4, 4)))
    prop = prop_with("meshes/two.glb", scene.export(file_type="glb"))
    vertices, faces = triangles_of(prop)
    np.testing.assert_allclose([vertices.min(axis=0), vertices.max(axis=0)], [[-2, -2, -2], [10, 2, 2]])
    assert len(faces) == 24


def test_triangles_without_area_and_vertices_without_triangle_are_left_out():
    points = [[0, 0, 0], [1, 0, 0], [2, 0, 0], [0, 1, 0], [50, 50, 50]]
    flat = trimesh.Trimesh(points, [[0, 1, 2], [0, 1, 3], [3, 3, 1]], process=False)
    prop = prop_with("meshes/flat.ply", exported(flat, "ply"))
    vertices, faces = triangles_of(prop)
    assert sorted(vertices[faces[0]].tolist()) == [[0, 0, 0], [0, 1, 0], [1, 0, 0]]
    assert (len(vertices), len(faces)) == (3, 1)


GOOD_STL = exported(wedge(), "stl")


@pytest.mark.parametrize(
    ("path", "content", "said"),
    [
        ("meshes/beak.step", b"ISO-10303-21;", "'step' file; use one of stl, obj, ply, glb"),
        ("meshes/beak.stl", b"", "has 0 bytes but no triangle"),
        ("meshes/beak.stl", GOOD_STL[:-20], "tells of 4 triangles, which take 284 bytes, and has 264"),
        ("meshes/beak.glb", GOOD_STL, "is no GLB file"),
        ("meshes/beak.ply", b"ply\nformat ascii 1.0\nelement vertex 3\nend_header\n", "meshes/beak.ply"),
        ("meshes/beak.obj", b"v 0 0 0\nv 1 0 0\nv 0 1 0\n", "meshes/beak.obj"),
        ("meshes/beak.obj", b"v 0 0 0\nv 1 0 nan\nv 0 1 0\nf 1 2 3\n", "meshes/beak.obj"),
        ("meshes/beak.obj", b"v 0 0 0\nv 1 0 0\nv 2 0 0\nf 1 2 3\n", "has 32 bytes but no triangle"),
    ],
)
def test_a_file_that_is_no_mesh_is_told_with_its_place(path, content, said):
    with pytest.raises(PosekitError) as told:
        prop = prop_with(path, content)
        triangles_of(prop)
    assert said in str(told.value)
    assert "links.head.shapes[1].mesh" in str(told.value)


def test_a_missing_file_is_told_with_those_that_are_there():
    prop = prop_with("meshes/beak.stl", GOOD_STL)
    with pytest.raises(PosekitError) as told:
        Mesh(path="meshes/beek.stl").triangles(Source(prop.files, "links.head.shapes[1]"))
    assert "'meshes/beek.stl' is not in the prop folder; mesh files found there: meshes/beak.stl" in str(
        told.value
    )


def test_meshes_glb_and_stl_need_nothing_but_numpy_trimesh_and_pygltflib():
    # As in a browser, which has no scipy. A module set to None cannot be imported.
    script = """
import sys
for absent in ("scipy", "networkx", "shapely", "PIL", "lxml", "rtree"):
    sys.modules[absent] = None
import trimesh
from posekit.output import gltf, stl
from posekit.pipeline import rest
from posekit.prop.reader import read
solid = trimesh.creation.icosphere()
for kind in ("stl", "obj", "ply", "glb"):
    content = solid.export(file_type=kind)
    text = f'format = 1\\nname = "x"\\n[links.a]\\n[[links.a.shapes]]\\nmesh = "meshes/a.{kind}"\\n'
    text += '[[links.a.shapes]]\\ncapsule = {radius = 5, length = 9}\\n'
    files = {"prop.toml": text.encode(), f"meshes/a.{kind}": content.encode() if isinstance(content, str) else content}
    prop = read(files)
    print(len(gltf.encode(prop, rest(prop))) > 1000, len(stl.encode(prop, rest(prop))) > 1000)
"""
    told = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=False)
    assert told.stdout.split() == ["True"] * 8, told.stderr
