"""Depths of overlap: closed forms, the separating-axis test for boxes, and coal."""

from __future__ import annotations

import numpy as np
import pytest

from posekit.clearance.penetration import penetration
from posekit.clearance.solids import solids
from posekit.prop.model import Shape
from posekit.shape import Box, Capsule, Cylinder, Sphere
from posekit.transforms import rotation_rpy

CUBE = Box(size=(1.0, 1.0, 1.0))
BALL = Sphere(radius=0.5)
ROD = Cylinder(radius=0.5, length=2.0)
PEG = Capsule(radius=0.25, length=2.0)
ACROSS = np.array([[0.0, 0.0, 1.0], [0.0, 1.0, 0.0], [-1.0, 0.0, 0.0]])


@pytest.fixture
def deep(two_links):
    """Penetration of form b at a rotation and a translation into form a."""

    def measure(a, b, rotation, translation):
        pose = np.eye(4)
        pose[:3, :3], pose[:3, 3] = rotation, translation
        return penetration(solids(two_links(a, b)), 0, 1, pose)

    return measure


@pytest.mark.parametrize(
    ("a", "b", "turn", "at", "exact"),
    [
        (CUBE, CUBE, np.eye(3), (0.9, 0, 0), 0.1),
        (CUBE, CUBE, np.eye(3), (0.7, 0.2, 0.1), 0.3),
        (CUBE, CUBE, np.eye(3), (0, 0, 0), 1.0),
        (BALL, BALL, np.eye(3), (0.75, 0, 0), 0.25),
        (BALL, BALL, np.eye(3), (0, 0, 0), 1.0),
        (PEG, PEG, np.eye(3), (0, 0.25, 0.5), 0.25),
        (PEG, PEG, np.eye(3), (0, 0, 0.5), 0.5),
        (PEG, PEG, ACROSS, (0, 0, 0), 0.5),
        (PEG, PEG, ACROSS, (0, 0.2, 0.3), 0.3),
        (ROD, ROD, np.eye(3), (0.9, 0, 0), 0.1),
        (ROD, ROD, np.eye(3), (0, 0, 1.7), 0.3),
        (ROD, BALL, np.eye(3), (0, 0.8, 0), 0.2),
        (CUBE, BALL, np.eye(3), (0, 0, 0), 1.0),
        (CUBE, BALL, np.eye(3), (0, 0.9, 0), 0.1),
        (CUBE, ROD, np.eye(3), (0, 0, 1.25), 0.25),
    ],
)
def test_a_depth_with_a_closed_form_is_told_to_a_millionth(a, b, turn, at, exact, deep):
    found = deep(a, b, turn, at)
    assert found.mm == pytest.approx(exact, abs=1e-6)
    assert found.least_mm == pytest.approx(exact, abs=2e-6)


@pytest.mark.native  # a search over the depths that are tried there
def test_moving_a_link_by_its_depth_along_the_normal_just_frees_it(forms, deep, apart, rotations):
    rng = np.random.default_rng(11)
    for a in forms.values():
        for b in forms.values():
            for turn, at in zip(rotations(rng, 6), rng.uniform(-8.0, 8.0, (6, 3)), strict=True):
                found = deep(a, b, turn, at)
                assert found.mm > 1.0
                assert np.linalg.norm(found.normal) == pytest.approx(1.0, abs=1e-12)
                way = found.normal * found.mm
                assert apart(a, b, turn, at - 0.999 * way).upper[0] == 0.0
                freed = apart(a, b, turn, at - 1.001 * way)
                assert 0.0 < freed.lower[0] <= 0.0011 * found.mm
                ways = rotations(rng, 8)[:, 0] * 0.999 * found.least_mm
                assert (apart(a, b, turn, at - ways).upper == 0.0).all()
                assert found.mm - 2e-6 <= found.least_mm <= found.mm + 1e-12
                np.testing.assert_allclose(found.point_b - found.point_a, way, rtol=0.0, atol=2e-6)


def test_the_depth_of_boxes_is_that_of_the_separating_axis_test(forms, deep, rotations):
    """Gottschalk, Lin, Manocha: the 15 axes of two boxes; the least overlap is the depth."""
    rng = np.random.default_rng(12)
    box = forms["box"]
    half = np.array(box.size) / 2
    deepest = 0.0
    for turn, at in zip(rotations(rng, 200), rng.uniform(-15.0, 15.0, (200, 3)), strict=True):
        axes = np.concatenate((np.eye(3), turn.T, np.cross(np.eye(3)[:, None], turn.T[None]).reshape(-1, 3)))
        axes = axes[np.linalg.norm(axes, axis=1) > 1e-9]
        axes /= np.linalg.norm(axes, axis=1)[:, None]
        overlap = np.abs(axes) @ half + np.abs(axes @ turn) @ half - np.abs(axes @ at)
        if overlap.min() > 0.0:
            assert deep(box, box, turn, at).mm == pytest.approx(overlap.min(), abs=1e-9)
            deepest = max(deepest, overlap.min())
    assert deepest > 15.0


@pytest.mark.native
@pytest.mark.parametrize("kind", ["box", "cylinder", "capsule"])
def test_depths_are_those_of_coal(kind, forms, deep, rotations):
    coal = pytest.importorskip("coal")
    form = forms[kind]
    theirs = {
        "box": lambda: coal.Box(*form.size),
        "cylinder": lambda: coal.Cylinder(form.radius, form.length),
        "capsule": lambda: coal.Capsule(form.radius, form.length),
    }[kind]()
    box = coal.Box(*forms["box"].size)
    request = coal.DistanceRequest()
    request.gjk_tolerance = 1e-10
    request.epa_tolerance = 1e-10
    request.epa_max_iterations = 1000
    rng = np.random.default_rng(13)
    for turn, at in zip(rotations(rng, 40), rng.uniform(-8.0, 8.0, (40, 3)), strict=True):
        expected = -coal.distance(
            box, coal.Transform3s(), theirs, coal.Transform3s(turn, at), request, coal.DistanceResult()
        )
        assert expected > 0.0
        assert deep(forms["box"], form, turn, at).mm == pytest.approx(expected, abs=1e-5)


@pytest.mark.parametrize("tilt_deg", [180.007965623476, -0.003164303777659374, 0.010953032250052912, 0.0])
def test_a_wire_in_a_drum_ends_with_a_depth_that_holds(deep, apart, rotations, tilt_deg):
    """Nearly parallel round parts scatter what a new vertex of the polytope sees: it must not grow for ever.

    The way out is across the common axis, by the two radii.
    """
    wire, drum = Cylinder(radius=0.5, length=500.0), Cylinder(radius=12.0, length=50.0)
    turn, at = rotation_rpy((tilt_deg, 0.0, tilt_deg)), np.array([0.0, 0.0, -3.530438699320138])
    found = deep(wire, drum, turn, at)
    assert found.mm == pytest.approx(12.5, abs=5e-3)
    assert 0.0 <= found.least_mm <= 12.5
    assert apart(wire, drum, turn, at - found.normal * (found.mm + 1e-6)).lower[0] > 0.0
    ways = rotations(np.random.default_rng(14), 40)[:, 0] * 0.999 * found.least_mm
    assert (apart(wire, drum, turn, at - ways).upper == 0.0).all()


def test_links_of_many_shapes_tell_their_deepest_pair(deep):
    row = [Shape(form=BALL, at=(3.0 * i, 0.0, 0.0)) for i in range(3)]
    found = deep(
        row, [Shape(form=BALL, at=(0.9, 0, 0)), Shape(form=BALL, at=(6.4, 0, 0))], np.eye(3), (0, 0, 0)
    )
    assert found.mm == pytest.approx(0.6, abs=1e-12)
    np.testing.assert_allclose(found.point_a, (6.5, 0, 0), rtol=0.0, atol=1e-12)


def test_links_that_are_apart_have_no_depth(deep):
    assert deep(CUBE, BALL, np.eye(3), (0, 0, 3)).mm == 0.0
