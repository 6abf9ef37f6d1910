"""Every pair of every demo prop against coal, at rest and at random values.

Shapes are built here from the prop file alone: meshes are read by trimesh, pieces as JSON, turns by scipy,
so that nothing of posekit's own geometry but the link poses is used to judge it.
"""

from __future__ import annotations

import json
from io import BytesIO

import numpy as np
import pytest
import trimesh
from scipy.spatial.transform import Rotation

import posekit
from posekit.clearance import Watch, distances, separations, watch
from posekit.shape import Box, Capsule, Cylinder, Mesh, Sphere

coal = pytest.importorskip("coal")
pytestmark = pytest.mark.native

POSES = 12
ATOL_MM = 1e-6


def test_every_pair_of_a_demo_prop_is_as_far_apart_as_coal_finds(demo):
    rng = np.random.default_rng(21)
    full = [drive.full_scale for drive in demo.drives]
    values = np.array(
        [[drive.rest_value for drive in demo.drives], *rng.integers(0, full, (POSES, len(full)))]
    )
    position = posekit.positions(demo, posekit.pulses(demo, values))
    world_from_link = posekit.forward(demo, position)
    watched = watch(demo)
    expected = coal_distances(demo, watched, world_from_link)
    found = separations(watched, world_from_link)
    # Neighbours whose zone is left out have their own test; the whole links are never farther apart.
    in_full = [pair not in watched.zones for pair in watched.pairs]
    np.testing.assert_allclose(found.upper[:, in_full], expected[:, in_full], rtol=0.0, atol=ATOL_MM)
    assert (found.lower[:, in_full] <= expected[:, in_full] + ATOL_MM).all()
    assert (found.upper >= expected - ATOL_MM).all()
    assert (found.upper - found.lower <= ATOL_MM).all()
    np.testing.assert_allclose(distances(demo, position), found.upper, rtol=0.0, atol=1e-9)


def coal_distances(prop, watched: Watch, world_from_link):
    """Distances (P, K) [mm] of the pairs of a prop, 0 where they overlap."""
    request = coal.DistanceRequest()
    request.gjk_tolerance = 1e-10
    request.gjk_max_iterations = 1000
    shapes = [
        [piece for shape in link.shapes if shape.solid for piece in coal_shapes(prop, shape)]
        for link in prop.links
    ]
    found = np.empty((len(world_from_link), len(watched.pairs)))
    for p, world in enumerate(world_from_link):
        for k, (a, b) in enumerate(watched.links):
            found[p, k] = min(
                coal.distance(first, pose(world[a] @ at_a), second, pose(world[b] @ at_b), request, result())
                - skins
                for first, at_a, skin_a in shapes[a]
                for second, at_b, skin_b in shapes[b]
                for skins in [skin_a + skin_b]
            )
    return np.maximum(found, 0.0)


def result():
    return coal.DistanceResult()


def coal_shapes(prop, shape):
    """A shape as coal's (shape, place in the link, skin)."""
    at = np.eye(4)
    at[:3, :3] = Rotation.from_euler("xyz", shape.turn, degrees=True).as_matrix()
    at[:3, 3] = shape.at
    match shape.form:
        case Sphere(radius=radius):
            return [(coal.Sphere(radius), at, 0.0)]
        case Capsule(radius=radius, length=length):
            return [(coal.Capsule(radius, length), at, 0.0)]
        case Cylinder(radius=radius, length=length):
            return [(coal.Cylinder(radius, length), at, 0.0)]
        case Box(size=size):
            return [(coal.Box(*size), at, 0.0)]
        case Mesh(path=path, scale=scale, pieces=None):
            mesh = trimesh.load_mesh(BytesIO(prop.files[path]), file_type=path.rsplit(".", 1)[-1])
            return [(hull(mesh.vertices * scale), at, 0.0)]
        case Mesh(scale=scale, pieces=pieces):
            content = json.loads(prop.files[pieces])
            return [
                (hull(np.array(points) * scale), at, content["skin"] * scale) for points in content["pieces"]
            ]


def hull(points):
    """The convex hull of points (N, 3)."""
    vertices = coal.StdVec_Vec3s()
    vertices.extend(list(np.unique(points, axis=0)))
    return coal.Convex.convexHull(vertices, False, None)


def pose(world_from_shape):
    return coal.Transform3s(world_from_shape[:3, :3], world_from_shape[:3, 3])
