"""Surfaces of meshes with known axes: flats, noise, parts of a turn; and what must be told apart from a cylinder."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from posekit.arrays import Array
from posekit.authoring.surface.forms import Form, Kind, linearised, stepped
from posekit.authoring.surface.mesh import nearest_face, walk_of
from posekit.authoring.surface.recognise import Surface, surface_about
from tests.authoring.turned_parts import (
    Mesh,
    cylinder,
    merged,
    noisy,
    placed,
    plate_with_hole,
    sphere,
    torus,
    wall,
)

AXIS = np.array([0.3, -0.5, 0.8]) / np.linalg.norm([0.3, -0.5, 0.8])
POINT = np.array([12.0, -7.0, 30.0])
NOISE_MM = 0.05


def about(mesh: Mesh, at: tuple[float, float, float]) -> Surface:
    """The surface of a mesh, which is turned and moved, about a point of its own frame."""
    vertices, faces = placed((np.concatenate([mesh[0], [at]]), mesh[1]), AXIS, POINT)
    walk = walk_of(vertices[:-1], faces)
    return surface_about(walk, nearest_face(walk, vertices[-1])[0])


def off(found: Surface) -> tuple[float, float]:
    """How far the told axis passes from the known one [mm], and how far it is turned [deg]."""
    assert found.direction is not None
    aside = found.point - POINT
    tilt = np.linalg.norm(np.cross(found.direction, AXIS))
    return float(np.linalg.norm(aside - aside @ AXIS * AXIS)), float(np.degrees(np.arcsin(min(1.0, tilt))))


@pytest.mark.parametrize("flats", [12, 16, 24, 32, 48, 64])
@pytest.mark.parametrize("rings", [2, 9])
def test_a_hole_of_an_exact_mesh_has_its_axis_to_the_digits_of_it(flats: int, rings: int) -> None:
    found = about(plate_with_hole(30, 6, 2.5, flats, rings), (0, 0, 3))
    assert (found.kind, found.is_hole) == ("cylinder", True)
    assert max(off(found)) < 1e-6
    assert found.radius == pytest.approx(2.5, abs=1e-6) and found.length == pytest.approx(6.0, abs=1e-6)
    assert found.share == pytest.approx(1.0, abs=1e-9) and found.rms < 1e-6
    assert len(found.faces) == 2 * flats * (rings - 1)
    assert np.abs(found.point - (POINT + 3 * AXIS)).max() < 1e-6


@pytest.mark.parametrize("flats", [12, 24, 64])
@pytest.mark.parametrize("seed", range(4))
def test_a_noisy_hole_with_a_chamfer_has_its_axis_within_what_is_said_to_be_uncertain(
    flats: int, seed: int
) -> None:
    mesh = noisy(plate_with_hole(30, 6, 2.5, flats, 5, chamfer=0.6), NOISE_MM, seed)
    found = about(mesh, (0, 0, 2.5))
    assert (found.kind, found.is_hole) == ("cylinder", True)
    away, tilt = off(found)
    assert (
        away < 5 * found.uncertain_mm + 3 * np.radians(found.uncertain_deg) and tilt < 4 * found.uncertain_deg
    )
    assert found.uncertain_mm < 0.03 and found.uncertain_deg < 1.0
    assert found.radius == pytest.approx(2.5, abs=0.05) and found.share > 0.9
    assert NOISE_MM / 2 < found.rms < 2 * NOISE_MM


@pytest.mark.parametrize(("flats", "arc"), [(12, 90), (24, 60), (24, 120), (64, 45), (64, 180), (64, 300)])
@pytest.mark.parametrize("noise", [0.0, NOISE_MM])
def test_a_part_of_a_turn_tells_the_axis_and_its_share(flats: int, arc: float, noise: float) -> None:
    found = about(noisy(cylinder(8, 12, round(flats * arc / 360), 6, arc), noise), (8, 0.5, 6))
    assert (found.kind, found.is_hole) == ("cylinder", False)
    away, tilt = off(found)
    assert away < 4 * found.uncertain_mm + 1e-6 and tilt < 4 * found.uncertain_deg + 1e-6
    assert found.share == pytest.approx(round(flats * arc / 360) / flats, abs=0.02)


def test_two_flats_and_a_short_noisy_arc_tell_no_axis() -> None:
    assert about(cylinder(8, 12, 2, 2, 60.0), (8, 0.5, 6)).kind == "none"
    assert about(noisy(cylinder(8, 12, 2, 6, 60.0), NOISE_MM), (8, 0.5, 6)).kind == "none"
    scarce = about(noisy(cylinder(8, 3, 4, 4, 22.5), NOISE_MM), (8, 0.5, 1.5))
    assert scarce.kind in ("none", "plane") and scarce.kind != "cylinder"


@pytest.mark.parametrize("slope", [2.0, 5.0, 20.0, 45.0])
@pytest.mark.parametrize(("flats", "rings", "noise"), [(24, 2, 0.0), (48, 12, 0.0), (48, 12, NOISE_MM)])
def test_a_cone_is_told_with_its_slope(slope: float, flats: int, rings: int, noise: float) -> None:
    heights = np.linspace(0, 10, rings)
    mesh = noisy(wall(6 + heights * np.tan(np.radians(slope)), heights, flats), noise)
    found = about(mesh, (6 + 5 * np.tan(np.radians(slope)), 0.2, 5))
    assert found.kind == "cone"
    assert found.slope_deg == pytest.approx(slope, abs=1e-6 if noise == 0.0 else 0.3)
    assert max(off(found)) < (1e-6 if noise == 0.0 else 0.5)


def test_the_draft_of_a_mould_does_not_hide_a_cylinder() -> None:
    heights = np.linspace(0, 10, 6)
    found = about(wall(6 + heights * np.tan(np.radians(0.5)), heights, 32), (6, 0, 5))
    assert found.kind == "cylinder" and max(off(found)) < 1e-6
    assert found.radius == pytest.approx(6 + 5 * np.tan(np.radians(0.5)), abs=0.01)
    assert 0.02 < found.rms < 0.06


@pytest.mark.parametrize(("flats", "rings"), [(12, 5), (24, 11), (64, 31)])
@pytest.mark.parametrize("noise", [0.0, NOISE_MM])
def test_a_ball_is_a_sphere_even_at_its_equator(flats: int, rings: int, noise: float) -> None:
    found = about(noisy(sphere(10, flats, rings), noise), (10, 0.2, 0.3))
    assert found.kind == "sphere" and found.direction is None
    assert found.radius == pytest.approx(10, abs=1e-6 if noise == 0.0 else 0.05)
    assert np.linalg.norm(found.point - POINT) < (1e-6 if noise == 0.0 else 0.05)


@pytest.mark.parametrize("noise", [0.0, NOISE_MM])
def test_what_is_bent_freely_is_refused(noise: float) -> None:
    ball, faces = sphere(1, 64, 40)
    egg = (ball * [40, 30, 25], faces)
    for mesh, at in ((egg, (40.0, 0.3, 0.3)), (torus(30, 5, 96, 48), (35.0, 0.0, 0.2))):
        found = about(noisy(mesh, noise), at)
        assert (found.kind, found.direction) == ("none", None) and "bent freely" in found.why


@pytest.mark.parametrize("noise", [0.0, NOISE_MM])
def test_the_face_beside_a_hole_is_a_plane_with_its_normal(noise: float) -> None:
    found = about(noisy(plate_with_hole(30, 6, 2.5, 48, 5), noise), (8, 3, 0))
    assert (found.kind, found.is_hole) == ("plane", False)
    assert found.direction is not None and found.direction @ -AXIS > np.cos(np.radians(0.5))
    assert abs((found.point - POINT) @ AXIS) < 0.05


def test_a_round_end_goes_on_into_flat_sides_and_is_a_cylinder_all_the_same() -> None:
    """A slot's end: half a turn, whose sides go on smoothly as planes."""
    angle = np.radians(np.linspace(-90, 90, 17))
    outline = np.stack([4 * np.cos(angle), 4 * np.sin(angle)], -1)
    outline = np.concatenate([[[-20, -4]], outline, [[-20, 4]]])
    rings = np.stack([np.column_stack([outline, np.full(len(outline), z)]) for z in (0.0, 6.0)])
    n = rings.shape[1]
    faces = np.array(
        [(i, i + 1, i + 1 + n) for i in range(n - 1)] + [(i, i + 1 + n, i + n) for i in range(n - 1)]
    )
    found = about((rings.reshape(-1, 3), faces), (4, 0.1, 3))
    assert found.kind == "cylinder" and max(off(found)) < 1e-6
    assert found.share == pytest.approx(0.5, abs=1e-6)
    assert about((rings.reshape(-1, 3), faces), (-10, 4, 3)).kind == "plane"


def test_an_open_edge_and_one_of_three_faces_are_walked_to_their_end() -> None:
    mesh = cylinder(5, 10, 24)
    fin = np.array([[5.0, 0, 0], [5, 0, 10], [9, 0, 5]])
    vertices, faces = merged(np.concatenate([mesh[0], fin]), np.concatenate([mesh[1], [[48, 49, 50]]]))
    assert about((vertices, faces), (-5, 0.1, 5)).kind == "cylinder"


def test_the_nearest_face_is_that_of_all_of_them() -> None:
    """Against the least distance over a thousand points of each face."""
    generator = np.random.default_rng(3)
    vertices, faces = noisy(sphere(10, 12, 7), 0.5, 3)
    walk = walk_of(vertices, faces)
    weights = generator.dirichlet((0.4, 0.4, 0.4), 1000)
    spots = np.einsum("wc,fci->fwi", weights, walk.corners)
    for point in generator.uniform(-14, 14, (20, 3)):
        face, away = nearest_face(walk, point)
        sampled = np.linalg.norm(spots - point, axis=2).min(axis=1)
        assert away <= sampled.min() + 1e-9 and sampled[face] - away < 0.3


@settings(max_examples=25)
@given(kind=st.sampled_from(["cylinder", "cone", "sphere"]), seed=st.integers(0, 10_000))
def test_the_derivatives_of_a_distance_are_those_of_small_steps(kind: Kind, seed: int) -> None:
    generator = np.random.default_rng(seed)
    axis: Array = generator.normal(size=3)
    axis /= np.linalg.norm(axis)
    form = Form(kind, generator.normal(size=3), axis, 3.0, 20.0 if kind == "cone" else 0.0)
    points = generator.normal(0.0, 4.0, (40, 3))
    residual, slopes = linearised(form, points)
    assert np.allclose(residual, form.distances(points))
    for i in range(slopes.shape[1]):
        step = np.zeros(slopes.shape[1])
        step[i] = 1e-6
        # About its own point, which so stays where it is.
        ahead, back = stepped(form, step, form.point), stepped(form, -step, form.point)
        assert ahead is not None and back is not None
        change = (ahead.distances(points) - back.distances(points)) / 2e-6
        assert np.allclose(change, slopes[:, i], rtol=1e-5, atol=1e-5)
