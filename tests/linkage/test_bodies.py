"""What linkages are drawn of: lengths that stay at every pose, wheels that roll on each other, grips that follow."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from posekit.fields import Vector
from posekit.linkage import LINKAGES, Hinge
from posekit.linkage.bodies import Body
from tests.linkage.test_protocol import EXAMPLES, HINGE

SLIDE = Hinge((3.0, -8.0, 40.0), (0.0, 0.6, 0.8), True)
SECOND, THIRD = Hinge(HINGE.at, (0.0, 1.0, 0.0)), Hinge(HINGE.at, (0.8, 0.0, -0.6))
PLACED: dict[str, dict[str, object]] = {
    "four_bar": {"ground_along": (0.2, 1.0, 0.3), "height": 4.0},
    "slider_crank": {"offset_along": (1.0, 0.0, 0.0), "offset": 5.0, "slide_at": (0.0, 2.0, 3.0)},
    "gear": {"shaft_at": (40.0, 50.0, 10.0)},
}


def made(name: str, **more: object):
    return LINKAGES[name](**{**EXAMPLES[name], **PLACED.get(name, {}), **more})


def hinges_of(linkage) -> tuple[Hinge, ...]:
    first = SLIDE if linkage.moves == "slide" else HINGE
    return (first, SECOND, THIRD)[: max(1, len(linkage.joint_keys))]


def shafts_of(linkage, poses: int = 41) -> np.ndarray:
    n = 1 + len(linkage.partner_keys)
    low, high = linkage.closes(hinges_of(linkage)[0])
    ends = np.clip((low, high), -170.0, 170.0)
    own = np.linspace(*ends, poses)
    return own if n == 1 else np.stack([own * (1.0 - 0.4 * i) + 5.0 * i for i in range(n)], axis=-1)


def bodies_of(linkage, shafts: np.ndarray | None = None) -> dict[str, Body]:
    found = linkage.bodies(shafts_of(linkage) if shafts is None else shafts, hinges_of(linkage))
    assert len({body.name for body in found}) == len(found)
    return {body.name: body for body in found}


def length(body: Body) -> np.ndarray:
    return np.linalg.norm(body.ends[..., 1, :] - body.ends[..., 0, :], axis=-1)


def turned(point: Vector, hinge: Hinge, angle_deg: np.ndarray) -> np.ndarray:
    """A point of the joint's part, given at joint 0, at each angle."""
    axis, away = np.array(hinge.axis), np.subtract(point, hinge.at)
    cos, sin = np.cos(np.radians(angle_deg))[:, None], np.sin(np.radians(angle_deg))[:, None]
    along = axis * (axis @ away)
    return hinge.at + along + (away - along) * cos + np.cross(axis, away) * sin


@pytest.mark.parametrize("name", LINKAGES)
def test_every_body_keeps_its_size_at_every_pose_and_a_batch_is_its_poses(name: str) -> None:
    linkage = made(name)
    shafts = shafts_of(linkage)
    one = bodies_of(linkage, shafts[7:8])
    for body in bodies_of(linkage).values():
        assert np.ptp(length(body)) < 1e-9, body.name
        assert body.form in ("bar", "wheel") and body.radius > 0.0
        if body.form == "wheel":
            middle = body.ends.mean(axis=-2)
            np.testing.assert_allclose(np.linalg.norm(body.mark - middle, axis=-1), body.radius, atol=1e-9)
        ends = np.broadcast_to(body.ends, (len(shafts), 2, 3))
        np.testing.assert_allclose(one[body.name].ends.reshape(-1, 2, 3)[0], ends[7], atol=1e-9)


@pytest.mark.parametrize(("name", "lengths"), [
    ("four_bar", {"crank": 20.0, "coupler": 60.0, "rocker": 30.0}),
    ("slider_crank", {"crank": 20.0, "coupler": 15.0}),
])  # fmt: skip
def test_bars_are_as_long_as_the_file_says(name: str, lengths: dict[str, float]) -> None:
    found = bodies_of(made(name))
    for bar, mm in lengths.items():
        np.testing.assert_allclose(length(found[bar]), mm, atol=1e-9)


def test_a_rocker_turns_with_the_joint_and_the_ground_is_as_long_and_lies_as_said() -> None:
    linkage = made("four_bar")
    found, joint = bodies_of(linkage), linkage.position(shafts_of(linkage), HINGE)
    pin = found["rocker pin"].ends[:, 0]
    start = turned(pin[0], HINGE, -joint[:1])[0]
    np.testing.assert_allclose(turned(start, HINGE, joint), pin, atol=1e-9)
    ground = found["joint axis"].ends[0, 0] - found["servo shaft"].ends[0, 0]
    assert np.linalg.norm(ground) == pytest.approx(60.0)
    assert ground @ np.array(HINGE.axis) == pytest.approx(0.0, abs=1e-9)
    assert np.cross(ground, HINGE.axis) @ linkage.ground_along == pytest.approx(0.0, abs=1e-9)
    assert ground @ linkage.ground_along > 0.0


def test_a_push_rods_arm_turns_with_the_joint_and_its_horn_with_the_shaft() -> None:
    linkage = made("push_rod")
    shafts = shafts_of(linkage)
    found = bodies_of(linkage)
    joint_ball = turned(linkage.joint_ball, HINGE, linkage.position(shafts, HINGE))
    np.testing.assert_allclose(found["joint ball"].ends[:, 0], joint_ball, atol=1e-9)
    shaft = Hinge(linkage.shaft_at, linkage.shaft_axis)
    np.testing.assert_allclose(
        found["horn ball"].ends[:, 0], turned(linkage.horn_ball, shaft, shafts), atol=1e-9
    )
    np.testing.assert_allclose(
        length(found["rod"]), np.linalg.norm(np.subtract(linkage.joint_ball, linkage.horn_ball))
    )


def test_a_slide_pin_goes_along_the_slide_as_the_joint_does() -> None:
    linkage = made("slider_crank")
    shafts = shafts_of(linkage)
    pin = bodies_of(linkage)["slide pin"].ends[:, 0]
    way = linkage.slide_at + linkage.position(shafts, SLIDE)[:, None] * np.array(SLIDE.axis)
    np.testing.assert_allclose(pin, way, atol=1e-9)


def speed_at(point: np.ndarray, before: Body, after: Body, step: float) -> np.ndarray:
    """How fast a point of a wheel's rim goes, taken as part of the wheel, of two poses a step apart."""

    def frame(body: Body) -> np.ndarray:
        middle = body.ends.mean(axis=-2).reshape(-1, 3)[0]
        axis = np.diff(body.ends, axis=-2).reshape(-1, 3)[0]
        out = body.mark.reshape(-1, 3)[0] - middle
        axes = np.stack([axis / np.linalg.norm(axis), out / np.linalg.norm(out)])
        return np.vstack([np.column_stack([*axes, np.cross(*axes), middle]), [0, 0, 0, 1]])

    moved = frame(after) @ np.linalg.inv(frame(before)) @ np.append(point, 1.0)
    return (moved[:3] - point) / step


HEAD = (
    ("bevel of the middle shaft", "wheel of the nod"),
    ("bevel of the inner shaft", "wheel that runs free"),
    ("its other face", "wheel of the roll"),
)
MESH = [
    ("gear", {"ratio": -2.5}, "wheel on the servo", "wheel on the joint"),
    ("differential", {}, "wheel of this drive", "wheel between them"),
    ("differential", {}, "wheel of the partner", "wheel between them"),
    *(("nested_shafts", {"nod_ratio": nod, "roll_ratio": roll}, *pair)
      for nod, roll in ((2.0, -1.5), (-0.5, 1.0))
      for pair in HEAD),
]  # fmt: skip


@pytest.mark.parametrize(("name", "keys", "one", "other"), MESH)
def test_wheels_in_mesh_touch_and_are_as_fast_there(
    name: str, keys: dict[str, float], one: str, other: str
) -> None:
    linkage = made(name, **keys)
    step = 1e-6
    start = np.atleast_2d(np.array([12.0, -7.0, 20.0])[: 1 + len(linkage.partner_keys)])
    start = start[:, 0] if not linkage.partner_keys else start
    speeds = np.array([1.0, -0.7, 0.4])[: 1 + len(linkage.partner_keys)]
    later = start + step * (speeds[0] if not linkage.partner_keys else speeds)
    before, after = bodies_of(linkage, start), bodies_of(linkage, later)
    touch = touching(before[one], before[other])
    fast = [speed_at(touch, before[wheel], after[wheel], step) for wheel in (one, other)]
    # What both are carried by is the same; what they turn makes the rest.
    np.testing.assert_allclose(fast[0], fast[1], atol=1e-4)


def touching(one: Body, other: Body) -> np.ndarray:
    """The point that lies on the rims of both wheels."""
    middles = [body.ends.mean(axis=-2).reshape(-1, 3)[0] for body in (one, other)]
    axes = [np.diff(body.ends, axis=-2).reshape(-1, 3)[0] for body in (one, other)]
    axes = [axis / np.linalg.norm(axis) for axis in axes]
    if abs(axes[0] @ axes[1]) > 0.99:
        way = middles[1] - middles[0]
        assert np.linalg.norm(way) == pytest.approx(one.radius + other.radius)
        return middles[0] + way / np.linalg.norm(way) * one.radius
    way = middles[1] - middles[0]
    touch = middles[0] + (way - axes[0] * (way @ axes[0]))
    assert np.linalg.norm(touch - middles[0]) == pytest.approx(one.radius)
    assert np.linalg.norm(touch - middles[1]) == pytest.approx(other.radius)
    return touch


def test_a_rack_goes_as_far_as_the_rim_of_its_pinion() -> None:
    linkage = made("gear", ratio=-3.0, shaft_at=None)
    shafts = np.array([0.0, 30.0])
    found = {body.name: body for body in linkage.bodies(shafts, (SLIDE,))}
    moved = found["rack"].ends[1, 0] - found["rack"].ends[0, 0]
    np.testing.assert_allclose(moved, -10.0 * np.array(SLIDE.axis), atol=1e-9)
    assert found["pinion"].radius * np.radians(30.0) == pytest.approx(10.0)


@pytest.mark.parametrize("name", LINKAGES)
def test_a_grip_is_where_it_was_dragged_and_the_others_and_the_joint_stay(name: str) -> None:
    linkage = made(name)
    hinges = hinges_of(linkage)
    low, high = np.clip(linkage.closes(hinges[0]), -60.0, 60.0)
    shaft = np.full(1, low + 0.4 * (high - low))
    if linkage.partner_keys:
        assert not any(body.grip for body in bodies_of(linkage).values())
        return
    before = bodies_of(linkage, shaft)
    grips = {body.grip: body for body in before.values() if body.grip}
    normal = np.cross(SLIDE.axis, (1.0, 0.0, 0.0)) if linkage.moves == "slide" else np.array(HINGE.axis)
    for grip, body in grips.items():
        away = np.array([1.3, -0.9, 0.4])
        if name != "push_rod":
            away = away - normal * (away @ normal) / (normal @ normal)
        to = body.ends.reshape(-1, 3)[0] + away
        moved = replace(linkage, **linkage.dragged(grip, to, float(shaft[0]), hinges[0]))
        assert moved.problems(hinges[0]) == ()
        after = bodies_of(moved, shaft)
        # To a tenth of a millimetre and of a degree, as it is drilled and turned.
        np.testing.assert_allclose(after[body.name].ends.reshape(-1, 3)[0], to, atol=0.4)
        if grip == "shaft":
            kept = ("crank", "horn")
            for bar in kept:
                if bar in after:
                    np.testing.assert_allclose(length(after[bar]), length(before[bar]), atol=1e-9)
        joint = moved.position(shaft, hinges[0]) - linkage.position(shaft, hinges[0])
        assert abs(joint[0]) < (3.0 if name == "push_rod" else 0.8)
    assert linkage.dragged("nothing", np.zeros(3), 0.0, hinges[0]) == {}


@pytest.mark.parametrize("name", ["four_bar", "slider_crank", "gear"])
def test_what_the_file_does_not_place_says_which_key_would(name: str) -> None:
    loose = LINKAGES[name](**EXAMPLES[name])
    assert loose.unplaced() and not made(name).unplaced()
    assert all(getattr(loose, key) is None for key in loose.unplaced())
    assert len(bodies_of(loose)) > 2


@pytest.mark.parametrize("key", ["ground_along", "offset_along"])
@pytest.mark.parametrize("wrong", ["axis", (0.0, 0.0, 0.0)])
def test_a_line_along_the_axis_of_the_joint_is_refused(key: str, wrong: object) -> None:
    name, hinge = ("four_bar", HINGE) if key == "ground_along" else ("slider_crank", SLIDE)
    linkage = made(name, **{key: hinge.axis if wrong == "axis" else wrong})
    assert [problem[0] for problem in linkage.problems(hinge)] == [key]
    assert linkage.problems() == ()
