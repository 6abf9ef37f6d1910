"""An axis read off a part: where the figure stands with all joints at 0, as a joint is placed there."""

from __future__ import annotations

import json
import struct
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner, Result

import posekit
from posekit.authoring.hinge import axis_of, axis_through, axis_through_holes, surface_at
from posekit.authoring.world import place_joint
from posekit.cli import main
from posekit.mechanism.kinematics import forward
from posekit.transforms import placement
from tests.authoring.turned_parts import Mesh, plate_with_hole, sphere, wall

# A cheek with a hole of 24 flats about its own z, turned and moved as a shape, on a link that hangs askew.
TEXT = """
format = 1
name = "Cheeks"

[links.base]
[[links.base.shapes]]
box = [60, 60, 4]
[[links.base.shapes]]
mesh = "meshes/cheek.stl"
at = [10, 20, 40]
turn = [90, 0, 0]
[[links.base.shapes]]
mesh = "meshes/cheek.stl"
at = [10.5, -14, 40]
turn = [90, 0, 0]
solid = false

[links.arm]
[[links.arm.shapes]]
mesh = "meshes/cheek.stl"
at = [3, 2, 1]
turn = [10, 20, 30]
[[links.arm.shapes]]
mesh = "meshes/cone.stl"
at = [0, 0, 100]
[[links.arm.shapes]]
mesh = "meshes/ball.stl"
at = [0, 0, 200]

[links.bare]

[joints.arm]   # askew
type = "revolute"
parent = "base"
child = "arm"
at = [0, 0, 100]
turn = [15, -25, 40]
axis = [0, 1, 0]

[joints.bare]
type = "fixed"
parent = "base"
child = "bare"
"""


def stl(mesh: Mesh) -> bytes:
    """A binary STL, as CAD programs write them: float32, each face with corners of its own."""
    vertices, faces = mesh
    rows = b"".join(
        struct.pack("<12fH", 0, 0, 0, *vertices[face].astype(np.float32).ravel(), 0) for face in faces
    )
    return bytes(80) + struct.pack("<I", len(faces)) + rows


MESHES = {
    "meshes/cheek.stl": stl(plate_with_hole(30, 6, 2.5, 24, chamfer=0.5)),
    "meshes/cone.stl": stl(wall(np.linspace(4, 8, 6), np.linspace(0, 10, 6), 32)),
    "meshes/ball.stl": stl(sphere(10, 32, 15)),
}


@pytest.fixture
def cheeks() -> posekit.Prop:
    return posekit.read({"prop.toml": TEXT.encode(), **MESHES})


def in_world(prop: posekit.Prop, at: tuple[float, float, float]) -> np.ndarray:
    """The frame of the arm's first shape, moved along itself, in the world at the zero pose."""
    world = forward(prop, np.zeros((1, len(prop.joints))))[0, [link.name for link in prop.links].index("arm")]
    return world @ placement((3, 2, 1), (10, 20, 30)) @ placement(at, (0, 0, 0))


@pytest.mark.parametrize("aside", [0.0, 2.4])
def test_the_axis_of_a_hole_stands_in_the_world_wherever_its_part_does(
    cheeks: posekit.Prop, aside: float
) -> None:
    """Asked for in the middle of the hole and near its wall."""
    frame = in_world(cheeks, (aside, 0, 2))
    place = surface_at(cheeks, "arm", tuple(frame[:3, 3]))
    axis = axis_of(place)
    assert (place.shape, place.surface.is_hole) == (0, True)
    # 24 flats: their middles lie 2.5 cos(7.5 degrees) off the axis.
    assert place.away == pytest.approx(2.5 * np.cos(np.radians(7.5)) if aside == 0.0 else 0.1, abs=0.03)
    assert axis.radius == pytest.approx(2.5, abs=1e-5)
    right = in_world(cheeks, (0, 0, 2.75))
    assert np.abs(np.array(axis.point) - right[:3, 3]).max() < 1e-4
    assert abs(right[:3, 2] @ axis.direction) > 1 - 1e-10


def test_two_holes_tell_the_pin_through_both(cheeks: posekit.Prop) -> None:
    """The cheeks stand 0.5 mm aside of each other, so the pin is not along either hole; drawn parts count."""
    one = surface_at(cheeks, "base", (10, 17, 40))
    two = surface_at(cheeks, "base", (10.5, -17, 40))
    assert (one.shape, two.shape) == (1, 2)
    axis = axis_through_holes(one, two)
    # A shape turned by 90 degrees about x has its z along -y: the walls' middles are 2.75 mm along that.
    assert np.allclose(axis.point, (10, 17.25, 40), atol=1e-4)
    assert np.allclose(axis.direction, np.array([0.5, -34, 0]) / np.hypot(0.5, 34), atol=1e-6)
    assert axis.radius is None
    with pytest.raises(posekit.PosekitError, match="too near to tell a direction"):
        axis_through_holes(one, one)


def test_two_points_tell_the_axis_between_them() -> None:
    axis = axis_through((1, 2, 3), (1, 2, -7))
    assert (axis.point, axis.direction) == ((1, 2, 3), (0, 0, -1))
    with pytest.raises(posekit.PosekitError, match=r"0\.05 mm apart"):
        axis_through((1, 2, 3), (1, 2, 3.05))


def test_a_joint_placed_on_an_axis_that_was_found_turns_the_part_about_its_hole(cheeks: posekit.Prop) -> None:
    middle = in_world(cheeks, (0, 0, 2.75))
    axis = axis_of(surface_at(cheeks, "arm", tuple(middle[:3, 3])))
    placed = place_joint(cheeks, "arm", axis.point, axis.direction)
    before, after = (forward(prop, [[angle]]) for prop, angle in ((cheeks, 0.0), (placed, 33.0)))
    arm = [link.name for link in cheeks.links].index("arm")
    moved = after[0, arm] @ np.linalg.inv(forward(placed, [[0.0]])[0, arm])
    for along in (-20.0, 0.0, 20.0):
        on_axis = np.append(middle[:3, 3] + along * middle[:3, 2], 1.0)
        assert np.abs(moved @ on_axis - on_axis).max() < 1e-3
    assert "# askew" in placed.text and before.shape == after.shape


@pytest.mark.parametrize(
    ("link", "point", "kind", "told"),
    [
        ("base", (20.0, 10.0, 2.0), "plane", "flat there"),
        ("arm", (6.0, 0.0, 105.0), "cone", "a cone there (21.8 degrees"),
        ("arm", (10.0, 0.0, 200.0), "sphere", "a ball there (radius 10.00 mm)"),
    ],
)
def test_what_has_no_axis_is_told_as_what_it_is(
    cheeks: posekit.Prop, link: str, point: tuple[float, float, float], kind: str, told: str
) -> None:
    if link == "arm":
        world = forward(cheeks, np.zeros((1, 1)))[0, 1]
        point = tuple((world @ [*point, 1.0])[:3])
    place = surface_at(cheeks, link, point)
    assert place.surface.kind == kind == place.as_dict()["kind"]
    with pytest.raises(posekit.PosekitError) as refused:
        axis_of(place)
    (finding,) = refused.value.findings
    assert (finding.code, finding.subject) == ("no-axis", link) and told in finding.message


def test_a_point_far_from_a_part_and_a_part_without_shapes_are_refused(cheeks: posekit.Prop) -> None:
    with pytest.raises(posekit.PosekitError, match=r"elsewhere: .* from \[-30\.0, -30\.0, -2\.0\]"):
        surface_at(cheeks, "base", (0, 0, -160))
    with pytest.raises(posekit.PosekitError, match="elsewhere"):
        surface_at(cheeks, "base", (0, float("nan"), 0))
    with pytest.raises(posekit.PosekitError, match="has no shape"):
        surface_at(cheeks, "bare", (0, 0, 0))
    with pytest.raises(posekit.PosekitError, match="arms"):
        surface_at(cheeks, "arms", (0, 0, 0))


def run(*words: str) -> Result:
    return CliRunner().invoke(main, ["hinge", *words])


def test_the_command_tells_an_axis_and_writes_a_joint_there(cheeks: posekit.Prop, tmp_path: Path) -> None:
    folder = tmp_path / "cheeks"
    posekit.save(cheeks, folder)
    x, y, z = in_world(cheeks, (0, 0, 2))[:3, 3]
    spot = f"arm@{x},{y},{z}"
    done = run(str(folder), spot, "--json")
    assert done.exit_code == 0, done.output
    told = json.loads(done.stdout)
    (place,) = told["places"]
    assert (place["kind"], place["is_hole"], place["link"], told["findings"]) == ("cylinder", True, "arm", [])
    assert place["share_of_turn"] == pytest.approx(1.0) and told["axis"]["radius_mm"] == pytest.approx(
        2.5, abs=1e-5
    )
    words = run(str(folder), spot)
    assert "a hole" in words.stdout and "100%" in words.stdout and "Axis through" in words.stdout
    assert run(str(folder), spot, "--joint", "arm").exit_code == 0
    assert (folder / "prop.toml").read_text() == TEXT  # without --write nothing is
    assert run(str(folder), spot, "--joint", "arm", "--write").exit_code == 0
    placed = posekit.load(folder)
    assert placed == place_joint(cheeks, "arm", told["axis"]["point"], told["axis"]["direction"])


def test_the_command_takes_a_second_place_or_a_bare_point(cheeks: posekit.Prop, tmp_path: Path) -> None:
    posekit.save(cheeks, tmp_path / "cheeks")
    folder = str(tmp_path / "cheeks")
    both = json.loads(run(folder, "base@10,17,40", "base@10.5,-17,40", "--json").stdout)
    assert np.allclose(both["axis"]["direction"], np.array([0.5, -34, 0]) / np.hypot(0.5, 34), atol=1e-6)
    bare = json.loads(run(folder, "base@10,17,40", "-10,17.25,40", "--json").stdout)
    assert np.allclose(bare["axis"]["direction"], (-1, 0, 0), atol=1e-4) and len(bare["places"]) == 1
    points = json.loads(run(folder, "-1,2,3", "-1,2,13", "--json").stdout)
    assert points["axis"] == {"point": [-1, 2, 3], "direction": [0, 0, 1], "radius_mm": None}


def test_a_fixed_joint_that_is_placed_on_a_hole_turns_there(cheeks: posekit.Prop, tmp_path: Path) -> None:
    """As all joints are that a CAD assembly comes with."""
    fixed = posekit.edit(cheeks, "joints.arm.type", "fixed")
    posekit.save(fixed, tmp_path / "cheeks")
    x, y, z = in_world(cheeks, (0, 0, 2))[:3, 3]
    done = run(str(tmp_path / "cheeks"), f"arm@{x},{y},{z}", "--joint", "arm", "--write")
    assert done.exit_code == 0 and "is revolute now" in done.stdout
    (joint,) = posekit.load(tmp_path / "cheeks").joints
    assert (joint.name, joint.type) == ("arm", "revolute")


def test_the_command_says_why_there_is_no_axis(cheeks: posekit.Prop, tmp_path: Path) -> None:
    posekit.save(cheeks, tmp_path / "cheeks")
    folder = str(tmp_path / "cheeks")
    flat = run(folder, "base@20,10,2", "--json")
    assert flat.exit_code == 1 and json.loads(flat.stdout)["axis"] is None
    assert json.loads(flat.stdout)["places"][0]["kind"] == "plane"
    for words in (["base@1,2"], ["base"], ["1,2,3"], ["base@1,2,nan"], ["base@10,17,40", "--write"]):
        assert run(folder, *words).exit_code == 2, words
    assert run(folder, "base@20,10,2", "--joint", "arm", "--write").exit_code == 1
    assert (tmp_path / "cheeks" / "prop.toml").read_text() == TEXT
