"""Fits of cylinder, cone and sphere against scipy's least squares of distances written down apart (published library).

`scipy.optimize.least_squares` moves all numbers of a surface freely, with derivatives by differences; posekit's steps
use closed derivatives. Both must end at the same surface.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import least_squares

from posekit.arrays import Array
from posekit.authoring.surface.forms import Kind, fitted
from tests.authoring.turned_parts import Mesh, cylinder, noisy, placed, sphere, wall

AXIS, POINT = np.array([0.2, 0.9, -0.4]), np.array([30.0, -12.0, 55.0])
HEIGHTS = np.linspace(0, 10, 7)
MESHES: dict[Kind, Mesh] = {
    "cylinder": cylinder(8, 12, 12, 6, 150),
    "cone": wall(6 + HEIGHTS * np.tan(np.radians(17)), HEIGHTS, 18),
    "sphere": sphere(10, 16, 9),
}


def off(kind: Kind, numbers: Array, points: Array) -> Array:
    """Distances [mm]: of a sphere by centre and radius; else by a point, a direction, radius there and slope [rad]."""
    if kind == "sphere":
        return np.linalg.norm(points - numbers[:3], axis=1) - numbers[3]
    axis = numbers[3:6] / np.linalg.norm(numbers[3:6])
    along = (points - numbers[:3]) @ axis
    aside = np.linalg.norm(np.cross(points - numbers[:3], axis), axis=1)
    slope = numbers[7] if kind == "cone" else 0.0
    return (aside - numbers[6] - along * np.tan(slope)) * np.cos(slope)


@pytest.mark.native
@pytest.mark.parametrize("kind", MESHES)
@pytest.mark.parametrize("seed", range(3))
def test_a_fit_leaves_as_little_as_scipys_and_is_the_same_surface(kind: Kind, seed: int) -> None:
    vertices, faces = placed(noisy(MESHES[kind], 0.05, seed), AXIS, POINT)
    cross = np.cross(*(vertices[faces[:, i]] - vertices[faces[:, 0]] for i in (1, 2)))
    areas = np.linalg.norm(cross, axis=1)
    found = fitted(kind, vertices, cross / areas[:, None], areas)
    assert found is not None and found.kind == kind
    start = [*POINT, 9.0] if kind == "sphere" else [*(POINT + 4 * AXIS), *AXIS, 8.0]
    start += [0.2] if kind == "cone" else []
    right = least_squares(
        lambda numbers: off(kind, numbers, vertices), start, xtol=1e-14, ftol=1e-14, gtol=1e-14
    )
    ours, theirs = found.distances(vertices), off(kind, right.x, vertices)
    assert ours @ ours <= theirs @ theirs * (1 + 1e-9)
    assert np.abs(ours - theirs).max() < 1e-5
    if kind != "sphere":
        axis = right.x[3:6] / np.linalg.norm(right.x[3:6])
        assert np.linalg.norm(np.cross(axis, found.axis)) < 1e-6
        assert np.linalg.norm(np.cross(right.x[:3] - found.point, axis)) < 1e-5
