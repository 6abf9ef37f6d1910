"""Law: what a page does first - open a prop, pose it, tell what is near - loads what that needs and no more."""

from __future__ import annotations

import subprocess
import sys

import pytest

from tests.conftest import ROOT

FIRST = """
import json, sys
from pathlib import Path
from posekit.bridge import Dispatcher
door, folder = Dispatcher(), Path(sys.argv[1])
names = [str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file()]
files = {name: {"$block": index} for index, name in enumerate(names)}
blocks = [(folder / name).read_bytes() for name in names]
assert door.handle("open", json.dumps({"files": files, "name": "heron"}), blocks)[0] == "done"
assert door.handle("pose", json.dumps({"values": {}}))[0] == "done"
print(" ".join(sys.modules))
assert door.handle("near", json.dumps({"values": {}, "seconds": 60.0}))[0] == "done"
print(" ".join(sys.modules))
"""
# What tells distances, torques and weights, reads meshes, and writes files.
AFTER_THE_POSE = (
    "posekit.clearance",
    "posekit.statics.newton_euler",
    "posekit.mechanism.mass",
    "posekit.shape.mesh_file",
    "posekit.output.gltf",
    "posekit.toml.editing",
    "posekit.mechanism.inverse",
)
# The envelope, and what `check` looks at when asked to.
LATER = ("certify", "search", "fixes", "slices", "end_points", "cover")


@pytest.mark.native
def test_what_no_first_pose_needs_is_not_loaded_for_it() -> None:
    words = [sys.executable, "-c", FIRST, str(ROOT / "models" / "heron")]
    told = subprocess.run(words, capture_output=True, text=True, check=True).stdout.splitlines()
    posed, loaded = (line.split() for line in told)
    assert "posekit.pipeline" in posed
    assert sorted(set(AFTER_THE_POSE) & set(posed)) == []
    assert "posekit.clearance.near_pairs" in loaded
    too_early = {*(f"posekit.clearance.{name}" for name in LATER), "trimesh"}
    assert sorted(too_early & set(loaded)) == []
