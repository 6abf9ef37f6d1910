"""A URDF of our own with every shape and kind of joint, against numbers worked out by hand; and faulty ones."""

from __future__ import annotations

from math import degrees
from pathlib import Path

import numpy as np
import pytest

import posekit
from posekit.errors import PosekitError
from posekit.exchange.assembly import Assembly, Part
from posekit.exchange.urdf.assembly import urdf_assembly
from posekit.exchange.urdf.lookup import among
from posekit.prop.model import Follow, Joint, Shape
from posekit.shape import Box, Capsule, Cylinder, Sphere
from posekit.transforms import rotation_rpy

LANTERN = Path(__file__).with_name("lantern.urdf")
# One triangle, seen from +z.
ARM = b"solid arm\nfacet\nouter loop\nvertex 0 0 5\nvertex 10 0 5\nvertex 0 10 5\nendloop\nendfacet\nendsolid arm\n"


def read(text: str | bytes, files: dict[str, bytes] | None = None) -> Assembly:
    content = text.encode() if isinstance(text, str) else text
    return urdf_assembly(content, "robot.urdf", among(files or {}, "robot.urdf"))


def lantern() -> Assembly:
    return read(LANTERN.read_bytes(), {"meshes/arm.stl": ARM})


def part(name: str) -> Part:
    return next(part for part in lantern().parts if part.name == name)


def joint(name: str) -> Joint:
    return next(joint for joint in lantern().joints if joint.name == name)


def refused(text: str, files: dict[str, bytes] | None = None) -> str:
    with pytest.raises(PosekitError) as told:
        read(text, files)
    return str(told.value)


def robot(inside: str) -> str:
    return f'<robot name="r">\n{inside}\n</robot>'


ARM_OF_TWO = '<link name="a"/><link name="b"/>'


def jointed(inside: str, type_: str = "revolute") -> str:
    return robot(
        f'{ARM_OF_TWO}<joint name="j" type="{type_}"><parent link="a"/><child link="b"/>{inside}</joint>'
    )


def test_names_mass_and_order_of_parts_are_those_of_the_file() -> None:
    assembly = lantern()
    assert assembly.name == "Lantern keeper"
    names = ["post", "turret", "arm", "lamp", "shutter", "cloud", "mist", "hook"]
    assert [part.name for part in assembly.parts] == names
    assert [part.mass for part in assembly.parts] == [1250.0, *[None] * 7]


def test_a_visual_that_is_also_the_collision_is_one_shape_drawn_and_judged() -> None:
    assert part("post").shapes == (Shape(form=Box(size=(40, 60, 200)), at=(0, 0, 100), colour="#cc9933"),)


def test_visuals_without_a_collision_are_judged_as_drawn_with_colours_by_name_and_by_value() -> None:
    turned, round_ = part("turret").shapes
    assert turned == Shape(
        form=Cylinder(radius=15, length=50), at=(10, 0, 0), turn=(0.0, 90.0, 0.0), colour="#33404c"
    )
    assert round_ == Shape(form=Sphere(radius=20), colour="#33404c")


def test_a_collision_of_its_own_is_judged_and_not_drawn_and_the_visual_the_other_way_round() -> None:
    arm = part("arm")
    assert arm.shapes == (Shape(form=Capsule(radius=10, length=80), at=(50, 0, 0), drawn=False),)
    assert [(skin.drawn, skin.solid) for skin in arm.skins] == [(True, False)]


def test_a_mesh_is_stretched_by_its_scale_and_still_faces_outward_where_that_mirrors_it() -> None:
    (skin,) = part("arm").skins
    corners = skin.vertices[skin.faces[0]]
    # in mm, times 1, -1 and 2
    assert sorted(map(tuple, corners.tolist())) == [(0, -10, 10), (0, 0, 10), (10, 0, 10)]
    normal = np.cross(corners[1] - corners[0], corners[2] - corners[0])
    assert normal / np.linalg.norm(normal) == pytest.approx([0, 0, 1])
    assert (skin.name, skin.colour) == ("arm", None)


def test_a_joint_keeps_its_place_axis_and_limits_in_mm_and_degrees() -> None:
    lift = joint("lift")
    assert (lift.type, lift.parent, lift.child, lift.axis) == ("revolute", "turret", "arm", (0, 1, 0))
    assert lift.at == pytest.approx((20, 0, 10))
    assert lift.turn == pytest.approx((degrees(0.1), degrees(0.2), degrees(0.3)))
    assert lift.stops == pytest.approx((degrees(-0.5), degrees(1.25)))


def test_a_slide_has_its_limits_in_mm_and_x_for_its_axis_where_none_is_given() -> None:
    assert joint("rise").stops == pytest.approx((-10, 30))
    assert joint("rise").axis == (1, 0, 0)


def test_mimic_becomes_follow_between_turns_and_slides() -> None:
    """0.02 m per rad and 0.005 m: 20 mm per 57.3 degrees and 5 mm. -30 rad per m: -30 x 57.3 degrees per 1000 mm."""
    rise, shutter = joint("rise").follow, joint("open").follow
    assert rise == Follow(joint="lift", ratio=pytest.approx(20 / degrees(1)), offset=pytest.approx(5))
    assert shutter == Follow(joint="rise", ratio=pytest.approx(-30 * degrees(1) / 1000), offset=0.0)


@pytest.mark.native
def test_a_turn_may_be_a_quaternion_of_any_length_at_a_right_angle_of_pitch_too() -> None:
    """Against scipy."""
    from scipy.spatial.transform import Rotation

    turns = [*np.random.default_rng(3).uniform(-3, 3, (20, 3)), (0.4, np.pi / 2, 0.3), (0.4, -np.pi / 2, 0.3)]
    for x, y, z, w in 2.5 * Rotation.from_euler("xyz", turns).as_quat():
        assembly = read(jointed(f'<origin quat_xyzw="{x} {y} {z} {w}"/>', "fixed"))
        wanted = Rotation.from_quat((x, y, z, w)).as_matrix()
        assert rotation_rpy(assembly.joints[0].turn) == pytest.approx(wanted, abs=1e-7)


def test_odd_joints_become_what_is_told() -> None:
    kinds = {each.name: each.type for each in lantern().joints}
    assert {name: kinds[name] for name in ("swivel", "drift", "creep", "hang")} == {
        "swivel": "revolute",
        "drift": "fixed",
        "creep": "fixed",
        "hang": "fixed",
    }
    assert joint("swivel").stops is None
    told = {finding.code: str(finding) for finding in lantern().findings}
    assert "swivel: turn without end" in told["continuous"]
    assert "drift, creep: move freely" in told["held"]
    assert "floating and planar" in told["held"]
    assert "open: have no limits" in told["no-stops"]


def test_everything_that_is_left_out_is_told_with_its_line() -> None:
    told = {finding.code: finding for finding in lantern().findings}
    assert told["no-size"].line == 41
    assert "'unheard of' has no colour" in told["colour"].message
    assert "1 transmission, 1 gazebo" in told["passed-over"].message
    assert "effort" in told["left-out"].message


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "is not XML (no element found, column 1)"),
        ("<robot>", "robot.urdf:1: is not XML"),
        ("<sdf/>", "robot.urdf:1: begins with <sdf>, and a URDF with <robot>"),
        (robot(""), "robot.urdf:1: robot: has no <link>"),
        (robot('<link name=""/>'), "robot.urdf:2: link: <link> has no name"),
        (
            robot('<link name="a"/>\n<link name="a"/>'),
            "robot.urdf:3: link 'a': has the same name as the one in line 2",
        ),
        (robot(ARM_OF_TWO), "robot.urdf:2: link 'b': hangs on no joint, and neither does 'a'"),
        (
            jointed("", "hinge"),
            "joint 'j': type = 'hinge': use one of revolute, continuous, prismatic, fixed",
        ),
        (jointed('<axis xyz="0 0 0"/>'), "axis = [0.0, 0.0, 0.0]: give it a direction"),
        (jointed('<axis xyz="0 1"/>'), "axis"),
        (jointed('<limit lower="1" upper="-1"/>'), "lower = 1 lies above upper = -1"),
        (jointed('<limit lower="1e999" upper="0"/>'), "lower = '1e999': a number is needed"),
        (jointed('<origin xyz="0 0 nan"/>'), "xyz = '0 0 nan': 3 numbers with spaces between are needed"),
        (jointed('<origin xyz="0 0 5000"/>'), "lies more than 1000 m away"),
        (jointed('<origin quat_xyzw="0 0 0 0"/>'), "is no turn; use 0 0 0 1 for none"),
        (jointed('<origin quat_xyzw="0 0 0 1" rpy="0 0 0"/>'), "has both rpy and quat_xyzw"),
        (jointed('<mimic joint="j"/>'), "joint 'j': mimics itself"),
        (jointed("").replace('link="b"', 'link="c"'), "child = 'c': there is no link of that name"),
        (jointed("").replace('link="a"', 'link="b"'), "hangs on itself"),
        (
            jointed('<origin rpy="0 0 1e12"/>'),
            "3 numbers with spaces between are needed, none beyond 1000000000",
        ),
        (robot('<link name="a"><inertial><mass value="-1"/></inertial></link>'), "has a mass of -1"),
        (
            robot('<link name="a"><visual/></link>'),
            "visual of link 'a': needs a <geometry> with one of box, sphere",
        ),
        (
            robot('<link name="a"><visual><geometry><box size="1 1"/></geometry></visual></link>'),
            "size = '1 1': 3 numbers with spaces between are needed",
        ),
        (
            robot('<link name="a"><visual><geometry><sphere radius="-1"/></geometry></visual></link>'),
            "radius = -1: use 0 to 1000 m",
        ),
        (
            robot(
                '<link name="a"><visual><geometry><mesh filename="a.stl" scale="1 0 1"/></geometry></visual></link>'
            ),
            "use factors other than 0",
        ),
    ],
)
def test_what_is_wrong_is_told_by_line_with_what_would_be_right(text: str, sentence: str) -> None:
    assert sentence in refused(text)


def test_every_problem_is_told_at_once() -> None:
    text = robot('<link/>\n<joint type="x"/>\n<link name="a"><visual/></link>')
    lines = refused(text).splitlines()
    assert [line.split(": ")[0] for line in lines] == [
        "robot.urdf:2",
        "robot.urdf:4",
        "robot.urdf:3",
        "robot.urdf:3",
        "robot.urdf:3",
        "robot.urdf:3",
    ]


@pytest.mark.parametrize(
    "text",
    [
        '<robot xmlns:xacro="http://ros.org/wiki/xacro">\n<xacro:macro name="leg"/></robot>',
        '<robot>\n<link name="${prefix}arm"/></robot>',
        '<robot>\n<link name="a"><mesh filename="$(find x)/a.stl"/></link></robot>',
    ],
)
def test_xacro_is_refused_with_the_way_to_expand_it(text: str) -> None:
    said = refused(text)
    assert said.startswith("robot.urdf:2: ")
    assert "run `xacro robot.urdf.xacro > robot.urdf`" in said


def test_a_urdf_that_xacro_made_is_taken() -> None:
    text = '<robot name="r" xmlns:xacro="http://ros.org/wiki/xacro"><!-- made by xacro --><link name="a"/></robot>'
    assert [part.name for part in read(text).parts] == ["a"]


def test_names_that_no_eye_can_tell_apart_are_made_right_and_told() -> None:
    names = ["left arm", "left\u200b arm", "x" * 300, "x" * 301]
    links = "".join(f'<link name="{name}"/>' for name in names)
    joints = "".join(
        f'<joint name="j{i}" type="fixed"><parent link="left arm"/><child link="{name}"/></joint>'
        for i, name in enumerate(names[1:])
    )
    assembly = read(robot(links + joints))
    fitting = [part.name for part in assembly.parts]
    assert fitting[:2] == ["left arm", r"left\u200b arm"]
    assert len(set(fitting)) == 4
    assert max(map(len, fitting)) <= posekit.budgets.NAME_LETTERS
    assert [joint.child for joint in assembly.joints] == fitting[1:]
    assert sum(finding.code == "renamed" for finding in assembly.findings) == 3


def test_a_mesh_that_is_missing_or_broken_is_told_at_the_line_that_names_it() -> None:
    broken = LANTERN.read_bytes()
    assert (
        "robot.urdf:33: link 'arm': mesh 'package://lantern_keeper/meshes/arm.stl' is not there"
        in refused(broken.decode())
    )
    said = refused(broken.decode(), {"meshes/arm.stl": b"solid nothing\n"})
    assert "robot.urdf:33: link 'arm': meshes/arm.stl" in said


def test_a_mesh_that_is_named_twice_is_read_once_and_files_of_one_name_are_kept_apart() -> None:
    def mesh(way: str, kind: str = "visual") -> str:
        return f'<{kind}><geometry><mesh filename="{way}"/></geometry></{kind}>'

    links = f'<link name="a">{mesh("drawn/arm.stl")}{mesh("judged/arm.stl", "collision")}</link>'
    links += f'<link name="b">{mesh("drawn/arm.stl")}</link>'
    joint = '<joint name="j" type="fixed"><parent link="a"/><child link="b"/></joint>'
    other = ARM.replace(b"10 0 5", b"20 0 5")
    assembly = read(robot(links + joint), {"drawn/arm.stl": ARM, "judged/arm.stl": other})
    drawn, judged = assembly.parts[0].skins
    (again,) = assembly.parts[1].skins
    assert (again.vertices is drawn.vertices, again.faces is drawn.faces) == (True, True)
    assert [drawn.name, judged.name] == ["arm", "arm_collision"]
    assert [assembly.originals[skin.original or ""] for skin in (drawn, judged)] == [ARM, other]
    assert [drawn.scale, judged.scale] == [1000.0, 1000.0]


def test_a_mesh_in_mm_that_lacks_its_scale_is_told() -> None:
    text = robot('<link name="a"><visual><geometry><mesh filename="arm.stl"/></geometry></visual></link>')
    told = {finding.code: finding for finding in read(text, {"arm.stl": ARM.replace(b"10", b"100")}).findings}
    assert (
        "reaches 100 m; if its file is in mm, give it scale='0.001 0.001 0.001'" in told["large-mesh"].message
    )


def test_limits_that_are_none_are_told_and_leave_the_joint_without_stops() -> None:
    for limit in ('lower="0" upper="1e-9"', 'lower="-1e16" upper="1e16"', 'effort="1"'):
        assembly = read(jointed(f"<limit {limit}/>"))
        assert assembly.joints[0].stops is None
        assert "no-stops" in {finding.code for finding in assembly.findings}
