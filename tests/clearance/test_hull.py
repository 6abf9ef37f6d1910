"""Corners of hulls, against scipy's hull and against what they are for: distances."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from scipy.spatial import ConvexHull

from posekit.budgets import HULL_CORNERS
from posekit.clearance import hull
from posekit.clearance.gjk import Gap
from posekit.clearance.hull import SKIN_SHARE, gaps_to_hull, hull_of
from posekit.clearance.solids import FLOAT32


@pytest.mark.parametrize("seed", range(5))
def test_corners_of_a_cloud_are_those_of_its_hull(seed):
    points = np.random.default_rng(seed).normal(size=(2000, 3)) * [40.0, 20.0, 5.0]
    expected = points[ConvexHull(points).vertices]
    assert {*map(tuple, hull_of(points).corners)} == {*map(tuple, expected)}


def sphere(count, radius):
    directions = np.random.default_rng(1).normal(size=(count, 3))
    return radius * directions / np.linalg.norm(directions, axis=1)[:, None]


def test_every_point_of_a_sphere_is_a_corner():
    found = hull_of(sphere(900, 75.0))
    assert len(found.corners) == 900
    assert found.skin_mm == 0.0


def test_a_hull_of_too_many_corners_has_fewer_and_a_skin_that_holds_the_rest():
    points = sphere(4000, 75.0)
    found = hull_of(points)
    assert len(found.corners) == HULL_CORNERS
    beyond = outside(points, found.corners)
    assert 0.01 < beyond <= found.skin_mm <= beyond + 75.0 * 2 * SKIN_SHARE
    assert found.skin_mm < 0.01 * 75.0


def outside(points, corners):
    """How far [mm] the points (N, 3) stand outside the hull of the corners, by the planes of scipy's hull of these."""
    planes = ConvexHull(corners).equations
    # A lower bound of the distance, which is reached over a face, and 0 inside.
    return float(max((points @ planes[:, :3].T + planes[:, 3]).max(), 0.0))


def printed(mesh, turn):
    """Vertices (N, 3) of a mesh, turned by `turn` (3, 3), as its binary STL holds them: in float32."""
    vertices = np.asarray(mesh.vertices) @ turn.T
    content = trimesh.Trimesh(vertices, mesh.faces, process=False).export(file_type="stl")
    read = np.frombuffer(content, np.dtype([("n", "<f4", 3), ("p", "<f4", (3, 3)), ("a", "<u2")]), offset=84)
    return read["p"].reshape(-1, 3).astype(float)


def plate(seed, splits):
    mesh = trimesh.creation.box(np.random.default_rng(seed).uniform(5.0, 120.0, 3))
    for _ in range(splits):
        mesh = mesh.subdivide()
    return mesh


def rod(seed, splits):
    rng = np.random.default_rng(seed)
    mesh = trimesh.creation.cylinder(rng.uniform(3.0, 40.0), rng.uniform(5.0, 120.0), sections=24)
    for _ in range(splits):
        mesh = mesh.subdivide()
    return mesh


@pytest.mark.parametrize("solid", [plate, rod])
@pytest.mark.parametrize(
    "seed", [*range(6), *(pytest.param(seed, marks=pytest.mark.long) for seed in range(6, 60))]
)
@pytest.mark.parametrize("within", [0.0, FLOAT32 * 120.0])
def test_the_hull_of_a_printed_part_is_found_and_is_that_of_scipy(solid, seed, within, rotations):
    """Rounding to float32 leaves hills all over the flat sides, on which a search for corners must not stand still."""
    (turn,) = rotations(np.random.default_rng(seed), 1)
    points = printed(solid(seed, 2 + seed % 2), turn)
    found = hull_of(points, within)
    assert {*map(tuple, found.corners)} <= {*map(tuple, points)}
    size = float(np.ptp(points, axis=0).max())
    assert outside(points, found.corners) <= found.skin_mm + 1e-11 * size
    assert found.skin_mm <= within
    whole, lean = ConvexHull(points).volume, ConvexHull(found.corners).volume
    assert lean == pytest.approx(whole, rel=1e-11 if not within else 1e-6)
    if within:
        assert len(found.corners) <= (8 if solid is plate else 100)


def test_distances_that_rounding_spoils_name_a_point_more_each_round_and_never_the_same_again(monkeypatch):
    """Whatever the distances are: a search that trusts them to bring a new corner would not end."""

    def spoilt(points, corners, tolerance_mm=0.0):
        count = len(points)
        return Gap(
            np.ones(count), np.ones(count), np.tile([[1.0], [0.0], [0.0]], count), np.empty((3, count))
        )

    monkeypatch.setattr(hull, "gaps_to_hull", spoilt)
    points = sphere(300, 10.0)
    assert {*map(tuple, hull_of(points).corners)} == {*map(tuple, points)}


def test_no_point_stands_outside_the_corners_of_a_fine_grid():
    grid = np.stack(np.meshgrid(*[np.linspace(-30.0, 30.0, 15)] * 3), axis=-1).reshape(-1, 3)
    corners = hull_of(grid).corners
    assert {*map(tuple, corners)} >= {(x, y, z) for x in (-30, 30) for y in (-30, 30) for z in (-30, 30)}
    assert len(corners) < 60
    assert gaps_to_hull(grid, corners).upper.max() <= 1e-9


@pytest.mark.parametrize("width", [(30.0, 20.0, 0.0), (30.0, 0.0, 0.0), (0.0, 0.0, 0.0)])
def test_flat_and_straight_sets_of_points_have_corners_too(width):
    points = np.random.default_rng(2).uniform(-1.0, 1.0, (300, 3)) * width + [5.0, 6.0, 7.0]
    corners = hull_of(points).corners
    assert gaps_to_hull(points, corners).upper.max() <= 1e-9
    assert len(corners) <= 60
    for axis in range(3):
        assert corners[:, axis].min() == points[:, axis].min()
        assert corners[:, axis].max() == points[:, axis].max()
