"""Mesh files as parts: names, units, colours, axes, and what is doubtful about a surface."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from PIL import Image

from posekit.errors import PosekitError
from posekit.exchange.colour_files import among, on_disk
from posekit.exchange.names import telling, unique
from posekit.exchange.parts import parts_of
from posekit.shape.mesh_file.glb import nodes_in
from posekit.shape.mesh_file.writing import ply_bytes
from posekit.transforms import rotation_rpy


def exported(mesh, kind):
    data = mesh.export(file_type=kind)
    return data.encode() if isinstance(data, str) else data


def box(*edges, at=(0, 0, 0)):
    mesh = trimesh.creation.box(edges)
    mesh.apply_translation(at)
    return mesh


def codes(assembly):
    return [finding.code for finding in assembly.findings]


def one_skin(part):
    (skin,) = part.skins
    return skin


@pytest.mark.parametrize("kind", ["stl", "obj", "ply"])
def test_a_file_is_a_part_that_stands_where_it_was_drawn(kind):
    made = parts_of({f"upper arm.{kind}": exported(box(20, 30, 40, at=(100, 0, 50)), kind)}, "crane")
    (part,) = made.parts
    skin = one_skin(part)
    assert (made.name, made.unit, part.name, skin.turn) == ("crane", "mm", "upper_arm", (0, 0, 0))
    np.testing.assert_allclose([skin.vertices.min(0), skin.vertices.max(0)], [[90, -15, 30], [110, 15, 70]])


def test_a_glb_gives_a_part_a_named_node_upright_in_mm_with_its_colour():
    scene = trimesh.Scene()
    red = trimesh.visual.TextureVisuals(
        material=trimesh.visual.material.PBRMaterial(baseColorFactor=[255, 0, 0, 255])
    )
    wing = box(0.02, 0.03, 0.04)
    wing.visual = red
    # In a GLB x is our y, y our z, z our x.
    scene.add_geometry(
        wing, "wing", "wing", transform=trimesh.transformations.translation_matrix((0.1, 0.2, 0.3))
    )
    scene.add_geometry(box(0.01, 0.01, 0.01), "eye", "eye")
    made = parts_of({"owl.glb": scene.export(file_type="glb")}, "owl")
    by_name = {part.name: one_skin(part) for part in made.parts}
    assert set(by_name) == {"wing", "eye"}
    skin = by_name["wing"]
    placed = skin.vertices @ rotation_rpy(skin.turn).T
    np.testing.assert_allclose([placed.min(0), placed.max(0)], [[280, 90, 185], [320, 110, 215]], atol=1e-4)
    assert skin.colour == "#ff0000"
    assert by_name["eye"].colour in (None, "#666666")
    assert {"unit-taken", "turned-upright"} <= set(codes(made))


def test_nodes_of_a_glb_stand_where_trimesh_says():
    """trimesh reads the same file by code of its own; turned, scaled and mirrored nodes within nodes."""
    scene = trimesh.Scene()
    turn = trimesh.transformations.rotation_matrix(0.7, (1, 2, 3))
    mirror = np.diag([1.0, -2.0, 0.5, 1.0])
    scene.add_geometry(box(1, 2, 3), node_name="a", transform=turn)
    scene.add_geometry(box(1, 1, 4), node_name="b", parent_node_name="a", transform=mirror @ turn)
    content = scene.export(file_type="glb")
    (a, b) = sorted(nodes_in(content), key=lambda node: node.path[-1])
    there = trimesh.load_scene(trimesh.util.wrap_as_stream(content), file_type="glb")
    for node in (a, b):
        transform, name = there.graph[node.path[-1]]
        other = there.geometry[name].copy().apply_transform(transform)
        mine = trimesh.Trimesh(node.vertices, node.faces, process=False)
        np.testing.assert_allclose(mine.bounds, other.bounds, atol=1e-6)
        assert mine.volume == pytest.approx(abs(other.volume), rel=1e-5)


@pytest.mark.parametrize(
    ("kind", "edge", "unit"),
    [("stl", 40.0, "mm"), ("obj", 0.4, "m"), ("glb", 0.4, "m"), ("glb", 400.0, "mm")],
)
def test_the_unit_is_taken_from_kind_and_size_and_said_with_the_size_and_the_remedy(kind, edge, unit):
    made = parts_of({f"a.{kind}": exported(box(edge, edge, edge), kind)}, "a", up="z")
    (told,) = (finding.message for finding in made.findings if finding.code == "unit-taken")
    size = edge * {"mm": 1, "m": 1000}[unit]
    assert made.unit == unit
    assert f"{size:.4g} × {size:.4g} × {size:.4g} mm" in told
    assert "--unit" in told


def test_kinds_of_files_that_come_together_keep_each_its_own_unit():
    """A GLB is in metres by glTF 2.0, whatever lies beside it."""
    files = {"post.stl": exported(box(40, 60, 200), "stl"), "owl.glb": exported(box(0.03, 0.05, 0.07), "glb")}
    made = parts_of(files, "a")
    sizes = {part.name: np.ptp(one_skin(part).vertices, axis=0) for part in made.parts}
    np.testing.assert_allclose(sizes["post"], [40, 60, 200])
    np.testing.assert_allclose(next(size for name, size in sizes.items() if name != "post"), [30, 50, 70])
    assert made.unit is None
    told = {each.file: each.message for each in made.findings if each.code == "unit-taken"}
    assert "taken to be in mm" in told["post.stl"]
    assert "taken to be in m:" in told["owl.glb"]
    assert parts_of(files, "a", "cm").unit == "cm"
    in_m = {"post.stl": exported(box(0.04, 0.06, 0.2), "stl"), "owl.glb": files["owl.glb"]}
    assert parts_of(in_m, "a").unit == "m"


@pytest.mark.parametrize(
    ("up", "size"), [(None, "70 × 30 × 50"), ("y", "70 × 30 × 50"), ("z", "30 × 50 × 70")]
)
def test_the_size_that_is_told_is_that_of_the_figure_as_it_stands(up, size):
    """Front to back, side to side, height: x, y and z of a file are y, z and x where +Y is up (glTF 2.0)."""
    made = parts_of({"owl.glb": exported(box(0.03, 0.05, 0.07), "glb")}, "a", up=up)
    (told,) = (finding.message for finding in made.findings if finding.code == "unit-taken")
    assert told.count(f"{size} mm") == 2
    turned = rotation_rpy(one_skin(made.parts[0]).turn)
    standing = np.ptp(one_skin(made.parts[0]).vertices @ turned.T, axis=0)
    np.testing.assert_allclose(standing, [float(each) for each in size.split(" × ")], rtol=1e-6)


@pytest.mark.parametrize(("unit", "factor"), [("mm", 1), ("cm", 10), ("m", 1000), ("inch", 25.4)])
def test_a_unit_that_is_said_is_used_and_not_told(unit, factor):
    made = parts_of({"a.stl": exported(box(2, 3, 4), "stl")}, "a", unit)
    np.testing.assert_allclose(np.ptp(one_skin(made.parts[0]).vertices, axis=0), np.array([2, 3, 4]) * factor)
    assert codes(made) == []


def test_colours_of_a_ply_and_an_obj_are_kept():
    mesh = box(20, 30, 40)
    mesh.visual.face_colors = [10, 200, 30, 255]
    made = parts_of({"a.ply": exported(mesh, "ply")}, "a")
    assert one_skin(made.parts[0]).colour == "#0ac81e"
    obj = b"v 0 0 0 1 0 0\nv 9 0 0 1 0 0\nv 0 9 0 1 0 0\nv 0 0 9 1 0 0\nf 1 3 2\nf 1 2 4\nf 2 3 4\nf 3 1 4\n"
    assert one_skin(parts_of({"a.obj": obj}, "a").parts[0]).colour == "#ff0000"


MATERIALS = {"body.mtl": b"newmtl back\nKd 1 0 0\nnewmtl breast\nKd 0 0 1\n"}
# A triangle of 4 x 4 and one of twice its area.
TWO = b"mtllib %b\nv 0 0 0\nv 4 0 0\nv 0 4 0\nv 0 0 8\nusemtl back\nf 1 3 2\nusemtl breast\nf 1 2 4\n"


def told_of_colours(assembly):
    (told,) = (finding.message for finding in assembly.findings if finding.code == "colours")
    return told


def test_an_obj_has_the_colour_of_its_materials_by_area_and_says_that_there_are_several():
    made = parts_of({"a.obj": TWO % b"body.mtl"}, "a", "mm", beside=among(MATERIALS, {}))
    # A third of the light is red, two thirds are blue: 255 (1.055 x^(1 / 2.4) - 0.055), IEC 61966-2-1.
    assert one_skin(made.parts[0]).colour == "#9c00d5"
    assert told_of_colours(made).endswith("a part has one: #9c00d5, their mean by area")
    one = (TWO % b"body.mtl").replace(b"usemtl breast\n", b"")
    made = parts_of({"a.obj": one}, "a", "mm", beside=among(MATERIALS, {}))
    assert one_skin(made.parts[0]).colour == "#ff0000"
    assert "colours" not in codes(made)


@pytest.mark.parametrize(
    ("name", "files", "says"),
    [
        (b"body.mtl", {}, "names body.mtl for its colours, which is not beside it"),
        (b"../body.mtl", MATERIALS, "leads out of its folder"),
        (b"body.mtl", {"body.mtl": b"newmtl back\nKd red\n"}, "line 2: 'red red red' are not three numbers"),
        (b"body.mtl", {"body.mtl": b"newmtl other\nKd 1 1 1\n"}, "has no colour for back, breast"),
    ],
)
def test_colours_that_cannot_be_had_are_told_and_the_part_comes_all_the_same(name, files, says):
    made = parts_of({"a.obj": TWO % name}, "a", "mm", beside=among(files, {}))
    assert one_skin(made.parts[0]).colour is None
    assert says in told_of_colours(made)
    assert told_of_colours(made).endswith("its colour is one to begin with")


def test_a_file_of_colours_is_read_from_the_folder_of_its_obj_and_from_nowhere_else(tmp_path):
    (tmp_path / "parts").mkdir()
    (tmp_path / "body of it.mtl").write_bytes(MATERIALS["body.mtl"])
    file = tmp_path / "parts" / "a.obj"

    def colour(name):
        return one_skin(parts_of({str(file): TWO % name}, "a", "mm", beside=on_disk()).parts[0]).colour

    assert colour(b"body of it.mtl") is colour(b"../body of it.mtl") is None
    (tmp_path / "parts" / "body of it.mtl").symlink_to(tmp_path / "body of it.mtl")
    assert colour(b"body of it.mtl") is None
    (tmp_path / "parts" / "body of it.mtl").unlink()
    (tmp_path / "parts" / "body of it.mtl").write_bytes(MATERIALS["body.mtl"])
    assert colour(b"body of it.mtl") == "#9c00d5"


def test_a_glb_has_the_mean_of_its_picture_and_of_the_colours_of_its_corners():
    drawn = box(20, 20, 20)
    picture = Image.new("RGB", (512, 4), (255, 0, 0))
    picture.paste((0, 0, 255), (256, 0, 512, 4))
    # Each triangle lies in the red half or in the blue one; each corner is in one place.
    places = np.where(drawn.vertices[:, :1] < 0, 0.1, 0.9) * [1, 0] + [0, 0.5]
    drawn.visual = trimesh.visual.TextureVisuals(
        uv=places, material=trimesh.visual.material.PBRMaterial(baseColorTexture=picture)
    )
    content = exported(drawn, "glb")
    made = parts_of({"a.glb": content}, "a", "mm", "z", beside=on_disk())
    # The sides across are of one colour each, the four between them half and half: as much red as blue.
    assert one_skin(made.parts[0]).colour == "#bc00bc"
    assert "in its picture" in told_of_colours(made)
    (unread,) = parts_of({"a.glb": content}, "a", "mm", "z").parts
    assert one_skin(unread).colour is None
    red, blue = np.array([255, 0, 0, 255], np.uint8), np.array([0, 0, 255, 255], np.uint8)
    pixels = np.broadcast_to(np.where(np.arange(256)[:, None] < 128, red, blue), (256, 256, 4)).tobytes()
    elsewhere = parts_of({"a.glb": content}, "a", "mm", "z", beside=among({}, {"a.glb#0": pixels}))
    assert one_skin(elsewhere.parts[0]).colour == "#bc00bc"
    dotted = box(20, 20, 20)
    dotted.visual.vertex_colors = [[255, 255, 0, 255]] * 8
    assert one_skin(parts_of({"a.glb": exported(dotted, "glb")}, "a", "mm").parts[0]).colour == "#ffff00"


def test_names_are_unique_even_where_capitals_do_not_count():
    files = {f"{folder}/Arm.stl": exported(box(9, 9, 9), "stl") for folder in "ab"}
    files["c/arm.ply"] = exported(box(9, 9, 9), "ply")
    assert [part.name for part in parts_of(files, "x").parts] == ["Arm", "Arm_2", "arm_3"]
    assert unique(["a", "a_2", "a", "a"]) == ["a", "a_2", "a_3", "a_4"]


def test_a_flattened_name_has_as_much_of_the_way_to_it_as_tells_it_apart():
    paths = [
        ("frog", "left", "bolt"),
        ("frog", "right", "bolt"),
        ("frog", "jaw"),
        ("frog", "jaw", "=>[0:1:2]"),
    ]
    assert telling(paths) == ["left_bolt", "right_bolt", "jaw", "jaw_2"]


def holed():
    """A box without two of its triangles."""
    mesh = box(20, 20, 20)
    return trimesh.Trimesh(mesh.vertices, mesh.faces[2:], process=False)


def half_turned():
    """A box of which one side faces inwards."""
    mesh = box(20, 20, 20)
    faces = mesh.faces.copy()
    faces[:2] = faces[:2, ::-1]
    return trimesh.Trimesh(mesh.vertices, faces, process=False)


def inside_out():
    mesh = box(20, 20, 20)
    return trimesh.Trimesh(mesh.vertices, mesh.faces[:, ::-1], process=False)


def slivered():
    mesh = box(20, 20, 20)
    return trimesh.Trimesh(mesh.vertices, np.vstack([mesh.faces, [[0, 0, 1], [1, 1, 1]]]), process=False)


@pytest.mark.parametrize(
    ("mesh", "code", "says"),
    [
        (holed(), "mesh-open", "give links.part.mass"),
        (half_turned(), "mesh-flipped", "give links.part.mass"),
        (inside_out(), "mesh-inside-out", "mass and clearance hold"),
        (slivered(), "mesh-no-area", "2 triangles"),
        (box(9, 9, 9) + box(9, 9, 9, at=(30, 0, 0)), "mesh-bodies", "2 separate bodies"),
    ],
)
def test_what_is_doubtful_about_a_mesh_is_told_with_what_it_means(mesh, code, says):
    made = parts_of({"part.ply": ply_bytes(np.asarray(mesh.vertices), np.asarray(mesh.faces))}, "a", "mm")
    assert codes(made) == [code]
    assert says in made.findings[0].message
    assert made.findings[0].file == "part.ply"


def test_a_sound_mesh_has_nothing_told_of_it():
    assert codes(parts_of({"a.stl": exported(trimesh.creation.icosphere(2, 20), "stl")}, "a", "mm")) == []


def test_every_file_that_cannot_be_used_is_told_at_once():
    files = {"a.stl": b"solid", "b.xyz": b"1 2 3", "c.glb": b"glTF", "d.ply": b"ply\n", "e.obj": b"v 1 2\n"}
    with pytest.raises(PosekitError) as told:
        parts_of(files, "x")
    assert [finding.file for finding in told.value.findings] == list(files)
