"""Gravity, loads and springs at joints and shafts: handbook cases, virtual work, laws."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import posekit
from posekit.mechanism.joints import solve
from posekit.signal.calibration import shafts
from posekit.statics import moving_torques, shaft_torques, torques
from posekit.statics.burden import STANDARD_GRAVITY, TURN, burden_of
from posekit.statics.potential import potential
from posekit.statics.shafts import shaft_torque, to_shafts
from posekit.statics.vectors import at
from tests.conftest import DEMO_PROPS, IN_A_PAGE, demo_prop, prop_of
from tests.statics.hinged import figure, hinged, load
from tests.statics.weighed import Array, random_figure, random_values

SEEDS = range(3 if IN_A_PAGE else 12)
ARM = figure(
    "arm",
    hinged("upper", "shoulder", 1),
    load("elbow", "upper", 120, 85),
    hinged("fore", "elbow", 2, on="upper", at=(85, 0, 0)),
)
FORE = load("hand", "fore", 50, 60)


def lossless(prop: posekit.Prop) -> posekit.Prop:
    return replace(prop, drives=tuple(replace(drive, efficiency=1.0) for drive in prop.drives))


def test_a_level_cantilever_asks_for_its_weight_times_its_length() -> None:
    """120 g at 85 mm: 0.120 x 9.80665 x 0.085 = 0.10002783 N m level, half of it at 60 degrees (any handbook)."""
    asked = torques(prop_of(ARM), [[0.0, 0.0], [60.0, 0.0], [90.0, 0.0]])[:, 0]
    assert asked == pytest.approx([0.10002783, 0.050013915, 0.0], abs=1e-15)


def test_a_two_link_arm_asks_for_what_the_handbook_says() -> None:
    """g1 = (m1 + m2) g l1 cos q1 + m2 g l2 cos(q1 + q2), g2 = m2 g l2 cos(q1 + q2) (Craig, Introduction to
    Robotics, ch. 6: point masses at the ends of two links)."""
    q = np.random.default_rng(0).uniform(-180, 180, (50, 2))
    one, both = np.radians(q[:, 0]), np.radians(q.sum(axis=1))
    second = 0.050 * STANDARD_GRAVITY * 0.060 * np.cos(both)
    first = 0.170 * STANDARD_GRAVITY * 0.085 * np.cos(one) + second
    np.testing.assert_allclose(torques(prop_of(ARM + FORE), q), np.stack([first, second], axis=1), atol=1e-14)


def test_a_slide_that_stands_upright_carries_the_weight_on_it() -> None:
    slide = ARM.replace('"revolute"\nparent = "base"', '"prismatic"\nparent = "base"').replace(
        "axis = [0, -1, 0]", "axis = [0, 0, 2]", 1
    )
    assert torques(prop_of(slide), [[12.0, 0.0]])[0, 0] == pytest.approx(0.120 * STANDARD_GRAVITY)


def test_a_spring_pulls_by_its_stretch_and_is_slack_below_its_free_length() -> None:
    """From 100 mm above the shoulder to 85 mm out: its line passes the shoulder at 85 x 100 / its length."""
    spring = (
        "[springs.s]\nlink = 'base'\nat = [0, 0, 100]\nother = 'upper'\nother_at = [85, 0, 0]\nrate = 0.02\n"
    )
    length = float(np.hypot(100, 85))
    without = torques(prop_of(ARM), [[0.0, 0.0]])[0, 0]
    for free, pushes in ((90.0, False), (200.0, True)):
        text = f"{ARM}{spring}free = {free}\npushes = {str(pushes).lower()}\n"
        helped = 0.02 * (length - free) * 85 * 100 / length / 1000
        assert torques(prop_of(text), [[0.0, 0.0]])[0, 0] == pytest.approx(without - helped, abs=1e-15)
    slack = prop_of(f"{ARM}{spring}free = 200.0\n")
    assert torques(slack, [[0.0, 0.0]])[0, 0] == without


def test_a_constant_torque_takes_its_share_at_every_position() -> None:
    helped = prop_of(ARM.replace('child = "upper"', 'child = "upper"\ntorque = 0.04'))
    q = [[-50.0, 3.0], [20.0, -40.0]]
    np.testing.assert_allclose(torques(helped, q) - torques(prop_of(ARM), q), [[-0.04, 0.0]] * 2, atol=1e-16)


@pytest.mark.parametrize("seed", SEEDS)
def test_what_the_shafts_do_is_what_weights_and_springs_gain(seed: int) -> None:
    """Virtual work through every linkage, follower and differential: the torque is the slope of the energy."""
    springs = "[springs.s]\nlink = 'l0'\nat = [5, 9, 80]\nother = 'l4'\nother_at = [30, 0, 8]\nrate = 0.03\nfree = 20\n"
    prop = lossless(random_figure(seed, extras=springs))
    burden = burden_of(prop)
    values = random_values(prop, np.random.default_rng(seed), 6)
    shaft = np.clip(shafts(prop, posekit.pulses(prop, values)), -60.0, 60.0)
    step = 1e-4

    def energy(angles: Array) -> Array:
        position = solve(prop, angles, burden.mechanism).position
        world = posekit.forward(prop, position).transpose(1, 2, 3, 0)
        heights = [
            -mass * burden.gravity @ at(world[i], burden.centre_mm[i]) / 1000
            for i, mass in enumerate(burden.mass_kg)
        ]
        coil = burden.coils[0]
        ends = [at(world[i], end) for i, end in zip(coil.links, coil.ends, strict=True)]
        stretch = np.maximum(np.linalg.norm(ends[0] - ends[1], axis=0) - coil.free_mm, 0.0)
        return np.asarray(sum(heights) + coil.rate_n_mm * stretch**2 / 2 / 1000)

    slope = np.stack(
        [
            (energy(shaft + step * way) - energy(shaft - step * way)) / (2 * step * TURN)
            for way in np.eye(len(prop.drives))
        ],
        axis=1,
    )
    solved = solve(prop, shaft, burden.mechanism)
    asked = to_shafts(prop, burden, torques(prop, solved.position, burden), solved.held)
    np.testing.assert_allclose(asked, slope, atol=2e-7 * max(1.0, float(np.abs(slope).max())))


@pytest.mark.parametrize("seed", SEEDS)
def test_springs_between_any_two_parts_ask_for_the_slope_of_the_energy(seed: int) -> None:
    """Virtual work at each joint by itself, behind fixed joints and along slides, too, and within one body."""
    rng = np.random.default_rng(seed)
    rows = []
    for i in range(3):
        one, other = rng.choice(7, 2, replace=False)
        at, other_at = rng.uniform(-40, 40, (2, 3)).tolist()
        rows += [
            f"[springs.s{i}]\nlink = 'l{one}'\nat = {at}\nother = 'l{other}'\nother_at = {other_at}",
            f"rate = 0.05\nfree = {rng.uniform(0, 60):.1f}\npushes = true",
        ]
    prop = random_figure(seed, extras="\n".join(rows))
    burden = burden_of(prop)
    position = rng.uniform(-60.0, 60.0, (5, len(prop.joints)))
    step = 1e-4
    slope = np.stack(
        [
            (potential(prop, burden, position + way) - potential(prop, burden, position - way))
            / (2 * step * si)
            for way, si in zip(step * np.eye(len(prop.joints)), burden.si, strict=True)
        ],
        axis=1,
    )
    asked = torques(prop, position, burden)
    without = torques(random_figure(seed), position)
    assert np.abs(asked - without).max() > 0.01
    np.testing.assert_allclose(asked, slope, atol=1e-6 * max(1.0, float(np.abs(slope).max())))
    resting = moving_torques(prop, position, 0 * position, 0 * position, burden)
    np.testing.assert_allclose(resting, asked, atol=1e-12 * max(1.0, float(np.abs(slope).max())))


@pytest.mark.parametrize("seed", SEEDS)
def test_what_one_servo_gives_is_what_it_gives_among_all(seed: int) -> None:
    """Every linkage among the figures, differentials and followers, too; to the bit, as both find it alike."""
    prop = random_figure(seed)
    burden, values = burden_of(prop), random_values(prop, np.random.default_rng(seed), 5)
    every = shaft_torques(prop, values, burden)
    for d in range(len(prop.drives)):
        np.testing.assert_array_equal(shaft_torque(prop, values, burden, d), every[:, d])


@pytest.mark.parametrize(
    ("gears", "joint_gears", "actuators", "efforts"),
    [
        ((10, 10), (2, 2), (10, 10), (400, 0)),
        ((10, 10), (2, 2), (10, -10), (0, 400)),
        ((10, -20), (-2, 4), (3, 5), (140, 520)),
    ],
)
def test_a_differential_shares_as_the_published_transmission_does(
    gears: tuple[int, int], joint_gears: tuple[int, int], actuators: tuple[int, int], efforts: tuple[int, int]
) -> None:
    """ros2_control's DifferentialTransmission, values of its unit tests. It has gears before and behind the bevels;
    posekit's differential is the bevels alone, with what comes out of the first and goes into the second."""
    linkage = 'type = "differential"\npartner = "elbow"\nsum = "shoulder"\ndifference = "elbow"\n'
    prop = lossless(prop_of(f"{ARM}{FORE}[drives.shoulder.linkage]\n{linkage}"))
    asked = np.array([efforts], float) / joint_gears
    given = np.array([actuators], float) * gears
    np.testing.assert_allclose(to_shafts(prop, burden_of(prop), asked, np.zeros((1, 2))), given, rtol=1e-15)


def test_a_loss_always_makes_the_share_of_the_servo_larger() -> None:
    """Lifting takes work / efficiency; friction that helps to hold is never counted on. Defaults go by the linkage."""
    geared = ARM + '[drives.shoulder.linkage]\ntype = "gear"\nratio = 2.0\n'
    prop = prop_of(geared)
    without = shaft_torques(lossless(prop), [[30.0, 128.0]])[0, 0]
    assert shaft_torques(prop, [[30.0, 128.0]])[0, 0] == pytest.approx(without / 0.9)
    poor = prop_of(geared.replace('joint = "shoulder"', 'joint = "shoulder"\nefficiency = 0.5'))
    assert shaft_torques(poor, [[30.0, 128.0]])[0, 0] == pytest.approx(without / 0.5)


@pytest.mark.parametrize("name", DEMO_PROPS)
def test_torques_grow_with_mass_and_turn_with_the_figure(name: str) -> None:
    prop = demo_prop(name)
    values = random_values(prop, np.random.default_rng(7), 5)
    burden = burden_of(prop)
    asked = shaft_torques(prop, values, burden)
    heavy = replace(burden, mass_kg=3.0 * burden.mass_kg)
    moon = replace(burden, gravity=burden.gravity / 6.0)
    upside_down = replace(burden, gravity=-burden.gravity)
    np.testing.assert_allclose(shaft_torques(prop, values, heavy), 3.0 * asked, rtol=1e-12, atol=1e-15)
    np.testing.assert_allclose(shaft_torques(prop, values, moon), asked / 6.0, rtol=1e-12, atol=1e-15)
    np.testing.assert_allclose(shaft_torques(prop, values, upside_down), -asked, rtol=1e-12, atol=1e-15)


def test_a_prop_turned_upside_down_in_its_file_changes_sign() -> None:
    hanging = random_figure(4, extras="[gravity]\ndown = [0, 0, 7]\n")
    standing = random_figure(4)
    values = random_values(standing, np.random.default_rng(7), 5)
    np.testing.assert_allclose(shaft_torques(hanging, values), -shaft_torques(standing, values), atol=1e-15)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_balanced_pair_on_an_axis_adds_nothing_to_its_joint(seed: int) -> None:
    pair = "".join(
        f"[loads.{name}]\nlink = 'l3'\nmass = 90\nat = {(sign * np.array([30.0, 4.0, -8.0])).tolist()}\n"
        for name, sign in (("one", 1), ("two", -1))
    )
    bare, balanced = random_figure(seed), random_figure(seed, extras=pair)
    names = [joint.name for joint in bare.joints]
    if "j3" not in names or bare.joints[names.index("j3")].type != "revolute":
        return
    q = np.random.default_rng(seed).uniform(-90, 90, (4, len(names)))
    column = names.index("j3")
    np.testing.assert_allclose(torques(balanced, q)[:, column], torques(bare, q)[:, column], atol=1e-14)


def test_a_figure_in_which_nothing_moves_asks_for_nothing() -> None:
    still = prop_of(figure("still", load("bob", "base", 120, 85)))
    assert torques(still, np.zeros((3, 0))).shape == (3, 0)
    assert shaft_torques(still, np.zeros((3, 0))).shape == (3, 0)


def test_no_poses_ask_for_nothing() -> None:
    prop = prop_of(ARM)
    none = np.zeros((0, 2))
    for found in (torques(prop, none), shaft_torques(prop, none), moving_torques(prop, none, none, none)):
        assert found.shape == (0, 2)


def test_positions_and_values_that_are_none_are_refused() -> None:
    prop = prop_of(ARM)
    with pytest.raises(posekit.PosekitError, match="a column for each of: shoulder, elbow"):
        torques(prop, [[1.0]])
    with pytest.raises(posekit.PosekitError, match="values"):
        shaft_torques(prop, [[1.0, np.nan]])
