"""Corners of hulls, against scipy's hull and against what they are for: distances."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial import ConvexHull

from posekit.clearance.hull import gaps_to_hull, hull_vertices


@pytest.mark.parametrize("seed", range(5))
def test_corners_of_a_cloud_are_those_of_its_hull(seed):
    points = np.random.default_rng(seed).normal(size=(2000, 3)) * [40.0, 20.0, 5.0]
    expected = points[ConvexHull(points).vertices]
    assert {*map(tuple, hull_vertices(points))} == {*map(tuple, expected)}


def test_every_point_of_a_sphere_is_a_corner():
    directions = np.random.default_rng(1).normal(size=(3000, 3))
    points = 75.0 * directions / np.linalg.norm(directions, axis=1)[:, None]
    assert len(hull_vertices(points)) == 3000


def test_no_point_stands_outside_the_corners_of_a_fine_grid():
    grid = np.stack(np.meshgrid(*[np.linspace(-30.0, 30.0, 15)] * 3), axis=-1).reshape(-1, 3)
    corners = hull_vertices(grid)
    assert {*map(tuple, corners)} >= {(x, y, z) for x in (-30, 30) for y in (-30, 30) for z in (-30, 30)}
    assert len(corners) < 60
    assert gaps_to_hull(grid, corners).upper.max() <= 1e-9


@pytest.mark.parametrize("width", [(30.0, 20.0, 0.0), (30.0, 0.0, 0.0), (0.0, 0.0, 0.0)])
def test_flat_and_straight_sets_of_points_have_corners_too(width):
    points = np.random.default_rng(2).uniform(-1.0, 1.0, (300, 3)) * width + [5.0, 6.0, 7.0]
    corners = hull_vertices(points)
    assert gaps_to_hull(points, corners).upper.max() <= 1e-9
    assert len(corners) <= 60
    for axis in range(3):
        assert corners[:, axis].min() == points[:, axis].min()
        assert corners[:, axis].max() == points[:, axis].max()
