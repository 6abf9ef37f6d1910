"""Distances of every two kinds of shape against coal (BSD-3-Clause), thousands of poses each.

coal's own tolerance is set to 1e-10; at its default of 1e-6 it is no reference to 1e-8. python-fcl is
none either: in axis-aligned poses it over-estimates box distances by up to their size.
"""

from __future__ import annotations

from itertools import combinations_with_replacement, product

import numpy as np
import pytest

coal = pytest.importorskip("coal")
pytestmark = pytest.mark.native

KINDS = ("sphere", "capsule", "box", "cylinder", "hull")
PAIRS = list(combinations_with_replacement(KINDS, 2))


@pytest.fixture(scope="module")
def coal_shapes(forms, stone):
    points = coal.StdVec_Vec3s()
    points.extend(list(stone))
    box, capsule, cylinder = forms["box"], forms["capsule"], forms["cylinder"]
    return {
        "sphere": coal.Sphere(forms["sphere"].radius),
        "capsule": coal.Capsule(capsule.radius, capsule.length),
        "box": coal.Box(*box.size),
        "cylinder": coal.Cylinder(cylinder.radius, cylinder.length),
        "hull": coal.Convex.convexHull(points, False, None),
    }


@pytest.fixture(scope="module")
def reference(coal_shapes):
    """Signed distance (N,) [mm] that coal finds: negative where shapes overlap."""

    def distances(a, b, rotation, translation):
        request = coal.DistanceRequest()
        request.gjk_tolerance = 1e-10
        request.gjk_max_iterations = 1000
        found = []
        for turn, at in zip(rotation, translation, strict=True):
            result = coal.DistanceResult()
            pose = coal.Transform3s(turn, at)
            found.append(
                coal.distance(coal_shapes[a], coal.Transform3s(), coal_shapes[b], pose, request, result)
            )
        return np.array(found)

    return distances


def assert_agree(found, expected, a, b):
    """Every distance within 1e-8 mm of coal's, and certified as closely.

    Curved edges: two cylinders within 1e-6 mm, since there coal itself is off by as much (see below), and
    a certificate of 1e-6 mm where they all but touch.
    """
    atol = 1e-6 if (a, b) == ("cylinder", "cylinder") else 1e-8
    np.testing.assert_allclose(found.upper, expected, rtol=0.0, atol=atol)
    assert (found.lower <= expected + atol).all()
    certified = np.where((expected < 1e-3) & ("cylinder" in (a, b)), 1e-6, 1e-8)
    assert (found.upper - found.lower <= certified).all()


@pytest.mark.parametrize(("a", "b"), PAIRS)
def test_distances_in_random_poses_are_those_of_coal(a, b, forms, apart, rotations, reference):
    rng = np.random.default_rng(7)
    rotation, direction = rotations(rng, 2000), rng.normal(size=(2000, 3))
    translation = direction / np.linalg.norm(direction, axis=1)[:, None] * rng.uniform(20.0, 150.0, (2000, 1))
    expected = np.maximum(reference(a, b, rotation, translation), 0.0)
    assert 100 < np.count_nonzero(expected == 0.0) < 1500
    assert_agree(apart(forms[a], forms[b], rotation, translation), expected, a, b)


@pytest.mark.parametrize(("a", "b"), PAIRS)
def test_distances_in_symmetric_poses_are_those_of_coal(a, b, forms, apart, reference):
    """Axes along each other, across, or at 45 degrees; centres on a grid: faces parallel, edges in line."""
    half = np.sqrt(0.5)
    turns = [np.eye(3), np.eye(3)[[1, 2, 0]], np.eye(3)[[2, 0, 1]]]
    turns += [np.array([[half, -half, 0.0], [half, half, 0.0], [0.0, 0.0, 1.0]])]
    turns += [np.array([[1.0, 0.0, 0.0], [0.0, half, -half], [0.0, half, half]])]
    grid = list(product((-60.0, 0.0, 30.0), (-25.0, 0.0, 50.0), (-45.0, -35.0, 0.0, 35.0, 70.0)))
    rotation = np.array([turn for turn in turns for _ in grid])
    translation = np.array([at for _ in turns for at in grid])
    expected = np.maximum(reference(a, b, rotation, translation), 0.0)
    assert_agree(apart(forms[a], forms[b], rotation, translation), expected, a, b)


def test_where_coal_is_low_on_two_cylinders_projections_decide(forms, apart, reference):
    """From-outside truth: alternating projections onto two convex sets come down to their distance."""
    turn, at = np.eye(3)[[2, 0, 1]], np.array([30.0, -25.0, -35.0])
    on_b = at
    for _ in range(20_000):
        on_a = nearest_in_cylinder(on_b, forms["cylinder"])
        on_b = turn @ nearest_in_cylinder(turn.T @ (on_a - at), forms["cylinder"]) + at
    truth = np.linalg.norm(on_a - on_b)
    found = apart(forms["cylinder"], forms["cylinder"], turn[None], at[None])
    assert found.lower[0] <= truth + 1e-12
    assert found.upper[0] == pytest.approx(truth, abs=2e-9)
    assert reference("cylinder", "cylinder", turn[None], at[None])[0] < truth - 5e-8


def nearest_in_cylinder(point, cylinder):
    """The point of a cylinder nearest to a point outside: clamp the radius, clamp the height."""
    across = np.hypot(*point[:2])
    scale = min(1.0, cylinder.radius / across)
    z = np.clip(point[2], -cylinder.length / 2, cylinder.length / 2)
    return np.array([point[0] * scale, point[1] * scale, z])
