"""`posekit new`: from nothing and from files to a folder that loads and poses, and nothing written where it cannot."""

from __future__ import annotations

import json
import os
import time
import unicodedata

import numpy as np
import pytest
import trimesh
from click.testing import CliRunner

import posekit
from posekit.clearance.cover import coverage_findings
from posekit.cli.apart import FellError, apart
from posekit.cli.main import main
from posekit.shape import Mesh

pytestmark = pytest.mark.native


def run(*words):
    return CliRunner().invoke(main, ["new", *map(str, words)])


def made(*words):
    done = run(*words, "--json")
    assert done.exit_code == 0, done.output
    return json.loads(done.output)


@pytest.fixture
def figure(tmp_path):
    """Three STL files in CAD coordinates: a base, a hollow mast on it, and an arm."""
    parts = tmp_path / "parts"
    parts.mkdir()
    base = trimesh.creation.box((160, 120, 16))
    mast = trimesh.creation.annulus(14, 20, 146)
    mast.apply_translation((0, 0, 81))
    arm = trimesh.creation.cylinder(8, 110)
    arm.apply_transform(trimesh.transformations.rotation_matrix(np.pi / 2, (0, 1, 0), (0, 0, 0)))
    arm.apply_translation((60, 0, 170))
    for name, mesh in {"arm": arm, "base": base, "mast": mast}.items():
        mesh.export(parts / f"{name}.stl")
    return parts


def test_from_nothing_it_makes_a_prop_that_moves_explained_on_one_screen(tmp_path):
    told = made(tmp_path / "first")
    prop = posekit.load(tmp_path / "first")
    low, high = (posekit.pose(prop, posekit.Snapshot.parse(f"1/1@{value}")) for value in (0, 255))
    assert told == {"folder": str(tmp_path / "first"), "unit": "mm", "links": ["base", "arm"], "findings": []}
    assert (low.joints["shoulder"], high.joints["shoulder"]) == (pytest.approx(-36.0), pytest.approx(36.0))
    assert (low.findings, high.findings) == ((), ())
    assert not [finding for finding in posekit.check(prop) if finding.level != "note"]
    lines = prop.text.splitlines()
    assert len(lines) <= 50
    # Each number says what it is: a key without a comment is a name, or a place told in the line above it.
    keys = [line for line in lines if "=" in line.partition("#")[0]]
    bare = {line.partition(" =")[0] for line in keys if "#" not in line}
    assert bare <= {"name", "mass", "parent", "child", "servo"}


def test_each_class_of_servo_makes_a_prop_that_moves(tmp_path):
    from posekit.prop.servo_classes import CLASSES

    for kind in CLASSES:
        made(tmp_path / kind, "--servo", kind)
        prop = posekit.load(tmp_path / kind)
        assert prop.drives[0].servo == kind
        assert posekit.pose(prop, posekit.Snapshot.parse("1/1@255")).joints["shoulder"] > 20.0


def test_from_meshes_the_parts_stand_as_drawn_and_are_copied_with_their_pieces(tmp_path, figure):
    files = sorted(figure.glob("*.stl"))
    told = made(tmp_path / "crane", *files)
    prop = posekit.load(tmp_path / "crane")
    state = posekit.pose(prop, posekit.Snapshot({}))
    assert told["links"] == ["arm", "base", "mast"]
    assert [joint.parent for joint in prop.fixed] == ["base", "base"]
    assert all(np.allclose(state.links[name], np.eye(4)) for name in told["links"])
    for file in files:
        assert (tmp_path / "crane" / "meshes" / file.name).read_bytes() == file.read_bytes()
    assert coverage_findings(prop) == []
    forms = [link.shapes[0].form for link in prop.links]
    assert all(isinstance(form, Mesh) and form.pieces for form in forms)
    assert {finding["code"] for finding in told["findings"]} == {"unit-taken", "held"}
    assert len({link.shapes[0].colour for link in prop.links}) == 3


def test_the_part_that_stands_can_be_named(tmp_path, figure):
    made(tmp_path / "crane", *sorted(figure.glob("*.stl")), "--root", "mast", "--no-pieces")
    prop = posekit.load(tmp_path / "crane")
    assert {joint.parent for joint in prop.fixed} == {"mast"}
    refused = run(tmp_path / "other", *sorted(figure.glob("*.stl")), "--root", "mist")
    assert (refused.exit_code, (tmp_path / "other").exists()) == (2, False)
    assert "arm, base, mast" in refused.output


def test_a_heavy_mesh_is_thinned_and_its_original_kept_where_no_page_reads_it(tmp_path):
    ball = trimesh.creation.icosphere(5, 40.0)
    ball.export(tmp_path / "head.stl")
    told = made(tmp_path / "kept", tmp_path / "head.stl", "--no-pieces")
    prop = posekit.load(tmp_path / "kept")
    assert "mesh-thinned" in {finding["code"] for finding in told["findings"]}
    assert list(prop.files) == ["meshes/head.ply"]
    original = tmp_path / "kept" / "originals" / "head.stl"
    assert original.read_bytes() == (tmp_path / "head.stl").read_bytes()
    made(tmp_path / "lean", tmp_path / "head.stl", "--no-pieces", "--no-originals")
    assert not (tmp_path / "lean" / "originals").exists()
    made(tmp_path / "whole", tmp_path / "head.stl", "--no-pieces", "--within", "0")
    assert list(posekit.load(tmp_path / "whole").files) == ["meshes/head.stl"]


def test_originals_of_one_name_are_all_kept(tmp_path):
    files = [tmp_path / folder / name for folder, name in (("left", "wing.stl"), ("right", "wing.stl"))]
    files += [tmp_path / "other" / "WING.obj", tmp_path / "other" / "aux.stl"]
    for radius, file in enumerate(files, 20):
        file.parent.mkdir(exist_ok=True)
        trimesh.creation.icosphere(4, radius).export(file)
    made(tmp_path / "owl", *files, "--no-pieces")
    kept = [file.read_bytes() for file in (tmp_path / "owl" / "originals").iterdir()]
    assert sorted(kept) == sorted(file.read_bytes() for file in files)


def test_parts_whose_names_no_file_may_have_come_all_the_same(tmp_path):
    """Windows takes `con` for a device, and most systems take 255 bytes for a name."""
    scene = trimesh.Scene()
    names = ["con", "头" * 150, "头" * 150 + "x"]
    for name in names:
        scene.add_geometry(trimesh.creation.box((0.1, 0.1, 0.1)), node_name=name, geom_name=f"of {name}")
    (tmp_path / "owl.glb").write_bytes(scene.export(file_type="glb"))
    told = made(tmp_path / "owl", tmp_path / "owl.glb")
    assert sorted(told["links"]) == sorted(names)
    prop = posekit.load(tmp_path / "owl")
    assert len(prop.files) == 6
    assert posekit.pose(prop, posekit.Snapshot({})).links.keys() == set(names)


def test_a_name_is_the_same_whichever_way_a_system_spells_its_letters(tmp_path):
    for form in ("NFC", "NFD"):
        file = tmp_path / unicodedata.normalize(form, "Köpfchen.stl")
        trimesh.creation.box((9, 9, 9)).export(file)
        assert made(tmp_path / form, file)["links"] == ["Köpfchen"]


@pytest.mark.parametrize("words", [("--unit", "m"), ("--up", "y"), ("--root", "arm")])
def test_what_is_said_of_files_is_refused_where_there_are_none(tmp_path, words):
    refused = run(tmp_path / "owl", *words)
    assert (refused.exit_code, (tmp_path / "owl").exists()) == (2, False)
    assert f"{words[0]} = '{words[1]}': is about files" in refused.output


def test_pieces_of_a_thinned_mesh_cover_the_whole_one(tmp_path):
    from posekit.clearance.cover import uncovered

    ball = trimesh.creation.icosphere(5, 40.0)
    ball.export(tmp_path / "head.stl")
    made(tmp_path / "kept", tmp_path / "head.stl", "--within", "1")
    prop = posekit.load(tmp_path / "kept")
    form = prop.links[0].shapes[0].form
    found = form.convex_pieces(posekit.shape.Source(prop.files, "head"))
    out = uncovered(np.asarray(ball.vertices), np.asarray(ball.faces[::40]), found.hulls)
    assert out <= found.skin_mm


def test_what_is_there_already_is_never_touched(tmp_path, figure):
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "prop.toml").write_text("mine")
    (tmp_path / "file").write_text("mine")
    (tmp_path / "link").symlink_to(tmp_path / "nowhere")
    for place in ("mine", "file", "link"):
        for files in ([], list(figure.glob("*.stl"))):
            refused = run(tmp_path / place, *files)
            assert refused.exit_code == 2
            assert "is there already" in refused.output
    assert (tmp_path / "mine" / "prop.toml").read_text() == "mine"
    assert sorted(entry.name for entry in tmp_path.iterdir()) == ["file", "link", "mine", "parts"]


@pytest.mark.parametrize(
    ("name", "content", "says"),
    [
        ("a.stl", b"solid x\nfacet", "a.stl"),
        ("a.obj", b"v 0 0 0\nf 1 2 3\n", "a.obj"),
        ("a.ply", b"ply\nformat ascii 1.0\nelement vertex x\nend_header\n", "a.ply"),
        ("a.glb", b"glTF" + bytes(30), "a.glb"),
        ("a.step", b"ISO-10303-21;\nHEADER;\n", "a.step"),
        ("a.urdf", b"<robot>", "a.urdf"),
        ("a.xacro", b"<robot/>", "xacro"),
        ("a.dwg", b"x", "STL, OBJ, PLY or GLB"),
    ],
)
def test_a_file_that_cannot_be_used_is_told_with_its_name_and_nothing_is_written(
    tmp_path, name, content, says
):
    (tmp_path / name).write_bytes(content)
    refused = run(tmp_path / "new", tmp_path / name)
    assert refused.exit_code == 2
    assert says in refused.output
    assert [entry.name for entry in tmp_path.iterdir()] == [name]


def falls(content):
    os.abort()  # as broken files make the reader do


def hangs(content):
    time.sleep(60)
    return content


def test_a_reader_that_falls_or_hangs_takes_nothing_with_it():
    with pytest.raises(FellError, match="fell"):
        apart(falls, b"")
    with pytest.raises(FellError, match="more than"):
        apart(hangs, b"", most_s=0.2)
    assert apart(bytes.upper, b"abc") == b"ABC"


def test_a_whole_assembly_comes_alone_and_no_file_twice(tmp_path, figure):
    (tmp_path / "a.step").write_bytes(b"")
    stl = figure / "arm.stl"
    assert "comes alone" in run(tmp_path / "new", tmp_path / "a.step", stl).output
    assert "named twice" in run(tmp_path / "new", stl, stl).output
    assert not (tmp_path / "new").exists()


NODDING = """
<robot name="nodding">
  <link name="post"><visual><geometry><box size="0.1 0.1 0.2"/></geometry></visual></link>
  <link name="head"><visual><geometry><sphere radius="0.04"/></geometry></visual></link>
  <link name="jaw"/><link name="tail"/><link name="ear"/>
  <joint name="nod" type="revolute"><parent link="post"/><child link="head"/><axis xyz="0 1 0"/>
    <limit lower="-0.3" upper="0.5" effort="1" velocity="1"/></joint>
  <joint name="gape" type="revolute"><parent link="head"/><child link="jaw"/><axis xyz="0 1 0"/>
    <limit lower="0.2" upper="0.6" effort="1" velocity="1"/></joint>
  <joint name="wag" type="prismatic"><parent link="post"/><child link="tail"/><axis xyz="0 1 0"/>
    <limit lower="0" upper="0.02" effort="1" velocity="1"/></joint>
  <joint name="twitch" type="revolute"><parent link="head"/><child link="ear"/><mimic joint="nod" multiplier="-1"/>
    <limit lower="-1" upper="1" effort="1" velocity="1"/></joint>
</robot>
"""


def test_joints_of_a_urdf_get_drives_that_stay_within_their_stops(tmp_path):
    (tmp_path / "nodding.urdf").write_text(NODDING)
    told = made(tmp_path / "nodding", tmp_path / "nodding.urdf")
    prop = posekit.load(tmp_path / "nodding")
    assert [(drive.joint, drive.address) for drive in prop.drives] == [("nod", 1), ("gape", 2), ("wag", 3)]
    geared = next(finding["message"] for finding in told["findings"] if finding["code"] == "drives-geared")
    assert "wag" in geared
    ends = [posekit.pose_at(prop, [value] * 3) for value in (0, 255)]
    assert [each.findings for each in ends] == [(), ()]
    # Stops of -0.3 to 0.5 rad, and of 0.2 to 0.6; a pulse of 1 us is 0.09 degrees.
    expected = np.column_stack([np.degrees([[-0.3, 0.2], [0.5, 0.6]]), [0.0, 20.0]])
    found = [[each.joints[name] for name in ("nod", "gape", "wag")] for each in ends]
    np.testing.assert_allclose(found, expected, atol=0.09)
    rest = posekit.pose(prop, posekit.Snapshot({})).joints
    assert abs(rest["nod"]) < 0.2
    assert rest["gape"] == pytest.approx(np.degrees(0.2), abs=0.2)
