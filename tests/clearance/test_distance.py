"""Distances whose truth is a closed form: computed by hand from the geometry, in units as given."""

from __future__ import annotations

import numpy as np
import pytest

from posekit.clearance import Asked
from posekit.clearance.cores import NO_HULL, Cores, support
from posekit.prop.model import Shape
from posekit.shape import Box, Capsule, Cylinder, Sphere

CUBE = Box(size=(1.0, 1.0, 1.0))
BALL = Sphere(radius=0.5)
ROD = Cylinder(radius=0.5, length=2.0)
DISC = Cylinder(radius=0.5, length=1.0)
ROOT2, ROOT3 = np.sqrt(2.0), np.sqrt(3.0)
STRAIGHT = np.eye(3)


def about(axis, degrees):
    """Rotation about x, y or z."""
    i, j = {"x": (1, 2), "y": (2, 0), "z": (0, 1)}[axis]
    turn = np.eye(3)
    turn[[i, j], [i, j]] = np.cos(np.radians(degrees))
    turn[j, i] = np.sin(np.radians(degrees))
    turn[i, j] = -turn[j, i]
    return turn


# Poses of the second shape; each exact value follows from the drawing alone.
EXACT = [
    (CUBE, CUBE, STRAIGHT, (3, 0, 0), 2.0),
    (CUBE, CUBE, STRAIGHT, (3, 3, 0), 2 * ROOT2),
    (CUBE, CUBE, STRAIGHT, (3, 3, 3), 2 * ROOT3),
    (CUBE, CUBE, STRAIGHT, (0, 3, 0), 2.0),
    (CUBE, CUBE, STRAIGHT, (0, 0, 3), 2.0),
    (CUBE, CUBE, about("z", 45), (3, 0, 0), 2.5 - ROOT2 / 2),
    (CUBE, CUBE, about("y", 90), (1, 2, 1), 1.0),
    (BALL, Capsule(radius=0.25, length=2.0), STRAIGHT, (-2, 0, -0.3), 1.25),
    (BALL, Capsule(radius=0.25, length=2.0), STRAIGHT, (0, -3, -5), 4.25),
    (Capsule(radius=0.1, length=2.0), Capsule(radius=0.2, length=2.0), about("x", 90), (0, 1, 0.5), 0.0),
    (Capsule(radius=0.1, length=2.0), Capsule(radius=0.2, length=2.0), about("y", 90), (0, 1, 0.5), 0.7),
    (Capsule(radius=0.1, length=2.0), Capsule(radius=0.2, length=2.0), STRAIGHT, (0, 1, 0.5), 0.7),
    (Capsule(radius=0.1, length=2.0), Capsule(radius=0.2, length=2.0), STRAIGHT, (0, 0, 3.0), 0.7),
    (CUBE, BALL, STRAIGHT, (0, 0, 2), 1.0),
    (CUBE, Sphere(radius=0.25), STRAIGHT, (1.5, 1.5, 1.5), ROOT3 - 0.25),
    (BALL, Sphere(radius=0.25), STRAIGHT, (1, 2, 2), 2.25),
    (CUBE, ROD, STRAIGHT, (2, 0, 0), 1.0),
    (CUBE, ROD, STRAIGHT, (0, 0, 2.5), 1.0),
    (CUBE, ROD, STRAIGHT, (2, 2, 3), np.hypot(1.5 * ROOT2 - 0.5, 1.5)),
    (ROD, Cylinder(radius=0.25, length=1.0), STRAIGHT, (2, 0, 0), 1.25),
    (ROD, Cylinder(radius=0.25, length=1.0), STRAIGHT, (0, 0, 2), 0.5),
    (DISC, DISC, STRAIGHT, (1, 1, 2), np.hypot(ROOT2 - 1.0, 1.0)),
    (ROD, BALL, STRAIGHT, (3, 4, 0), 4.0),
    (ROD, BALL, STRAIGHT, (3.5, 0, 5), 4.5),
]


@pytest.mark.parametrize(("a", "b", "turn", "at", "exact"), EXACT)
def test_a_distance_with_a_closed_form_is_exact_and_certified(a, b, turn, at, exact, apart):
    found = apart(a, b, turn, at)
    assert found.upper[0] == pytest.approx(exact, abs=1e-9)
    assert exact - 2e-9 <= found.lower[0] <= exact + 1e-14


def test_edges_that_cross_are_measured_from_edge_to_edge(apart):
    found = apart([Shape(form=CUBE, turn=(0.0, 0.0, 45.0))], CUBE, about("y", 45), (3, 0, 0))
    assert found.upper[0] == pytest.approx(3 - ROOT2, abs=1e-12)
    assert found.lower[0] == pytest.approx(3 - ROOT2, abs=1e-12)


@pytest.mark.parametrize(
    ("a", "b", "at"),
    [
        (CUBE, CUBE, (1, 0, 0)),
        (CUBE, CUBE, (1, 0.3, -0.2)),
        (CUBE, CUBE, (1, 1, 1)),
        (BALL, BALL, (0, 0, 1)),
        (BALL, CUBE, (0, 1, 0)),
        (ROD, ROD, (1, 0, 0)),
        (ROD, ROD, (0, 0, 2)),
        (ROD, ROD, (0.6, 0.8, 2)),
        (ROD, CUBE, (0, 0, 1.5)),
    ],
)
def test_shapes_that_touch_are_0_apart(a, b, at, apart):
    found = apart(a, b, STRAIGHT, at)
    assert found.lower[0] == pytest.approx(0.0, abs=1e-15)
    assert found.upper[0] == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize(
    "small", [Box(size=(0.1, 0.2, 0.1)), Sphere(radius=0.1), Cylinder(radius=0.1, length=0.2)]
)
@pytest.mark.parametrize("large", [CUBE, BALL, ROD])
@pytest.mark.parametrize("at", [(0, 0, 0), (0.1, 0, 0), (0.05, -0.1, 0.12)])
def test_a_shape_inside_another_is_0_apart_from_it(small, large, at, apart):
    found = apart(large, small, about("x", 20), at)
    assert found.lower[0] == found.upper[0] == 0.0


@pytest.mark.parametrize("gap", [1e-3, 1e-6, 1e-9])
def test_a_tiny_gap_between_faces_is_measured_not_swallowed(gap, apart):
    found = apart(Box(size=(40, 30, 20)), Box(size=(20, 60, 30)), about("z", 30), (0, 5, 25.0 + gap))
    assert found.upper[0] == pytest.approx(gap, abs=1e-12)
    assert found.lower[0] == pytest.approx(gap, abs=1e-9)


def test_points_of_the_nearest_places_are_as_far_apart_as_the_distance(forms, apart, rotations):
    rng = np.random.default_rng(3)
    for a in forms.values():
        for b in forms.values():
            at = rng.normal(size=(50, 3)) * 60.0
            found = apart(a, b, rotations(rng, 50), at)
            clear = found.upper > 0.0
            assert clear.sum() > 10
            between = (found.point_a - found.point_b)[clear]
            np.testing.assert_allclose(
                np.linalg.norm(between, axis=1), found.upper[clear], rtol=0.0, atol=1e-10
            )
            np.testing.assert_allclose(
                between, found.normal[clear] * found.upper[clear, None], rtol=0.0, atol=1e-9
            )


def test_distance_does_not_care_which_link_comes_first(forms, apart, rotations):
    rng = np.random.default_rng(4)
    turn, at = rotations(rng, 200), rng.normal(size=(200, 3)) * 50.0
    back, from_b = turn.swapaxes(1, 2), -np.einsum("nji,nj->ni", turn, at)
    for a in forms.values():
        for b in forms.values():
            there, here = apart(a, b, turn, at), apart(b, a, back, from_b)
            np.testing.assert_allclose(there.upper, here.upper, rtol=0.0, atol=2e-6)
            assert (np.maximum(there.lower, here.lower) <= np.minimum(there.upper, here.upper) + 1e-12).all()


def test_a_margin_larger_than_the_shapes_changes_nothing_but_the_far_pairs(forms, apart, rotations):
    rng = np.random.default_rng(5)
    turn, at = rotations(rng, 400), rng.normal(size=(400, 3)) * 60.0
    for a in forms.values():
        whole = apart(a, forms["box"], turn, at)
        cut = apart(a, forms["box"], turn, at, Asked(beyond_mm=15.0, points=False))
        far = whole.upper > 15.0
        assert 20 < far.sum() < 380
        np.testing.assert_allclose(cut.upper[~far], whole.upper[~far], rtol=0.0, atol=1e-9)
        assert (cut.lower[far] > 15.0).all()
        assert (cut.lower[far] <= whole.upper[far]).all()
        assert (cut.upper[far] >= whole.lower[far]).all()


def test_pairs_that_are_all_too_far_to_matter_cost_no_narrow_phase(forms, apart):
    at = np.array([[300.0, 0.0, 0.0], [0.0, -400.0, 0.0]])
    found = apart(forms["sphere"], forms["sphere"], STRAIGHT, at, Asked(beyond_mm=10.0))
    np.testing.assert_allclose(found.lower, [266.0, 366.0], rtol=0.0, atol=1e-9)
    np.testing.assert_allclose(found.normal, [[-1.0, 0.0, 0.0], [0.0, 1.0, 0.0]], rtol=0.0, atol=1e-15)
    hulls = apart(forms["hull"], forms["hull"], STRAIGHT, at, Asked(beyond_mm=10.0))
    assert (hulls.lower > 230.0).all()


def test_a_link_of_many_shapes_is_as_far_as_its_nearest_shape(two_links, apart, rotations):
    rng = np.random.default_rng(6)
    row = [Shape(form=BALL, at=(2.0 * i, 0.0, 0.0)) for i in range(5)]
    at = rng.uniform(-4.0, 12.0, (300, 3))
    found = apart(row, BALL, rotations(rng, 300), at)
    centres = np.array([shape.at for shape in row])
    exact = np.linalg.norm(at[:, None] - centres, axis=-1).min(axis=1) - 1.0
    np.testing.assert_allclose(found.upper, np.maximum(exact, 0.0), rtol=0.0, atol=1e-12)


def test_a_turned_shape_is_placed_as_roll_pitch_yaw_about_fixed_axes(apart):
    # A capsule along z, rolled by 90 degrees about x, then yawed by 90 about z, lies along +x or -x.
    lying = [Shape(form=Capsule(radius=1.0, length=10.0), at=(0.0, 0.0, 3.0), turn=(90.0, 0.0, 90.0))]
    found = apart(lying, Sphere(radius=1.0), STRAIGHT, (9.0, 0.0, 3.0))
    assert found.upper[0] == pytest.approx(2.0, abs=1e-12)


def test_a_link_without_solid_shapes_is_infinitely_far_from_all(apart):
    found = apart([Shape(form=CUBE, solid=False)], CUBE, STRAIGHT, (0, 0, 0))
    assert found.lower[0] == found.upper[0] == np.inf


@pytest.mark.parametrize("scale", [1e-3, 1.0, 1e3])
def test_bounds_hold_at_every_scale(scale, apart, rotations):
    """A capsule against a capsule has a closed form whatever the pose: that of two segments."""
    rng = np.random.default_rng(8)
    turn, at = rotations(rng, 500), rng.normal(size=(500, 3)) * 40.0 * scale
    found = apart(
        Capsule(radius=3.0 * scale, length=30.0 * scale),
        Capsule(radius=5.0 * scale, length=50.0 * scale),
        turn,
        at,
    )
    truth = np.maximum(segment_gap(30.0 * scale, 50.0 * scale, turn[:, :, 2], at) - 8.0 * scale, 0.0)
    np.testing.assert_allclose(found.upper, truth, rtol=0.0, atol=1e-11 * scale)
    assert (found.lower <= truth + 1e-14 * scale).all()


def segment_gap(length_a, length_b, axis_b, at):
    """Distance of a segment along z about the origin from segments along axis_b (N, 3) about `at` (N, 3).

    Least over the four ends against the other segment and, where both feet lie inside, the two lines.
    """
    half_a, half_b = length_a / 2, length_b / 2
    axis_a = np.array([0.0, 0.0, 1.0])
    ends = []
    for sign in (-1.0, 1.0):
        end_b = at + sign * half_b * axis_b
        foot = np.clip(end_b[:, 2], -half_a, half_a)[:, None] * axis_a
        ends.append(np.linalg.norm(end_b - foot, axis=1))
        end_a = sign * half_a * axis_a
        along = np.clip(np.einsum("ni,ni->n", end_a - at, axis_b), -half_b, half_b)
        ends.append(np.linalg.norm(at + along[:, None] * axis_b - end_a, axis=1))
    cosine = axis_b[:, 2]
    d, e = at[:, 2], np.einsum("ni,ni->n", at, axis_b)
    s = (d - cosine * e) / (1 - cosine**2)
    t = (cosine * d - e) / (1 - cosine**2)
    lines = np.linalg.norm(at + t[:, None] * axis_b - s[:, None] * axis_a, axis=1)
    inside = (np.abs(s) <= half_a) & (np.abs(t) <= half_b)
    return np.minimum(np.min(ends, axis=0), np.where(inside, lines, np.inf))


@pytest.mark.parametrize("gap", [1.0, 1e-2, 1e-4, 1e-6])
def test_a_gap_left_between_any_two_shapes_is_found_again(gap, forms, apart, rotations):
    """Shape b, moved straight towards a until `gap` mm is left: the way it came is the shortest one."""
    rng = np.random.default_rng(9)
    for a in forms.values():
        for b in forms.values():
            turn, direction = rotations(rng, 300), rng.normal(size=(300, 3))
            at = direction / np.linalg.norm(direction, axis=1)[:, None] * rng.uniform(70.0, 150.0, (300, 1))
            before = apart(a, b, turn, at)
            found = apart(a, b, turn, at + before.normal * (before.upper - gap)[:, None])
            np.testing.assert_allclose(found.upper, gap, rtol=0.0, atol=1e-6)
            assert (found.lower <= gap + 1e-11).all()
            assert (found.upper >= gap - 2e-9).all()
            assert (found.lower >= gap - 2e-6).all()


@pytest.mark.parametrize("lean", [0.0, 5e-324, 1e-308, 1e-200])
def test_the_farthest_point_along_the_axis_of_a_disc_is_a_number_however_little_the_way_leans(lean):
    disc = Cores(
        half=np.zeros((3, 1)), disc=np.array([1e6]), hull=np.array([NO_HULL]), corners=np.empty((0, 3, 0))
    )
    with np.errstate(all="raise", under="ignore"):
        point = support(disc, np.array([[lean], [0.0], [1.0]]))
    assert np.isfinite(point).all()
    assert np.linalg.norm(point) <= 1e6 * (1 + 1e-15)
