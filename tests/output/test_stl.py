"""The STL of a posed prop, read by trimesh."""

from __future__ import annotations

from io import BytesIO

import numpy as np
import pytest
import trimesh

from posekit.errors import PosekitError
from posekit.output import gltf, stl
from posekit.pipeline import pose_at
from posekit.prop.reader import read


def opened_stl(content):
    return trimesh.load_mesh(BytesIO(content), file_type="stl")


def test_it_fills_the_same_space_as_the_glb_in_mm_and_z_up(demo, demo_pose, opened):
    low, high = opened(gltf.encode(demo, demo_pose)).scene.bounds * 1000
    # glTF x, y, z are our y, z, x.
    bounds = np.array([low, high])[:, [2, 0, 1]]
    np.testing.assert_allclose(opened_stl(stl.encode(demo, demo_pose)).bounds, bounds, atol=1e-2)


def test_a_placed_box_stands_where_it_should_with_its_volume():
    text = """
format = 1
name = "Box"
[links.box]
[[links.box.shapes]]
box = [10, 20, 30]
at = [100, 0, 0]
turn = [0, 0, 90]
"""
    prop = read({"prop.toml": text.encode()})
    mesh = opened_stl(stl.encode(prop, pose_at(prop, [])))
    np.testing.assert_allclose(mesh.bounds, [[90, -5, -15], [110, 5, 15]], atol=1e-5)
    assert mesh.is_watertight
    assert mesh.volume == pytest.approx(10 * 20 * 30)


@pytest.mark.parametrize(
    ("form", "volume"),
    [
        ("sphere = {radius = 30}", 4 / 3 * np.pi * 30**3),
        ("cylinder = {radius = 12, length = 80}", np.pi * 12**2 * 80),
        ("capsule = {radius = 12, length = 80}", np.pi * 12**2 * 80 + 4 / 3 * np.pi * 12**3),
        ("sphere = {radius = 0.01}", 4 / 3 * np.pi * 0.01**3),
        ("sphere = {radius = 2000}", 4 / 3 * np.pi * 2000**3),
        ("capsule = {radius = 1e-3, length = 1e5}", np.pi * 1e-6 * 1e5),
    ],
)
def test_round_forms_are_closed_and_lose_little_volume(form, volume):
    prop = read({"prop.toml": f'format = 1\nname = "x"\n[links.a]\n[[links.a.shapes]]\n{form}\n'.encode()})
    mesh = opened_stl(stl.encode(prop, pose_at(prop, [])))
    assert mesh.is_watertight
    assert 0.88 * volume < mesh.volume < volume


def test_a_prop_without_shapes_is_told():
    prop = read({"prop.toml": b'format = 1\nname = "Ghost"\n[links.a]\n'})
    with pytest.raises(PosekitError, match="no part has a shape that is drawn"):
        stl.encode(prop, pose_at(prop, []))


@pytest.mark.parametrize("scale", [1e9, 1e-9, 1e-300])
def test_a_mesh_too_large_or_too_small_to_draw_is_told_with_its_place(scale):
    text = f'format = 1\nname = "x"\n[links.a]\n[[links.a.shapes]]\nmesh = "meshes/a.obj"\nscale = {scale}\n'
    corner = b"v 0 0 0\nv 9 0 0\nv 0 9 0\nv 0 0 9\nf 1 3 2\nf 1 2 4\nf 1 4 3\nf 2 3 4\n"
    prop = read({"prop.toml": text.encode(), "meshes/a.obj": corner})
    for output in (stl, gltf):
        with pytest.raises(
            PosekitError, match=r"links\.a\.shapes\[0\]\.mesh = .* use 0.001 to 1000000000 mm"
        ):
            output.encode(prop, pose_at(prop, []))
