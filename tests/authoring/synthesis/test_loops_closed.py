"""Two- and three-position synthesis against a text book, Freudenstein's equation and pins turned by scipy."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from posekit.authoring.synthesis import loops, slides
from posekit.linkage import FourBar, Hinge, SliderCrank

FLAT = loops.Planes(np.eye(3)[:2], np.eye(3)[:2])
ONE = np.ones(1)


def test_three_positions_of_the_published_four_bar_give_it_back(reference):
    # Norton, example 4-1 (published); the table is recomputed. With crank and ground given the rest comes back.
    known = reference["four_bar"]
    table = np.array(known["recomputed"]["table"])[[1, 2, 3]]
    ground = np.array([[-known["ground"], 0.0, 0.0]])
    found = loops.through_all(FLAT, ground, known["crank"] * ONE, 0.0 * ONE, table[:, 0], table[:, 2])
    assert found.arm == pytest.approx([known["rocker"]], rel=1e-6)
    assert found.rod == pytest.approx([known["coupler"]], rel=1e-6)
    assert found.side == [-1.0]  # open
    direction, angle = found.motion(np.array([known["crank_angle"]]))
    assert direction[0] == pytest.approx([known["open"]], abs=1e-5)
    assert angle[0] == pytest.approx([known["recomputed"]["transmission_angle"]], abs=1e-5)


def test_three_positions_of_the_published_slider_crank_give_it_back(reference):
    # Norton, example 4-2: the slide from its own loop, x = a cos t + sqrt(b^2 - (a sin t - c)^2).
    a, b, c = (reference["slider_crank"][name] for name in ("crank", "coupler", "offset"))
    crank = np.array([20.0, 60.0, 110.0])
    slide = a * np.cos(np.radians(crank)) + np.sqrt(b**2 - (a * np.sin(np.radians(crank)) - c) ** 2)
    assert slide[1] == pytest.approx(reference["slider_crank"]["open"], abs=1e-8)
    found = slides.through_all(a * ONE, 0.0 * ONE, crank, slide)
    assert [found.rod[0], found.offset[0], found.side[0]] == pytest.approx([b, c, 1.0], rel=1e-9)


def test_of_two_positions_every_four_bar_keeps_freudensteins_equation():
    rng = np.random.default_rng(3)
    N, shafts, joints = 400, np.array([-35.0, 50.0]), np.array([-12.0, 31.0])
    horn, arm, ground = rng.uniform(8, 30, N), rng.uniform(8, 40, N), rng.uniform(20, 100, N)
    between = np.stack([-ground, 0 * ground, 0 * ground], axis=-1)
    found = loops.through_two(FLAT, between, horn, arm, rng.uniform(-180, 180, N), shafts, joints)
    assert len(found.rod) > N / 2
    direction, _ = found.motion(shafts)
    theta2 = np.radians(found.horn_deg[:, None] + shafts)
    # The rod allows two angles of the arm, both of them roots. That on the side of the first position has turned as
    # wanted at the second, or the loop has changed sides in between and is no use.
    a, b, c, d = found.horn, found.rod, found.arm, -found.between[:, 0]
    k1, k2, k3 = d / a, d / c, (a**2 - b**2 + c**2 + d**2) / (2 * a * c)
    theta4 = np.radians(direction)
    left = k1[:, None] * np.cos(theta4) - k2[:, None] * np.cos(theta2) + k3[:, None] - np.cos(theta2 - theta4)
    good = np.isfinite(left).all(axis=1)
    assert good.mean() > 0.9
    np.testing.assert_allclose(left[good], 0.0, atol=1e-9)
    turned = (direction[good, 1] - direction[good, 0] + 180.0) % 360.0 - 180.0
    same_side = np.abs(turned - 43.0) < 1e-6
    assert same_side.mean() > 0.5


@pytest.mark.parametrize("given", [2, 3])
def test_in_space_the_rod_is_as_long_at_every_position_with_pins_turned_by_scipy(given):
    rng = np.random.default_rng(5)
    N, shafts, joints = 60, np.array([-40.0, 5.0, 40.0])[-given:], np.array([-20.0, 4.0, 25.0])[-given:]
    shaft, joint = (each / np.linalg.norm(each) for each in rng.normal(size=(2, 3)))
    planes = loops.Planes(*(_across(axis) for axis in (shaft, joint)))
    between, horn, turn = rng.uniform(-50, 50, (N, 3)), rng.uniform(8, 20, N), rng.uniform(-180, 180, N)
    if given == 2:
        found = loops.through_two(planes, between, horn, rng.uniform(8, 40, N), turn, shafts, joints)
    else:
        found = loops.through_all(planes, between, horn, turn, shafts, joints)
    direction, _ = found.motion(shafts)
    zero = direction[:, 0] - joints[0]
    rods = []
    for turn_deg, joint_deg in zip(shafts, joints, strict=True):
        pins = _spun(shaft, found.horn_deg + turn_deg, planes.horn[0]) * found.horn[:, None]
        arms = _spun(joint, zero + joint_deg, planes.arm[0]) * found.arm[:, None]
        rods.append(np.linalg.norm(found.between + pins - arms, axis=1))
    assert len(found.rod) > 10
    np.testing.assert_allclose(rods, np.broadcast_to(found.rod, (given, len(found.rod))), rtol=1e-9)


def _across(axis):
    first = np.cross(axis, [0.3, -0.5, 0.8])
    first /= np.linalg.norm(first)
    return np.stack([first, np.cross(axis, first)])


def _spun(axis, angles_deg, start):
    return Rotation.from_rotvec(np.radians(angles_deg)[:, None] * axis).apply(start)


def test_positions_that_a_linkage_makes_are_met_by_the_nearest_of_five():
    four_bar = FourBar(crank=20.0, coupler=60.0, rocker=30.0, ground=60.0, shaft_zero=70.0, joint_zero=90.0)
    slider = SliderCrank(crank=20.0, coupler=70.0, offset=5.0, shaft_zero=70.0, joint_zero=60.0)
    shafts = np.linspace(-40.0, 40.0, 5)
    ground, horn = np.array([[-60.0, 0.0, 0.0]]), 20.0 * ONE
    loop = loops.through_all(FLAT, ground, horn, 70.0 * ONE, shafts, four_bar.position(shafts, Hinge()))
    assert [loop.arm[0], loop.rod[0]] == pytest.approx([30.0, 60.0], rel=1e-8)
    slide = slides.through_all(horn, 70.0 * ONE, shafts, slider.position(shafts, Hinge()))
    assert [slide.offset[0], slide.rod[0]] == pytest.approx([5.0, 70.0], rel=1e-8)


@pytest.mark.parametrize("branch", ["open", "crossed"])
def test_many_at_a_time_move_as_the_forward_formulas_do(branch):
    four_bar = FourBar(
        crank=20.0, coupler=60.0, rocker=30.0, ground=60.0, shaft_zero=70.0, joint_zero=0.0, branch=branch
    )
    slider = SliderCrank(crank=20.0, coupler=70.0, offset=5.0, shaft_zero=70.0, joint_zero=0.0, branch=branch)
    shafts, side = np.linspace(-60.0, 60.0, 13), 1.0 if branch == "crossed" else -1.0
    one = [20.0 * ONE, 30.0 * ONE, 60.0 * ONE, 70.0 * ONE, side * ONE]
    for linkage, batch in (
        (four_bar, loops.Loops(FLAT, np.array([[-60.0, 0.0, 0.0]]), *one)),
        (slider, slides.Slides(20.0 * ONE, 70.0 * ONE, 5.0 * ONE, 70.0 * ONE, -side * ONE)),
    ):
        motion, angle = batch.motion(shafts)
        joint = linkage.position(shafts, Hinge())
        np.testing.assert_allclose(motion[0] - motion[0, 0], joint - joint[0], atol=1e-9)
        np.testing.assert_allclose(angle[0], linkage.transmission_angle(shafts, Hinge()), atol=1e-9)
