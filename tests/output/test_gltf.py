"""The posed GLB, read by trimesh and pygltflib and judged by the Khronos validator."""

from __future__ import annotations

import struct
from io import BytesIO

import numpy as np
import pygltflib
import pytest
import trimesh
from scipy.spatial.transform import Rotation

from posekit.clearance import distances
from posekit.mechanism.kinematics import forward
from posekit.output import gltf, stl
from posekit.output.gltf.parts import linear
from posekit.pipeline import pose_at
from posekit.prop.reader import read
from posekit.shape import Box, Capsule, Cylinder, Mesh, Sphere


def test_every_link_node_of_the_crane_stands_where_forward_says(crane, crane_pose, opened, assert_stands):
    scene = opened(gltf.encode(crane, crane_pose)).scene
    for link in crane.links:
        assert_stands(scene.graph.get(link.name)[0], crane_pose.links[link.name])


def test_every_link_node_of_a_demo_prop_stands_where_forward_says(demo, demo_pose, opened, assert_stands):
    scene = opened(gltf.encode(demo, demo_pose)).scene
    for link in demo.links:
        assert_stands(scene.graph.get(link.name)[0], demo_pose.links[link.name])


def test_a_demo_prop_draws_no_error_and_no_warning_from_the_validator(demo, demo_pose, validate):
    assert validate(gltf.encode(demo, demo_pose)) == []


def test_the_validator_would_tell_of_a_fault(crane, crane_pose, validate):
    faulty = gltf.encode(crane, crane_pose).replace(b'"type":"VEC3"', b'"type":"VEC4"', 1)
    assert validate(faulty) != []


def test_front_left_and_up_of_the_prop_are_those_of_gltf(opened):
    text = """
format = 1
name = "Post"
[links.post]
[[links.post.shapes]]
box = [10, 20, 40]
at = [100, 200, 400]
"""
    prop = read({"prop.toml": text.encode()})
    bounds = opened(gltf.encode(prop, pose_at(prop, []))).scene.bounds
    # x of glTF is our y (left), y our z (up), z our x (front); in metres.
    np.testing.assert_allclose(bounds, [[0.190, 0.380, 0.095], [0.210, 0.420, 0.105]], atol=1e-7)


def test_a_shape_that_is_not_drawn_is_in_neither_picture_nor_stl_and_still_keeps_its_distance(opened):
    text = """
format = 1
name = "Post"
[links.post]
[[links.post.shapes]]
box = [10, 10, 10]
[[links.post.shapes]]
box = [10, 10, 100]
drawn = false
[links.lid]
[[links.lid.shapes]]
box = [10, 10, 10]
[joints.lid]
type = "prismatic"
parent = "post"
child = "lid"
at = [0, 0, 200]
zone = 1
"""
    prop = read({"prop.toml": text.encode()})
    state = pose_at(prop, [])
    scene = opened(gltf.encode(prop, state)).scene
    np.testing.assert_allclose(scene.extents, [0.010, 0.210, 0.010], atol=1e-7)
    drawn = trimesh.load_mesh(BytesIO(stl.encode(prop, state)), file_type="stl")
    np.testing.assert_allclose(drawn.bounds[:, 2], [-5.0, 205.0], atol=1e-5)
    np.testing.assert_allclose(distances(prop, np.zeros((1, 1))), [[145.0]], atol=1e-6)


def reach(prop, form, directions):
    """How far a form reaches from its centre in each direction (N, 3) [mm], by its exact shape."""
    along_z, across = np.abs(directions[:, 2]), np.hypot(directions[:, 0], directions[:, 1])
    match form:
        case Box():
            return np.abs(directions) @ np.array(form.size) / 2
        case Sphere():
            return np.full(len(directions), form.radius)
        case Capsule():
            return form.radius + along_z * form.length / 2
        case Cylinder():
            return across * form.radius + along_z * form.length / 2
        case Mesh():
            file_type = form.path.rpartition(".")[2]
            vertices = trimesh.load_mesh(BytesIO(prop.files[form.path]), file_type=file_type).vertices
            return (vertices * form.scale @ directions.T).max(axis=0)


def test_a_demo_prop_fills_the_exact_bounding_box_of_its_shapes(demo, demo_pose, opened):
    reached = []
    for link in demo.links:
        for shape in link.shapes:
            turn = Rotation.from_euler(
                "xyz", shape.turn, degrees=True
            )  # small letters: fixed axes, as URDF's rpy
            world_from_shape = Rotation.from_matrix(demo_pose.links[link.name][:3, :3]) * turn
            centre = demo_pose.links[link.name] @ (*shape.at, 1.0)
            axes = world_from_shape.inv().apply(np.eye(3))
            least = centre[:3] - reach(demo, shape.form, -axes)
            reached.append((least, centre[:3] + reach(demo, shape.form, axes)))
    low, high = np.min(reached, axis=0)[0], np.max(reached, axis=0)[1]
    # x, y, z of glTF are our y, z, x. The facets of round forms lie inside by 0.15 mm at radii up to 70 mm.
    bounds = opened(gltf.encode(demo, demo_pose)).scene.bounds[:, [2, 0, 1]] * 1000
    np.testing.assert_allclose(bounds, [low, high], rtol=0, atol=0.3)


def test_the_round_forms_fill_their_exact_bounding_box(crane, opened):
    scene = opened(gltf.encode(crane, pose_at(crane, [32768, 128, 128]))).scene
    extents = {name: mesh.extents * 1000 for name, mesh in scene.geometry.items()}
    np.testing.assert_allclose(extents["mast/0"], [24, 24, 200], atol=1e-4)
    np.testing.assert_allclose(extents["mast/1"], [50, 50, 50], atol=1e-4)
    np.testing.assert_allclose(extents["boom/0"], [16, 16, 196], atol=1e-4)


def test_there_is_a_root_a_node_for_each_link_and_one_for_each_shape(demo, demo_pose, opened):
    document = opened(gltf.encode(demo, demo_pose)).document
    shapes = [f"{link.name}/{i}" for link in demo.links for i in range(len(link.shapes))]
    assert [node.name for node in document.nodes] == [demo.name, *(link.name for link in demo.links), *shapes]
    assert [mesh.name for mesh in document.meshes] == shapes


def test_links_hang_in_the_tree_of_the_prop(crane, crane_pose, opened):
    document = opened(gltf.encode(crane, crane_pose)).document
    below = {node.name: [document.nodes[child].name for child in node.children] for node in document.nodes}
    assert below["Crane"] == ["base"]
    assert below["base"] == ["mast", "base/0"]
    assert below["mast"] == ["boom", "mast/0", "mast/1"]
    assert below["boom"] == ["trolley", "boom/0"]


def test_equal_forms_share_their_triangles_and_equal_colours_their_material(crane, crane_pose, opened):
    document = opened(gltf.encode(crane, crane_pose)).document
    primitive = {mesh.name: mesh.primitives[0] for mesh in document.meshes}
    assert primitive["mast/1"].attributes.POSITION == primitive["trolley/1"].attributes.POSITION
    assert primitive["mast/1"].indices == primitive["trolley/1"].indices
    assert primitive["mast/0"].material == primitive["mast/1"].material == primitive["boom/0"].material
    assert primitive["base/0"].material != primitive["mast/0"].material
    assert len(document.materials) == 3


def test_a_viewer_that_turns_a_node_about_its_axis_moves_the_joint(crane, crane_pose, opened, assert_stands):
    document = opened(gltf.encode(crane, crane_pose)).document
    moved = {"slew": 25.0, "luff": -30.0, "travel": 17.0}
    for node in document.nodes:
        joint = node.extras.get("joint") if node.extras else None
        if joint is None:
            continue
        frame = trimesh.transformations.quaternion_matrix(np.roll(node.rotation, 1))
        frame[:3, 3] = node.translation
        if joint["type"] == "prismatic":
            assert joint["unit"] == "mm"
            step = trimesh.transformations.translation_matrix(
                np.array(joint["axis"]) * moved[joint["name"]] / 1000
            )
        else:
            assert joint["unit"] == "deg"
            step = trimesh.transformations.rotation_matrix(np.radians(moved[joint["name"]]), joint["axis"])
        turned = frame @ step
        node.rotation = np.roll(trimesh.transformations.quaternion_from_matrix(turned), -1).tolist()
        node.translation = turned[:3, 3].tolist()
    positions = [[crane_pose.joints[joint.name] + moved[joint.name] for joint in crane.joints]]
    scene = opened(b"".join(document.save_to_bytes())).scene
    for link, expected in zip(crane.links, forward(crane, positions)[0], strict=True):
        assert_stands(scene.graph.get(link.name)[0], expected)


def test_the_extras_of_a_node_tell_position_and_stops_of_its_joint(crane, crane_pose, opened):
    document = opened(gltf.encode(crane, crane_pose)).document
    extras = {node.name: node.extras for node in document.nodes if node.extras}
    assert extras["mast"]["joint"] == {
        "name": "slew",
        "type": "revolute",
        "axis": [0.0, 0.0, 1.0],
        "unit": "deg",
        "position": crane_pose.joints["slew"],
        "stops": [-170.0, 170.0],
    }
    assert extras["trolley/0"] == {"shape": 0, "solid": False}
    # A page finds the links by this key: no shape may carry it.
    assert [name for name in extras if "link" in extras[name]] == ["base", "mast", "boom", "trolley"]


def test_equal_input_gives_equal_bytes(demo, demo_pose):
    assert gltf.encode(demo, demo_pose) == gltf.encode(demo, demo_pose)


def test_bounds_of_every_accessor_are_those_of_its_float32_content(demo, demo_pose, opened):
    found = opened(gltf.encode(demo, demo_pose))
    for index, accessor in enumerate(found.document.accessors):
        content = found.numbers(index)
        assert accessor.min == content.min(axis=0).tolist()
        assert accessor.max == content.max(axis=0).tolist()


def test_normals_have_length_one_and_point_out_of_every_form(crane, crane_pose, opened):
    found = opened(gltf.encode(crane, crane_pose))
    for name in (mesh.name for mesh in found.document.meshes):
        place, normal = found.vertices_and_normals(name)
        np.testing.assert_allclose(np.linalg.norm(normal, axis=1), 1.0, atol=1e-6)
        assert (np.einsum("vi,vi->v", place, normal) > 0).all(), name


def test_normals_of_a_picture_are_off_by_less_than_shading_shows(crane, crane_pose, opened):
    exact, rounded = (opened(make(crane, crane_pose)) for make in (gltf.encode, gltf.picture))
    for name in (mesh.name for mesh in exact.document.meshes):
        (place, normal), (same_place, near) = (each.vertices_and_normals(name) for each in (exact, rounded))
        np.testing.assert_array_equal(place, same_place)
        length = np.linalg.norm(near, axis=1)
        # The validator of glTF takes a length that is off by 0.00674 (from memory).
        np.testing.assert_allclose(length, 1.0, atol=0.0067)
        turned_deg = np.degrees(np.arccos((np.einsum("vi,vi->v", normal, near) / length).clip(-1, 1)))
        assert turned_deg.max() < 0.25
        np.testing.assert_array_equal(near * 256, np.rint(near * 256))


def test_a_sphere_is_shaded_smooth_and_a_box_flat(crane, crane_pose, opened):
    found = opened(gltf.encode(crane, crane_pose))
    place, normal = found.vertices_and_normals("mast/1")
    radial = place / np.linalg.norm(place, axis=1, keepdims=True)
    off_deg = np.degrees(np.arccos(np.einsum("vi,vi->v", radial, normal).clip(-1, 1)))
    assert off_deg.max() < 1.0
    _, box = found.vertices_and_normals("base/0")
    assert len(box) == 24
    np.testing.assert_allclose(np.sort(np.abs(box), axis=1), np.tile([0.0, 0.0, 1.0], (24, 1)), atol=1e-6)


def test_the_caps_of_a_cylinder_are_flat_and_its_side_is_round(crane, crane_pose, opened):
    place, normal = opened(gltf.encode(crane, crane_pose)).vertices_and_normals("mast/0")
    cap = np.abs(normal[:, 2]) > 0.5
    np.testing.assert_allclose(np.abs(normal[cap, 2]), 1.0, atol=1e-6)
    np.testing.assert_allclose(normal[~cap, :2], place[~cap, :2] / 0.012, atol=1e-5)


# Transfer function of sRGB, IEC 61966-2-1; the values are from memory, computed by its formula.
@pytest.mark.parametrize(
    ("encoded", "expected"),
    [("#000000", 0.0), ("#0a0a0a", 0.003035), ("#808080", 0.215861), ("#ffffff", 1.0)],
)
def test_a_colour_becomes_linear(encoded, expected):
    assert linear(encoded) == pytest.approx([expected] * 3, abs=1e-6)


def test_more_than_65535_vertices_take_32_bit_indices(validate, opened):
    generator = np.random.default_rng(1)
    points = np.asarray(generator.uniform(-50, 50, (23_000, 3, 3)))
    soup = trimesh.Trimesh(points.reshape(-1, 3), np.arange(len(points) * 3).reshape(-1, 3), process=False)
    text = 'format = 1\nname = "Dust"\n[links.cloud]\n[[links.cloud.shapes]]\nmesh = "meshes/dust.stl"\n'
    prop = read({"prop.toml": text.encode(), "meshes/dust.stl": soup.export(file_type="stl")})
    glb = gltf.encode(prop, pose_at(prop, []))
    document = opened(glb).document
    indices = document.accessors[document.meshes[0].primitives[0].indices]
    assert indices.componentType == pygltflib.UNSIGNED_INT
    assert len(opened(glb).scene.geometry["cloud/0"].faces) == len(points)
    assert validate(glb) == []


@pytest.mark.parametrize("length", range(4))
def test_chunks_and_accessors_are_aligned_and_padded(length, opened):
    # ISO/IEC 12113, GLB file format: chunks start at multiples of 4, JSON padded with 0x20, BIN with 0x00.
    text = f'format = 1\nname = "x{"x" * length}"\n[links.a]\n[[links.a.shapes]]\nsphere = {{radius = 5}}\n'
    prop = read({"prop.toml": text.encode(), "looks/a.bin": b"\xff" * (5 + length)})
    glb = gltf.encode(prop, pose_at(prop, []))
    magic, version, total = struct.unpack_from("<4sII", glb)
    assert (magic, version, total) == (b"glTF", 2, len(glb))
    size, kind = struct.unpack_from("<I4s", glb, 12)
    assert (size % 4, kind) == (0, b"JSON")
    assert glb[20 : 20 + size].rstrip(b"\x20").endswith(b"}")
    binary_size, binary_kind = struct.unpack_from("<I4s", glb, 20 + size)
    assert (binary_size % 4, binary_kind) == (0, b"BIN\0")
    assert 28 + size + binary_size == len(glb)
    assert glb.endswith(b"\xff" + bytes(-(5 + length) % 4))
    document = opened(glb).document
    assert document.buffers[0].byteLength == binary_size
    for accessor in document.accessors:
        view = document.bufferViews[accessor.bufferView]
        assert (view.byteOffset + accessor.byteOffset) % 4 == 0
        assert view.byteOffset + view.byteLength <= binary_size


def test_vertex_data_and_indices_name_their_target(crane, crane_pose, opened):
    document = opened(gltf.encode(crane, crane_pose)).document
    for mesh in document.meshes:
        primitive = mesh.primitives[0]
        attributes = (primitive.attributes.POSITION, primitive.attributes.NORMAL)
        targets = [
            document.bufferViews[document.accessors[a].bufferView].target
            for a in (*attributes, primitive.indices)
        ]
        assert targets == [pygltflib.ARRAY_BUFFER, pygltflib.ARRAY_BUFFER, pygltflib.ELEMENT_ARRAY_BUFFER]


def test_a_prop_without_shapes_is_a_valid_glb_of_nodes(opened):
    prop = read({"prop.toml": b'format = 1\nname = "Ghost"\n[links.a]\n'})
    document = opened(gltf.encode(prop, pose_at(prop, []))).document
    assert [node.name for node in document.nodes] == ["Ghost", "a"]
    assert document.buffers[0].byteLength == 4
