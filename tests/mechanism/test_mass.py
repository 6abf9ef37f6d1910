"""Mass, volume and centre of links: closed forms and signed tetrahedra against trimesh on real meshes."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import trimesh
from hypothesis import given
from hypothesis import strategies as st

import posekit
from posekit.mechanism.mass import mass_findings, masses
from posekit.shape.bulk import is_closed, mesh_bulk

SIZE = st.floats(1.0, 100.0)
TRIPLE = st.tuples(*[st.floats(-180.0, 180.0)] * 3)

PROP = """
format = 1
name = "block"
[links.body]
{link}
"""


def prop_with(link: str, files: dict[str, bytes] | None = None) -> posekit.Prop:
    return posekit.read({"prop.toml": PROP.format(link=link).encode()} | (files or {}))


def ply(mesh: Any) -> bytes:
    content: bytes = mesh.export(file_type="ply")
    return content


def crooked_mesh(seed: int) -> Any:
    """A closed mesh that is neither convex nor centred: a torus and a box with bumps."""
    random = np.random.default_rng(seed)
    bumpy = trimesh.creation.icosphere(subdivisions=3, radius=20.0)
    bumpy.vertices *= 1.0 + 0.2 * np.sin(bumpy.vertices @ random.normal(0.0, 0.2, (3, 1)))
    ring = trimesh.creation.torus(major_radius=30.0, minor_radius=6.0)
    ring.apply_translation(random.uniform(-200.0, 200.0, 3))
    return trimesh.util.concatenate([bumpy, ring])


@pytest.mark.parametrize(
    ("shape", "like"),
    [
        ("box = [120, 80, 20]", trimesh.primitives.Box(extents=[120, 80, 20])),
        ("sphere = {radius = 30}", trimesh.primitives.Sphere(radius=30)),
        ("cylinder = {radius = 12, length = 80}", trimesh.primitives.Cylinder(radius=12, height=80)),
        ("capsule = {radius = 12, length = 80}", trimesh.primitives.Capsule(radius=12, height=80)),
    ],
)
def test_the_volume_of_each_form_is_that_of_trimesh(shape, like):
    (body,) = masses(
        prop_with(f"density = 1.24\n[[links.body.shapes]]\n{shape}\nat = [1, 2, 3]\nturn = [10, 20, 30]")
    )
    # trimesh gives the closed form for box, sphere and cylinder; its capsule is the closed form too.
    assert body.volume_cm3 == pytest.approx(like.volume / 1000.0, rel=1e-12)
    assert body.mass_g == pytest.approx(1.24 * like.volume / 1000.0, rel=1e-12)
    fine = trimesh.creation.capsule(height=80, radius=12, count=(256, 256)) if "capsule" in shape else like
    turn = trimesh.transformations.euler_matrix(*np.radians([10, 20, 30]), axes="sxyz")[:3, :3]
    # trimesh has no closed form for a capsule, so its finely cut one is good to a thousandth.
    expected = turn @ fine.moment_inertia @ turn.T * 1.24e-3
    close = 1e-3 if "capsule" in shape else 1e-9
    np.testing.assert_allclose(body.inertia_gmm2, expected, rtol=close, atol=close * np.abs(expected).max())
    np.testing.assert_allclose(body.centre_mm, [1.0, 2.0, 3.0], rtol=1e-12)


@pytest.mark.parametrize("seed", range(5))
def test_volume_and_centre_of_a_crooked_mesh_are_those_of_trimesh(seed):
    mesh = crooked_mesh(seed)
    bulk = mesh_bulk(np.asarray(mesh.vertices), np.asarray(mesh.faces))
    assert bulk.volume_mm3 == pytest.approx(mesh.volume, rel=1e-10)
    np.testing.assert_allclose(bulk.centre_mm, mesh.center_mass, rtol=1e-9, atol=1e-9)
    size = np.abs(mesh.moment_inertia).max()
    np.testing.assert_allclose(bulk.inertia_mm5, mesh.moment_inertia, rtol=1e-8, atol=1e-8 * size)
    turned = mesh_bulk(np.asarray(mesh.vertices), np.asarray(mesh.faces)[:, ::-1])
    assert turned.volume_mm3 == pytest.approx(bulk.volume_mm3, rel=1e-12)
    np.testing.assert_allclose(turned.centre_mm, bulk.centre_mm, rtol=1e-12)


def test_a_mesh_far_from_its_origin_loses_no_digits():
    mesh = crooked_mesh(0)
    near = mesh_bulk(np.asarray(mesh.vertices), np.asarray(mesh.faces))
    far = mesh_bulk(np.asarray(mesh.vertices) + 1e5, np.asarray(mesh.faces))
    assert far.volume_mm3 == pytest.approx(near.volume_mm3, rel=1e-9)
    np.testing.assert_allclose(far.centre_mm - 1e5, near.centre_mm, atol=1e-6)


@pytest.mark.native  # trimesh calls on scipy here
@given(size=st.tuples(SIZE, SIZE, SIZE), at=TRIPLE, turn=TRIPLE, scale=st.floats(0.1, 30.0))
def test_a_mesh_placed_turned_and_scaled_weighs_as_trimesh_says(size, at, turn, scale):
    wedge = trimesh.convex.convex_hull(
        np.array([[0, 0, 0], [size[0], 0, 0], [0, size[1], 0], [0, 0, size[2]], [size[0], size[1], 0]])
    )
    link = f'[[links.body.shapes]]\nmesh = "wedge.ply"\nscale = {scale}\nat = {list(at)}\nturn = {list(turn)}'
    content = ply(wedge)
    (body,) = masses(prop_with(link, {"wedge.ply": content}))
    # PLY holds float32, so the mesh read back is the one to compare with.
    placed = trimesh.load_mesh(trimesh.util.wrap_as_stream(content), file_type="ply")
    placed.apply_scale(scale)
    placed.apply_transform(trimesh.transformations.euler_matrix(*np.radians(turn), axes="sxyz"))
    placed.apply_translation(at)
    assert body.volume_cm3 == pytest.approx(placed.volume / 1000.0, rel=1e-7)
    np.testing.assert_allclose(body.centre_mm, placed.center_mass, rtol=1e-6, atol=1e-6)


def test_several_shapes_have_the_centre_that_trimesh_finds_for_all_together():
    link = """
    density = 0.5
    [[links.body.shapes]]
    box = [10, 20, 30]
    at = [100, 0, 0]
    [[links.body.shapes]]
    box = [40, 10, 10]
    at = [0, 50, -20]
    turn = [0, 0, 90]
    [[links.body.shapes]]
    sphere = {radius = 500}
    solid = false
    """
    (body,) = masses(prop_with(link))
    one = trimesh.creation.box(
        [10, 20, 30], transform=trimesh.transformations.translation_matrix([100, 0, 0])
    )
    two = trimesh.creation.box(
        [10, 40, 10], transform=trimesh.transformations.translation_matrix([0, 50, -20])
    )
    both = trimesh.util.concatenate([one, two])
    assert body.volume_cm3 == pytest.approx(both.volume / 1000.0, rel=1e-12)
    assert body.mass_g == pytest.approx(5.0, rel=1e-12)
    np.testing.assert_allclose(body.inertia_gmm2, both.moment_inertia * 0.5e-3, rtol=1e-9, atol=1e-6)
    np.testing.assert_allclose(body.centre_mm, both.center_mass, rtol=1e-12, atol=1e-12)


def test_a_given_mass_holds_and_leaves_the_centre_where_the_shapes_put_it():
    (body,) = masses(
        prop_with("mass = 42.0\ndensity = 7.8\n[[links.body.shapes]]\nbox = [10, 10, 10]\nat = [1, 2, 3]")
    )
    assert (body.mass_g, body.volume_cm3) == (42.0, 1.0)
    np.testing.assert_array_equal(body.centre_mm, [1.0, 2.0, 3.0])


def test_a_link_without_a_solid_shape_has_its_mass_at_its_origin_and_that_is_told():
    bare = prop_with("mass = 42.0\n[[links.body.shapes]]\nbox = [10, 10, 10]\nat = [1, 2, 3]\nsolid = false")
    (body,) = masses(bare)
    assert (body.mass_g, body.volume_cm3) == (42.0, 0.0)
    np.testing.assert_array_equal(body.centre_mm, np.zeros(3))
    (finding,) = mass_findings(bare)
    assert (finding.level, finding.code, finding.subject) == ("warning", "no-volume", "links.body")
    assert mass_findings(prop_with("")) == []


def test_a_mesh_with_a_hole_is_told_and_a_closed_one_is_not():
    closed = trimesh.creation.icosphere(subdivisions=2, radius=20.0)
    holed = closed.copy()
    holed.update_faces(np.arange(len(closed.faces)) != 7)
    link = '[[links.body.shapes]]\nbox = [1, 1, 1]\n[[links.body.shapes]]\nmesh = "ball.ply"'
    assert mass_findings(prop_with(link, {"ball.ply": ply(closed)})) == []
    (finding,) = mass_findings(prop_with(link, {"ball.ply": ply(holed)}))
    assert (finding.level, finding.code) == ("warning", "mesh-open")
    assert finding.subject == "links.body.shapes[1].mesh"
    assert "ball.ply" in finding.message


def test_one_face_the_wrong_way_round_leaves_a_mesh_open():
    faces = np.asarray(trimesh.creation.box().faces)
    assert is_closed(faces)
    assert is_closed(faces[:, ::-1])
    flipped = faces.copy()
    flipped[3] = flipped[3][::-1]
    assert not is_closed(flipped)


def test_a_flat_mesh_has_no_volume_and_its_middle_as_centre():
    square = np.array([[0.0, 0.0, 5.0], [2.0, 0.0, 5.0], [2.0, 2.0, 5.0], [0.0, 2.0, 5.0]])
    flat = mesh_bulk(square, np.array([[0, 1, 2], [0, 2, 3], [2, 1, 0], [3, 2, 0]]))
    assert flat.volume_mm3 == 0.0
    np.testing.assert_array_equal(flat.centre_mm, [1.0, 1.0, 5.0])
