"""A builder's walk: parts out of CAD, joints out of their holes, a linkage out of the movement; no TOML by hand.

The figure is a hare that rings a handbell: a post with a bearing, an arm on it, a bell in a bearing at its end.
"""

from __future__ import annotations

import json

import numpy as np
import pytest
import trimesh
from click.testing import CliRunner

import posekit
from posekit.authoring.add import add_drive, add_servo
from posekit.authoring.contents import at_zero
from posekit.authoring.hinge import axis_of, surface_at
from posekit.authoring.movement import Movement, proposals, with_linkage
from posekit.authoring.servo_types import typical_keys
from posekit.authoring.world import hang, place_joint
from posekit.cli.main import main
from posekit.prop.writer import edit, save

pytestmark = pytest.mark.native

SHOULDER, WRIST = np.array([0.0, 0.0, 150.0]), np.array([90.0, 0.0, 150.0])  # both axes along y


def ring(middle, radius, width, across=0.0):
    """A bearing eye along y about a hole of 40 flats."""
    eye = trimesh.creation.annulus(radius, radius + 6, width, sections=40)
    eye.apply_transform(trimesh.transformations.rotation_matrix(np.pi / 2, (1, 0, 0)))
    eye.apply_translation(np.add(middle, (0, across, 0)))
    return eye


def block(low, high):
    return trimesh.creation.box(bounds=[low, high])


@pytest.fixture
def drawings(tmp_path):
    """STL files in CAD coordinates, whose origin is the middle of the floor."""
    parts = {
        "post": [
            block((-60, -50, 0), (60, 50, 20)),
            block((-9, 12, 15), (9, 20, 142)),
            ring(SHOULDER, 4, 8, 16),
        ],
        "arm": [ring(SHOULDER, 4, 8), block((9, -4, 145), (81, 4, 155)), ring(WRIST, 3, 8)],
        "bell": [ring(WRIST, 3, 8, 10), block((84, 8, 100), (96, 14, 144))],
    }
    files = []
    for name, bodies in parts.items():
        files.append(str(tmp_path / f"{name}.stl"))
        trimesh.util.concatenate(bodies).export(files[-1])
    return files


def turned_about_y(point, middle, degrees):
    """Where a point comes to, by hand: about an axis along y through `middle`, from +z to +x."""
    c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    x, y, z = point - middle
    return np.add(middle, (c * x + s * z, y, c * z - s * x))


def test_from_drawings_to_a_figure_that_moves_as_worked_out_by_hand(tmp_path, drawings):
    folder = tmp_path / "hare"
    done = CliRunner().invoke(main, ["new", str(folder), *drawings, "--unit", "mm"])
    assert done.exit_code == 0, done.output

    # Joints where the holes are.
    prop = hang(posekit.load(folder), "bell", "arm")
    for joint, middle, wall in (("arm", SHOULDER, (0, 1, 4)), ("bell", WRIST, (0, 11, 3))):
        axis = axis_of(surface_at(prop, joint, tuple(np.add(middle, wall))))
        along = np.array(axis.direction) * np.sign(axis.direction[1])
        np.testing.assert_allclose(along, (0, 1, 0), atol=1e-6)
        np.testing.assert_allclose(np.cross(np.array(axis.point) - middle, along), 0, atol=1e-3)
        prop = place_joint(prop, joint, tuple(middle), tuple(along), type="revolute")
    prop = edit(edit(prop, "joints.arm.stops", [-40.0, 50.0]), "joints.bell.stops", [-30.0, 30.0])

    # Drives, and for the arm the four-bar that takes it from -30 to 35 degrees.
    prop = add_servo(prop, "standard", typical_keys("standard"))
    for joint in ("arm", "bell"):
        prop = add_drive(prop, joint, {"servo": "standard", "joint": joint})
    prop = edit(prop, "drives.bell.pulse", {"low": 1300, "high": 1700})
    found = proposals(prop, "arm", Movement(joint=(-30.0, 35.0)), types=("four_bar",))
    best = found.candidates[0]
    prop = with_linkage(prop, "arm", best)
    save(prop, folder)
    prop = posekit.load(folder)

    # The clapper's end, by hand: about the wrist first, then about the shoulder.
    tip, zero = np.array([90.0, 11.0, 100.0]), at_zero(prop)["bell"]
    for values in ([0, 0], [255, 255], [128, 40]):
        state = posekit.pose_at(prop, values)
        assert state.findings == ()
        arm, bell = state.joints["arm"], state.joints["bell"]
        by_hand = turned_about_y(turned_about_y(tip, WRIST, bell), SHOULDER, arm)
        stands = np.array(state.links["bell"]) @ np.linalg.inv(zero) @ [*tip, 1.0]
        np.testing.assert_allclose(stands[:3], by_hand, atol=1e-5)
    ends = sorted(posekit.pose_at(prop, [value, 128]).joints["arm"] for value in (0, 255))
    np.testing.assert_allclose(ends, (-30.0, 35.0), atol=0.6)
    # 1300 to 1700 us of 1000 to 2000 for 90 degrees, directly on the shaft.
    assert posekit.pose_at(prop, [128, 255]).joints["bell"] == pytest.approx(18.0)

    assert [finding for finding in posekit.check(prop) if finding.level == "error"] == []
    told = CliRunner().invoke(main, ["envelope", str(folder), "--jobs", "1", "--json"])
    assert told.exit_code == 0, told.output
    assert {tuple(each["pair"]): each["verdict"] for each in json.loads(told.stdout)["pairs"]} == {
        ("post", "arm"): "clear",
        ("post", "bell"): "clear",
        ("arm", "bell"): "clear",
    }
    posekit.gltf.write(prop, posekit.pose_at(prop, [0, 0]), tmp_path / "hare.glb")
    assert [link.name for link in posekit.load(tmp_path / "hare.glb").links] == ["post", "arm", "bell"]
