"""Mesh files of others: each gives a mesh or a sentence, in little time and memory, whatever was done to it."""

from __future__ import annotations

import json
import runpy
import struct
import subprocess
import sys
import warnings
from io import BytesIO
from pathlib import Path

import numpy as np
import pytest
import trimesh

from posekit.budgets import FACE_CORNERS, KEPT_MESH_BYTES, KEPT_MESHES, LINE_BYTES, MESH_TRIANGLES
from posekit.shape import mesh_file
from posekit.shape.mesh_file import triangles_in
from posekit.shape.mesh_file.plain_ply import plain_ply
from posekit.shape.mesh_file.writing import ply_bytes
from tests.conftest import ROOT

FOLDER = Path(__file__).parent
WORDS = (
    b"nan", b"1e400", b"-1", b"99999999999999999999", b"1/2/3", b"\n", b"usemtl x\n", b"f 1 2 3\n", b"]", b'"',
)  # fmt: skip
KINDS = ("stl", "stl_ascii", "obj", "ply", "ply_ascii", "glb")


def solid() -> trimesh.Trimesh:
    return trimesh.creation.capsule(height=9.0, radius=4.0, count=(8, 8))


def written(kind: str) -> bytes:
    if kind == "ply_ascii":
        return bytes(solid().export(file_type="ply", encoding="ascii"))
    content = solid().export(file_type=kind)
    return content.encode() if isinstance(content, str) else bytes(content)


def mutated(content: bytes, rng: np.random.Generator) -> bytes:
    """A file with bytes changed, left out, put in or moved, or with another number somewhere."""
    found = bytearray(content)
    for _ in range(int(rng.integers(1, 6))):
        at, end = sorted(int(x) for x in rng.integers(0, max(len(found), 1), 2))
        way = int(rng.integers(7))
        if way == 0:
            found[at : at + 1] = bytes([int(rng.integers(256))])
        elif way == 1:
            del found[at : min(end, at + 40)]
        elif way == 2:
            found[at:at] = found[at : min(end, at + 400)]
        elif way == 3:
            del found[at:]
        elif way == 4:
            found[at : at + 4] = struct.pack("<I", int(rng.choice([0, 1, 255, 2**16, 2**31 - 1, 2**32 - 1])))
        elif way == 5:
            found[at : at + 4] = struct.pack("<f", float(rng.choice([np.nan, np.inf, 1e38, -1e-38, 0.0])))
        else:
            words = [
                b"nan",
                b"1e400",
                b"-1",
                b"99999999999999999999",
                b"1/2/3",
                b"\n",
                b"usemtl x\n",
                b"f 1 2 3\n",
                b"]",
                b'"',
            ]
            found[at:at] = words[int(rng.integers(len(words)))]
    return bytes(found)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("seeds", [range(150), pytest.param(range(150, 5000), marks=pytest.mark.long)])
def test_a_mutated_mesh_file_is_a_mesh_or_a_sentence(kind, seeds, capfd):
    good = written(kind)
    meshes = 0
    for seed in seeds:
        content = mutated(good, np.random.default_rng(seed))
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            try:
                vertices, faces = triangles_in(content, f"a.{kind.removesuffix('_ascii')}")
            except ValueError as told:
                assert str(told) and "\n" not in str(told)[:-1], seed
                continue
        meshes += 1
        assert np.isfinite(vertices).all() and 0 < len(faces) <= MESH_TRIANGLES
        assert faces.min() >= 0 and faces.max() < len(vertices)
    assert 0 < meshes < len(seeds)
    assert capfd.readouterr() == ("", "")


FACET = b"facet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 1 0 0\nvertex 0 1 0\nendloop\nendfacet\n"


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"solid a\n" + FACET, "ends before its 'endsolid'"),
        (b"solid a\n" + FACET + b"endsolid\nsolid b\n" + FACET, "ends before its 'endsolid'"),
        (
            b"solid a\n" + FACET.replace(b"1 0 0", b"1 zero 0") + b"endsolid",
            "line 5: '1 zero 0' are not three numbers",
        ),
        (
            b"solid a\n" + FACET.replace(b"1 0 0\n", b"1 0\n") + b"endsolid",
            "line 5: '1 0' are not three numbers",
        ),
        (b"solid a\n" + FACET.replace(b"endloop\n", b"") + b"endsolid", "line 7: 'endfacet' where 'endloop'"),
        (
            b"solid a\n" + FACET.replace(b"vertex 1 0 0\n", b"") + b"endsolid",
            "line 6: 'endloop' where 'vertex'",
        ),
        (b"solid " + b"a" * 2 * LINE_BYTES, "a line 1 of more than"),
    ],
)
def test_a_fault_in_an_ascii_stl_is_told_with_its_line(content, said):
    with pytest.raises(ValueError, match=said):
        triangles_in(content, "a.stl")


def test_the_name_of_a_solid_may_be_of_any_words_and_keywords_of_any_case():
    vertices, faces = triangles_in(
        b"SOLID facet vertex 1\n" + FACET.upper() + b"ENDSOLID facet vertex 1", "a.STL"
    )
    assert (len(vertices), len(faces)) == (3, 1)


CORNERS = b"v 0 0 0\nv 1 0 0\nv 1 1 0\nv 0 1 0 0.5 0.5 0.5\n"


@pytest.mark.parametrize(
    "face",
    [b"f 1 2 3 4", b"f -4 -3 -2 -1", b"f 1/7 2/7/7 3//7 \\\n 4", b"usemtl a\nf 1 2 3\ng x\nf 1 3 4"],
)
def test_the_faces_of_an_obj_are_those_its_corners_name(face):
    vertices, faces = triangles_in(CORNERS + face, "a.obj")
    assert (len(vertices), len(faces)) == (4, 2)
    area = np.cross(
        vertices[faces[:, 1]] - vertices[faces[:, 0]], vertices[faces[:, 2]] - vertices[faces[:, 0]]
    )
    np.testing.assert_array_equal(area.sum(axis=0), [0.0, 0.0, 2.0])


def test_a_comment_of_an_obj_ends_with_its_line_though_it_ends_in_a_folder_of_windows():
    vertices, faces = triangles_in(b"# from C:\\owl\\\n" + CORNERS + b"f 1 2 3 4", "a.obj")
    assert (len(vertices), len(faces)) == (4, 2)
    np.testing.assert_array_equal(vertices.min(axis=0), [0.0, 0.0, 0.0])


@pytest.mark.parametrize(
    ("face", "said"),
    [
        (b"f 1 2", "line 5: a face of 2 corners"),
        (b"f 0 1 2", "line 5: there is no vertex 0"),
        (b"f -5 1 2", "line 5: there is no vertex -5"),
        (b"f 1 2 5", "names a vertex outside its 4 vertices"),
        (b"f 1 2 99999999999999999999999", "line 5: there is no vertex 99999999999999999999"),
        (b"f a b c", "line 5: 'a b c' names no vertices"),
        (b"f " + b"1 2 3 " * FACE_CORNERS, f"use 3 to {FACE_CORNERS}"),
    ],
)
def test_a_fault_in_an_obj_is_told_with_its_line(face, said):
    with pytest.raises(ValueError, match=said):
        triangles_in(CORNERS + face, "a.obj")


def glb(described: dict[str, object], binary: bytes = b"\0" * 64) -> bytes:
    text = json.dumps(described).encode().ljust(-(-len(json.dumps(described)) // 4) * 4)
    body = (
        struct.pack("<I4s", len(text), b"JSON") + text + struct.pack("<I4s", len(binary), b"BIN\0") + binary
    )
    return b"glTF" + struct.pack("<II", 2, 12 + len(body)) + body


def asking(**changed: object) -> dict[str, object]:
    return {
        "asset": {"version": "2.0"}, "scene": 0, "scenes": [{"nodes": [0]}], "nodes": [{"mesh": 0}],
        "meshes": [{"primitives": [{"attributes": {"POSITION": 0}}]}],
        "accessors": [{"bufferView": 0, "componentType": 5126, "count": 3, "type": "VEC3"}],
        "bufferViews": [{"buffer": 0, "byteLength": 64}], "buffers": [{"byteLength": 64}],
    } | changed  # fmt: skip


TRIANGLE = np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0]], "<f4").tobytes().ljust(64, b"\0")


def test_a_glb_as_small_as_can_be_is_read():
    vertices, faces = triangles_in(glb(asking(), TRIANGLE), "a.glb")
    assert vertices[faces].tolist() == [[[0, 0, 0], [1, 0, 0], [0, 1, 0]]]


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"accessors": [{"componentType": 5126, "count": 10**9, "type": "VEC3"}]}, "stand in no buffer"),
        (
            {"accessors": [{"bufferView": 0, "componentType": 5126, "count": 10**9, "type": "VEC3"}]},
            "holds 1000000000",
        ),
        ({"extensionsRequired": ["KHR_draco_mesh_compression"]}, "needs KHR_draco_mesh_compression"),
        ({"nodes": [{"children": [1, 2]}, {"children": [2]}, {"mesh": 0}]}, "hangs on two others"),
        ({"nodes": [{"mesh": 0}] * 3000}, "has 3000 nodes"),
        ({"nodes": 5}, "is no glTF"),
    ],
)
def test_a_glb_that_asks_for_too_much_is_refused_before_it_is_read(changed, said):
    with pytest.raises(ValueError, match=said):
        triangles_in(glb(asking(**changed)), "a.glb")


@pytest.mark.native  # measures a process
def test_files_made_to_take_memory_do_not_get_it():
    """Each in a process of its own, which has trimesh loaded already, by what the system says that it took at most."""
    script = f"""
import os, resource, sys
sys.path.insert(0, {str(FOLDER)!r})
from bombs import BOMBS
from posekit.shape.mesh_file import triangles_in
import trimesh
for name in BOMBS:
    if child := os.fork():
        assert os.waitpid(child, 0)[1] == 0, name
        continue
    base = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    content, path = BOMBS[name]()
    try:
        triangles_in(content, path)
        told = "a mesh"
    except ValueError as refused:
        told = str(refused)[:200].replace("\\n", " ")
    used = (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - base) / 1024
    print(name, told, used, sep="\\t", flush=True)
    os._exit(0)
"""
    run = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True)
    rows = [line.split("\t") for line in run.stdout.splitlines()]
    assert run.returncode == 0, run.stderr
    assert [name for name, _, _ in rows] == list(runpy.run_path(str(FOLDER / "bombs.py"))["BOMBS"])
    for name, told, used in rows:
        assert told and float(used) < 512.0, (name, told, used)


def plain_files() -> dict[str, bytes]:
    """As posekit keeps meshes, as the demo props have them, as trimesh writes them."""
    vertices, faces = np.asarray(solid().vertices), np.asarray(solid().faces)
    beak = (ROOT / "models/heron/meshes/beak.ply").read_bytes()
    return {"kept": ply_bytes(vertices, faces), "demo": beak, "written": written("ply")}


@pytest.mark.parametrize("name", plain_files())
def test_a_plain_ply_is_read_as_trimesh_reads_it(name: str) -> None:
    content = plain_files()[name]
    found = plain_ply(content)
    assert found is not None
    there = trimesh.load_mesh(BytesIO(content), file_type="ply", process=False)
    np.testing.assert_array_equal(found[0], there.vertices)
    np.testing.assert_array_equal(found[1], there.faces)


def test_a_ply_that_is_not_plain_to_the_last_byte_is_left_to_trimesh() -> None:
    content = plain_files()["kept"]
    head, _, _ = content.partition(b"end_header\n")
    square = bytearray(content)
    square[len(head) + len(b"end_header\n") + 12 * len(solid().vertices)] = 4  # corners of the first face
    coloured = content.replace(b"property float z\n", b"property float z\nproperty uchar red\n")
    for other in (
        content[:-1],
        content + b"\n",
        bytes(square),
        coloured,
        written("ply_ascii"),
        b"ply\n",
        b"",
    ):
        assert plain_ply(other) is None


def test_a_mesh_is_read_once_as_long_as_nothing_of_it_changes() -> None:
    corners, faces = np.asarray(solid().vertices), np.asarray(solid().faces)
    first, moved = (ply_bytes(corners + by, faces) for by in (0.0, 1.0))
    found = triangles_in(first, "a.ply")
    assert triangles_in(bytes(bytearray(first)), "other/A.PLY") is found
    ends = found[0].max(axis=0)  # rounding may order vertices otherwise
    np.testing.assert_allclose(triangles_in(moved, "a.ply")[0].max(axis=0), ends + 1.0, atol=1e-5)
    np.testing.assert_array_equal(triangles_in(first, "a.ply", 2.0)[0].max(axis=0), ends * 2.0)
    with pytest.raises(ValueError, match="no triangle"):
        triangles_in(first, "a.obj")
    for each in found:
        with pytest.raises(ValueError, match="read-only"):
            each[0] = 0


def test_meshes_that_were_read_take_so_much_memory_and_no_more() -> None:
    corners, faces = np.asarray(solid().vertices), np.asarray(solid().faces)
    for place in range(KEPT_MESHES + 5):
        triangles_in(ply_bytes(corners + place, faces), "a.ply")
    assert len(mesh_file._kept) == KEPT_MESHES
    side = int((KEPT_MESH_BYTES / 24) ** 0.5) + 2
    grid = np.array([[x, y, 0.0] for x in range(side) for y in range(side)])
    first = np.array([x * side + y for x in range(side - 1) for y in range(side - 1)])
    large = ply_bytes(grid, np.stack([first, first + side, first + 1], axis=1))
    assert triangles_in(large, "a.ply") is not triangles_in(large, "a.ply")
    assert all(sum(each.nbytes for each in found) <= KEPT_MESH_BYTES for found in mesh_file._kept.values())
