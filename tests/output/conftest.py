"""Props to write, and the tools that read what was written: none of them shares code with the writer."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
import pygltflib
import pytest
import trimesh

from posekit.mechanism.pose import Pose
from posekit.pipeline import pose_at, rest
from posekit.prop.model import Prop
from posekit.prop.reader import read

ROOT = Path(__file__).parents[2]

CRANE = """
format = 1
name = "Crane"

[servos.standard]

[links.base]
[[links.base.shapes]]
box = [120, 80, 20]
at = [0, 0, 10]
colour = "#204060"

[links.mast]
[[links.mast.shapes]]
cylinder = {radius = 12, length = 200}
at = [0, 0, 100]
colour = "#C0C0C0"
[[links.mast.shapes]]
sphere = {radius = 25}
at = [0, 0, 200]
colour = "#c0c0c0"

[links.boom]
[[links.boom.shapes]]
capsule = {radius = 8, length = 180}
at = [90, 0, 0]
turn = [0, 90, 0]
colour = "#c0c0c0"

[links.trolley]
[[links.trolley.shapes]]
box = [20, 30, 10]
solid = false
[[links.trolley.shapes]]
sphere = {radius = 25}
at = [0, 5, -20]

[joints.slew]
type = "revolute"
parent = "base"
child = "mast"
at = [10, 0, 20]
axis = [0, 0, 2]
stops = [-170, 170]

[joints.luff]
type = "revolute"
parent = "mast"
child = "boom"
at = [0, 0, 200]
turn = [0, -20, 15]
axis = [0, -1, 0]

[joints.travel]
type = "prismatic"
parent = "boom"
child = "trolley"
at = [30, 0, -12]
turn = [10, 0, 0]
axis = [1, 0, 0]
stops = [0, 120]

[drives.slew]
servo = "standard"
joint = "slew"
address = 1
bits = 16

[drives.luff]
servo = "standard"
joint = "luff"
address = 3

[drives.travel]
servo = "standard"
joint = "travel"
address = 4
linkage = {type = "slider_crank", crank = 40, coupler = 120, shaft_zero = 90, joint_zero = 60}
"""


@pytest.fixture
def crane() -> Prop:
    """A slewing crane: one joint of each kind, forms and colours used twice, one shape that is not solid."""
    return read({"prop.toml": CRANE.encode()})


@pytest.fixture
def crane_pose(crane: Prop) -> Pose:
    """The crane with every joint off its zero."""
    return pose_at(crane, [41000, 170, 60])


@pytest.fixture
def demo_pose(demo: Prop) -> Pose:
    """The demo prop at rest."""
    return rest(demo)


@pytest.fixture
def wander() -> Callable[[Prop, int], tuple[np.ndarray, np.ndarray]]:
    """Times (T,) and positions (T, J) of a motion in which every joint swings, each at its own pace."""

    def swing(prop: Prop, frames: int) -> tuple[np.ndarray, np.ndarray]:
        times = np.linspace(0.0, 4.0, frames)
        return times, 20.0 * np.sin(np.outer(times, 1.0 + 0.3 * np.arange(len(prop.joints))))

    return swing


@dataclass
class Opened:
    """A GLB as other libraries understand it."""

    glb: bytes

    @cached_property
    def document(self) -> pygltflib.GLTF2:
        return pygltflib.GLTF2.load_from_bytes(self.glb)

    @cached_property
    def scene(self) -> trimesh.Scene:
        return trimesh.load_scene(BytesIO(self.glb), file_type="glb")

    def node(self, name: str) -> Any:
        return next(node for node in self.document.nodes if node.name == name)

    def primitive(self, name: str) -> Any:
        return next(mesh.primitives[0] for mesh in self.document.meshes if mesh.name == name)

    def numbers(self, accessor: int) -> np.ndarray:
        """The content of an accessor, by the sizes that glTF 2.0 gives in 3.6.2.2."""
        found = self.document.accessors[accessor]
        view = self.document.bufferViews[found.bufferView]
        width = {"SCALAR": 1, "VEC3": 3, "VEC4": 4}[found.type]
        kind = {5126: "<f4", 5123: "<u2", 5125: "<u4"}[found.componentType]
        start = view.byteOffset + found.byteOffset
        flat = np.frombuffer(self.document.binary_blob(), kind, found.count * width, start)
        return flat.reshape(found.count, width)

    def vertices_and_normals(self, name: str) -> tuple[np.ndarray, np.ndarray]:
        attributes = self.primitive(name).attributes
        return self.numbers(attributes.POSITION), self.numbers(attributes.NORMAL)


@pytest.fixture
def opened() -> Callable[[bytes], Opened]:
    """Opens a GLB with libraries that know nothing of posekit."""
    return Opened


# glTF 2.0, 3.4 "Coordinate System and Units": +Y up, +Z front, +X left (published); ours: +Z up, +X front.
GLTF_FROM_OURS = np.array([[0.0, 1.0, 0.0], [0.0, 0.0, 1.0], [1.0, 0.0, 0.0]])


@pytest.fixture
def assert_stands() -> Callable[[np.ndarray, np.ndarray], None]:
    """Compares a frame in glTF (m) with a link in our world (mm)."""

    def compare(gltf_from_link: np.ndarray, world_from_link: np.ndarray) -> None:
        turned = GLTF_FROM_OURS @ world_from_link[:3, :3]
        placed = GLTF_FROM_OURS @ world_from_link[:3, 3] / 1000
        np.testing.assert_allclose(gltf_from_link[:3, :3], turned, rtol=0, atol=2e-6)
        np.testing.assert_allclose(gltf_from_link[:3, 3], placed, rtol=0, atol=2e-6)

    return compare


@pytest.fixture
def validate(tmp_path: Path) -> Callable[[bytes], list[str]]:
    """The errors and warnings of the Khronos glTF validator (npm gltf-validator) for a GLB."""
    if sys.platform == "emscripten":
        pytest.skip("starts Node, and a page starts no processes")
    node = shutil.which("node")
    there = node is not None and (ROOT / "web/node_modules/gltf-validator").is_dir()
    assert node and there, "the glTF validator needs node on the PATH and `npm ci` in web/"

    def issues(glb: bytes) -> list[str]:
        file = tmp_path / "validated.glb"
        file.write_bytes(glb)
        script = Path(__file__).with_name("validate.cjs")
        told = subprocess.run([node, script, file], capture_output=True, text=True, check=True)
        report = json.loads(told.stdout)
        assert report["info"]["totalTriangleCount"] > 0, "the validator did not look into the file"
        return [f"{found['pointer']}: {found['message']}" for found in report["issues"]["messages"]]

    return issues
