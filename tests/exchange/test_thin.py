"""Thinned surfaces lie no farther off than they say; trimesh measures the distances."""

from __future__ import annotations

import sys

import numpy as np
import pytest
import trimesh

from posekit.exchange.thin import thinned
from posekit.shape.bulk import is_closed
from posekit.shape.mesh_file import merged

if sys.platform == "emscripten":
    pytest.skip("a browser thins nothing", allow_module_level=True)
from trimesh.proximity import closest_point

pytestmark = pytest.mark.native


def pear(level=5):
    """A bulging closed skin of 20 * 4^level triangles, 60 mm large."""
    mesh = trimesh.creation.icosphere(level, 30.0)
    v = np.asarray(mesh.vertices)
    return v * (1 + 0.1 * np.sin(v[:, [0]] / 6) * np.cos(v[:, [1]] / 7)), np.asarray(mesh.faces)


def open_bowl():
    vertices, faces = pear()
    return merged(vertices, faces[(vertices[faces][:, :, 2] < 10.0).all(axis=1)])


def farthest(vertices, faces, other_vertices, other_faces):
    """How far random points on one surface lie from another at most [mm], by trimesh."""
    on = trimesh.Trimesh(vertices, faces, process=False)
    points = trimesh.sample.sample_surface(on, 1500, seed=7)[0]
    return closest_point(trimesh.Trimesh(other_vertices, other_faces, process=False), points)[1].max()


@pytest.mark.parametrize(("skin", "within"), [(pear(), 0.2), (pear(), 1.0), (open_bowl(), 0.2)])
def test_a_thinned_skin_lies_within_what_was_allowed_both_ways(skin, within):
    vertices, faces = skin
    thin = thinned(vertices, faces, within)
    assert thin is not None
    assert thin.deviation_mm <= within
    assert len(thin.faces) < len(faces) / 4
    assert farthest(vertices, faces, thin.vertices, thin.faces) <= thin.deviation_mm + 1e-9
    assert farthest(thin.vertices, thin.faces, vertices, faces) <= within
    assert is_closed(thin.faces) == is_closed(faces)


def test_a_skin_that_needs_all_its_triangles_stays():
    rng = np.random.default_rng(3)
    mesh = trimesh.creation.icosphere(4, 30.0)
    rough = mesh.vertices * (1 + 0.1 * rng.random((len(mesh.vertices), 1)))
    assert thinned(np.asarray(rough), np.asarray(mesh.faces), 0.01) is None
