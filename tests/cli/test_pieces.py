"""`posekit pieces`: pieces are made beside the mesh, and those there are are checked."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import trimesh
from click.testing import CliRunner

import posekit
from posekit.clearance import solids
from posekit.clearance.cover import coverage_findings
from posekit.cli.main import main

TEXT = """
format = 1
name = "Bracket"

[links.base]
[[links.base.shapes]]
mesh = "meshes/bracket.stl"
scale = 10.0
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A prop of one link: an L of two bars, in centimetres."""
    bar = trimesh.creation.box((6.0, 2.0, 2.0))
    post = trimesh.creation.box((2.0, 4.0, 2.0))
    post.apply_translation((2.0, 3.0, 0.0))
    (tmp_path / "meshes").mkdir()
    (tmp_path / "prop.toml").write_text(TEXT)
    trimesh.util.concatenate([bar, post]).export(tmp_path / "meshes" / "bracket.stl")
    return tmp_path


@pytest.mark.native
def test_pieces_are_written_beside_the_mesh_and_cover_it(folder):
    pytest.importorskip("coacd")
    told = CliRunner().invoke(main, ["pieces", str(folder), "meshes/bracket.stl", "--concavity", "0.1"])
    assert told.exit_code == 0, told.output
    assert 'pieces = "meshes/bracket.pieces.json"' in told.output
    (folder / "prop.toml").write_text(TEXT + 'pieces = "meshes/bracket.pieces.json"\n')
    prop = posekit.load(folder)
    assert coverage_findings(prop) == []
    parts = solids(prop)
    assert parts.findings == ()
    assert len(parts.owner) >= 2
    assert 0.0 < parts.radius.max() < 2.0
    again = CliRunner().invoke(main, ["pieces", str(folder), "meshes/bracket.stl"])
    assert again.exit_code == 2
    assert "already exists" in again.stderr


def test_pieces_that_leave_part_of_the_mesh_out_are_told(folder):
    corner = [
        [-3, -1, -1],
        [3, -1, -1],
        [-3, 1, -1],
        [3, 1, -1],
        [-3, -1, 1],
        [3, -1, 1],
        [-3, 1, 1],
        [3, 1, 1],
    ]
    content = {"format": 1, "skin": 0.0, "pieces": [corner]}
    (folder / "meshes" / "bracket.pieces.json").write_text(json.dumps(content))
    (folder / "prop.toml").write_text(TEXT + 'pieces = "meshes/bracket.pieces.json"\n')
    told = CliRunner().invoke(main, ["pieces", str(folder), "--json"])
    assert told.exit_code == 1
    [finding] = json.loads(told.stdout)["findings"]
    assert finding["code"] == "pieces-short"
    assert "by up to 40.00 mm" in finding["message"]
    for command in ("check", "envelope"):  # nothing is proved of a mesh that its pieces do not cover
        done = CliRunner().invoke(main, [command, str(folder)])
        assert done.exit_code == 1
        assert "by up to 40.00 mm" in done.output


def test_a_mesh_the_prop_does_not_have_is_refused_with_those_it_has(folder):
    told = CliRunner().invoke(main, ["pieces", str(folder), "meshes/bracke.stl", "--within", "-1"])
    assert told.exit_code == 2
    assert "meshes/bracke.stl" in told.stderr
    assert "its meshes are: meshes/bracket.stl" in told.stderr
    assert "--within = -1: use 0 or more" in told.stderr


def test_no_pose_is_written_of_a_prop_whose_pieces_cannot_be_read(folder):
    (folder / "meshes" / "bracket.pieces.json").write_text("{")
    (folder / "prop.toml").write_text(TEXT + 'pieces = "meshes/bracket.pieces.json"\n')
    told = CliRunner().invoke(main, ["pose", str(folder), "1/1@0", "-o", str(folder / "out.glb")])
    assert told.exit_code == 2
    assert "bracket.pieces.json" in told.output
    assert not (folder / "out.glb").exists()
