"""Where a URDF finds its meshes, and that it reaches nothing else."""

from __future__ import annotations

import os
from pathlib import Path, PurePosixPath

import pytest

from posekit.budgets import FOLDERS_UP
from posekit.errors import PosekitError
from posekit.exchange.urdf.lookup import among, on_disk, reach_of


@pytest.fixture
def workspace(tmp_path: Path) -> Path:
    """Two packages beside each other, as a workspace has them, and a mesh that is in neither."""
    for way in ("keeper/urdf", "keeper/meshes", "lamps/meshes", "aside"):
        (tmp_path / "space" / way).mkdir(parents=True)
    for way in ("keeper/meshes/arm.stl", "lamps/meshes/lamp.obj", "aside/own.stl"):
        (tmp_path / "space" / way).write_text(way)
    return tmp_path / "space"


def found(urdf: Path, filename: str) -> str:
    return on_disk(urdf, 1000)(filename)[1].decode()


def refused(urdf: Path, filename: str) -> str:
    with pytest.raises(PosekitError) as told:
        on_disk(urdf, 1000)(filename)
    return str(told.value)


@pytest.mark.parametrize(
    ("filename", "way"),
    [
        ("package://keeper/meshes/arm.stl", "keeper/meshes/arm.stl"),
        ("package://lamps/meshes/lamp.obj", "lamps/meshes/lamp.obj"),
        ("package:///lamps/meshes/lamp.obj", "lamps/meshes/lamp.obj"),
        ("model://lamps/meshes/lamp.obj", "lamps/meshes/lamp.obj"),
        ("package://keeper_before_it_was_renamed/meshes/arm.stl", "keeper/meshes/arm.stl"),
        ("../meshes/arm.stl", "keeper/meshes/arm.stl"),
        ("./../meshes/arm.stl", "keeper/meshes/arm.stl"),
        ("meshes/arm.stl", "keeper/meshes/arm.stl"),
        ("../../lamps/meshes/lamp.obj", "lamps/meshes/lamp.obj"),
    ],
)
def test_meshes_are_found_from_the_folder_of_the_urdf_upward(
    workspace: Path, filename: str, way: str
) -> None:
    assert found(workspace / "keeper" / "urdf" / "keeper.urdf", filename) == way


def test_file_names_where_it_lies_if_that_is_within_reach(workspace: Path) -> None:
    urdf = workspace / "keeper" / "urdf" / "keeper.urdf"
    mesh = workspace / "keeper" / "meshes" / "arm.stl"
    assert found(urdf, f"file://{mesh}") == found(urdf, str(mesh)) == "keeper/meshes/arm.stl"
    assert "lies outside of" in refused(urdf, "file:///usr/share/secret.stl")
    assert "lies outside of" in refused(urdf, "/usr/share/secret.stl")
    assert "leads out of its folder" in refused(urdf, f"file://{workspace}/keeper/../aside/own.stl")


@pytest.mark.parametrize(
    ("filename", "why"),
    [
        ("../" * (FOLDERS_UP + 1) + "a.stl", "leads out of"),
        ("../" * 40 + "etc/a.stl", "leads out of"),
        ("meshes/../../../a.stl", "leads out of its folder"),
        ("package://keeper/../aside/own.stl", "leads out of its folder"),
        ("package://../aside/own.stl", "leads out of its folder"),
        ("package:///etc/own.stl", "is not there"),
        ("package://keeper/con.stl", "device"),
        ("meshes//arm.stl", "empty part"),
        ("C:\\arm.stl", "cannot be a file name"),
        ("http://example.com/arm.stl", "posekit fetches nothing"),
        ("a\x00.stl", "cannot be a file name"),
        ("/dev/zero", "is no mesh that posekit reads"),
        ("../../../../etc/passwd", "is no mesh that posekit reads"),
        ("arm.mesh", "export it as one of .stl, .obj, .ply, .glb, .dae"),
    ],
)
def test_a_name_that_leads_out_of_reach_or_is_no_mesh_is_refused(
    workspace: Path, filename: str, why: str
) -> None:
    assert why in refused(workspace / "keeper" / "urdf" / "keeper.urdf", filename)


@pytest.mark.native
@pytest.mark.skipif(os.name == "nt", reason="links need rights there")
def test_a_symbolic_link_may_lead_anywhere_within_reach_and_nowhere_else(workspace: Path) -> None:
    meshes, urdf = workspace / "keeper" / "meshes", workspace / "keeper" / "urdf" / "keeper.urdf"
    (meshes / "linked.stl").symlink_to(workspace / "aside" / "own.stl")
    assert found(urdf, "../meshes/linked.stl") == "aside/own.stl"
    (meshes / "zero.stl").symlink_to("/dev/zero")
    (workspace / "system").symlink_to(os.path.sep)
    (meshes / "itself.stl").symlink_to(meshes / "itself.stl")
    for filename in ("../meshes/zero.stl", "package://system/dev/zero.stl"):
        assert "leads out" in refused(urdf, filename) or "is not there" in refused(urdf, filename)
    assert "leads out of its folder by a symbolic link" in refused(urdf, "../meshes/zero.stl")
    assert "is not there" in refused(urdf, "../meshes/itself.stl")


@pytest.mark.native
@pytest.mark.skipif(os.name == "nt", reason="pipes are made the POSIX way")
def test_what_is_no_ordinary_file_or_too_large_is_refused(workspace: Path) -> None:
    meshes, urdf = workspace / "keeper" / "meshes", workspace / "keeper" / "urdf" / "keeper.urdf"
    os.mkfifo(meshes / "pipe.stl")
    (meshes / "folder.stl").mkdir()
    (meshes / "large.stl").write_bytes(bytes(1001))
    assert "not an ordinary file" in refused(urdf, "../meshes/pipe.stl")
    assert "not an ordinary file" in refused(urdf, "../meshes/folder.stl")
    assert "1001 bytes" in refused(urdf, "../meshes/large.stl")


def test_the_reach_ends_below_a_home_folder_and_below_the_top_of_the_disc() -> None:
    folder = PurePosixPath("/home/kim/robots/keeper/urdf")
    above = ["/home/kim/robots/keeper/urdf", "/home/kim/robots/keeper", "/home/kim/robots"]
    assert list(map(str, reach_of(folder, PurePosixPath("/home/kim")))) == above
    assert list(map(str, reach_of(PurePosixPath("/a/b")))) == ["/a/b", "/a"]
    assert len(reach_of(PurePosixPath("/1/2/3/4/5/6/7/8/9"))) == FOLDERS_UP + 1


def test_files_that_are_there_already_are_looked_through_the_same_way() -> None:
    files = {"keeper/meshes/arm.stl": b"arm", "lamps/meshes/lamp.obj": b"lamp"}
    find = among(files, "keeper/urdf/keeper.urdf")
    assert find("package://keeper/meshes/arm.stl") == ("keeper/meshes/arm.stl", b"arm")
    assert find("package://lamps/meshes/lamp.obj") == ("lamps/meshes/lamp.obj", b"lamp")
    assert find("../meshes/arm.stl") == ("keeper/meshes/arm.stl", b"arm")
    with pytest.raises(PosekitError) as told:
        find("other.stl")
    assert "it was looked for as keeper/urdf/other.stl, keeper/other.stl, other.stl; put it" in str(
        told.value
    )
