"""The push-rod in space against a numeric solve, the planar four-bar and its own loop."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.optimize import brentq
from scipy.spatial.transform import Rotation

from posekit.linkage import FourBar, Hinge, PushRod

POINT = st.tuples(*[st.floats(-100.0, 100.0)] * 3)
SCAN = np.linspace(-180.0, 180.0, 2881)
DIRECTION = st.tuples(*[st.floats(-1.0, 1.0)] * 3).filter(lambda v: np.linalg.norm(v) > 0.1)


def example(mechanisms: dict[str, Any], **changes: Any) -> tuple[PushRod, Hinge]:
    """The push-rod of the table and the joint it drives."""
    known = mechanisms["push_rod"]
    names = ("shaft_at", "shaft_axis", "horn_ball", "joint_ball", "rod")
    hinge = Hinge(tuple(known["joint_at"]), tuple(known["joint_axis"]))
    given = {name: tuple(known[name]) if name != "rod" else known[name] for name in names}
    return PushRod(**given | changes), hinge


def ball_distance(push_rod: PushRod, hinge: Hinge, shaft_deg: Any, joint_deg: Any) -> Any:
    """Distance [mm] between the balls, each turned about its axis by scipy; angles (n,) or numbers."""
    shaft_axis = np.array(push_rod.shaft_axis) / np.linalg.norm(push_rod.shaft_axis)
    shaft_turn = Rotation.from_rotvec(np.multiply.outer(np.radians(shaft_deg), shaft_axis))
    joint_turn = Rotation.from_rotvec(np.multiply.outer(np.radians(joint_deg), np.array(hinge.axis)))
    horn_ball = push_rod.shaft_at + shaft_turn.apply(np.subtract(push_rod.horn_ball, push_rod.shaft_at))
    joint_ball = hinge.at + joint_turn.apply(np.subtract(push_rod.joint_ball, hinge.at))
    return np.linalg.norm(horn_ball - joint_ball, axis=-1)


def rod_of(push_rod: PushRod) -> float:
    return push_rod.rod or float(np.linalg.norm(np.subtract(push_rod.horn_ball, push_rod.joint_ball)))


def random_push_rods(random: np.random.Generator) -> Iterator[tuple[PushRod, Hinge]]:
    """Sixty push-rods with their default rod, each with the joint it drives."""
    for _ in range(60):
        axis = random.normal(size=3)
        hinge = Hinge(tuple(random.uniform(-60, 60, 3)), tuple(axis / np.linalg.norm(axis)))
        horn_ball, joint_ball, shaft_at = random.uniform(-60, 60, (3, 3))
        push_rod = PushRod(
            shaft_at=tuple(shaft_at),
            shaft_axis=tuple(random.normal(size=3)),
            horn_ball=tuple(horn_ball),
            joint_ball=tuple(joint_ball),
        )
        assert push_rod.problems(hinge) == ()
        yield push_rod, hinge


def test_the_push_rod_follows_the_solved_table_on_the_near_branch(mechanisms):
    push_rod, hinge = example(mechanisms)
    table = np.array(mechanisms["push_rod"]["table"])
    np.testing.assert_allclose(push_rod.position(table[:, 0], hinge), table[:, 1], atol=6e-9, rtol=0)


def test_the_rate_and_the_pressure_angle_are_the_solved_ones(mechanisms):
    push_rod, hinge = example(mechanisms)
    shaft, known = np.array([30.0]), mechanisms["push_rod"]
    assert push_rod.rate(shaft, hinge) == pytest.approx([known["rate_at_30"]], abs=1e-10)
    transmission = push_rod.transmission_angle(shaft, hinge)
    assert transmission == pytest.approx([90.0 - known["pressure_angle_at_30"]], abs=1e-6)


def test_the_push_rod_closes_between_the_solved_dead_points(mechanisms):
    push_rod, hinge = example(mechanisms)
    start, end = push_rod.closes(hinge)
    assert (start, end) == pytest.approx(tuple(mechanisms["push_rod"]["dead_points"]), abs=0.011)
    ends = np.array([start, end])
    assert np.isfinite(push_rod.position(ends, hinge)).all()
    np.testing.assert_allclose(push_rod.transmission_angle(ends, hinge), 0.0, atol=1e-4)
    beyond = np.array([start - 0.1, end + 0.1])  # where no answer of the joint keeps the rod's length
    reach = ball_distance(push_rod, hinge, beyond, push_rod.position(beyond, hinge))
    assert (np.abs(reach - rod_of(push_rod)) > 1e-3).all()


def test_without_a_length_the_rod_is_the_distance_of_its_balls(mechanisms):
    push_rod, hinge = example(mechanisms, rod=None)
    assert push_rod.position(np.array([0.0]), hinge) == pytest.approx([0.0], abs=1e-10)
    given_length, _ = example(mechanisms, rod=6600.0**0.5)
    shaft = np.linspace(-60.0, 180.0, 49)
    np.testing.assert_allclose(
        push_rod.position(shaft, hinge), given_length.position(shaft, hinge), atol=1e-9, rtol=0
    )


@pytest.mark.parametrize("branch", ["open", "crossed"])
def test_in_a_plane_the_push_rod_is_the_published_four_bar(mechanisms, branch):
    bars = {name: mechanisms["four_bar"][name] for name in ("crank", "coupler", "rocker", "ground")}
    four_bar = FourBar(**bars, branch=branch, joint_zero=mechanisms["four_bar"][branch], shaft_zero=40.0)
    crank, rocker = np.radians([40.0, mechanisms["four_bar"][branch]])
    hinge = Hinge((100.0, 0.0, 7.0))
    push_rod = PushRod(
        shaft_at=(0.0, 0.0, 3.0),
        shaft_axis=(0.0, 0.0, 2.0),
        horn_ball=(40.0 * np.cos(crank), 40.0 * np.sin(crank), 0.0),
        joint_ball=(100.0 + 80.0 * np.cos(rocker), 80.0 * np.sin(rocker), 0.0),
    )
    shaft = np.linspace(-400.0, 400.0, 161)
    assert push_rod.closes(hinge) == (-np.inf, np.inf)
    for answer in ("position", "rate", "transmission_angle"):
        planar, spatial = (getattr(linkage, answer)(shaft, hinge) for linkage in (four_bar, push_rod))
        np.testing.assert_allclose(spatial, planar, atol=1e-8, rtol=0, err_msg=answer)


def solved_joints(push_rod: PushRod, hinge: Hinge, shaft_deg: float) -> list[float]:
    """Every joint angle [deg] at which the rod fits: a scan of the full turn, then Brent's method."""

    def too_long(joint_deg: float) -> float:
        return float(ball_distance(push_rod, hinge, shaft_deg, joint_deg) - rod_of(push_rod))

    signs = np.sign(ball_distance(push_rod, hinge, np.full_like(SCAN, shaft_deg), SCAN) - rod_of(push_rod))
    crossings = np.flatnonzero(signs[:-1] * signs[1:] < 0)
    return [brentq(too_long, SCAN[i], SCAN[i + 1], xtol=1e-12) for i in crossings]


def spans(push_rod: PushRod, hinge: Hinge, shaft_deg: float) -> bool:
    """True if the joint ball comes both nearer to the horn ball and farther from it than the rod."""
    distances = ball_distance(push_rod, hinge, np.full_like(SCAN, shaft_deg), SCAN)
    return bool(distances.min() < rod_of(push_rod) < distances.max())


def test_random_push_rods_stand_where_a_numeric_solve_finds_them():
    random = np.random.default_rng(20)
    compared = 0
    for push_rod, hinge in random_push_rods(random):
        start, end = np.clip(push_rod.closes(hinge), -180.0, 180.0)
        for shaft in start + (end - start) * random.uniform(0.02, 0.98, 5):
            joint = push_rod.position(np.array([shaft]), hinge)[0]
            off = [
                abs((root - joint + 180.0) % 360.0 - 180.0) for root in solved_joints(push_rod, hinge, shaft)
            ]
            assert min(off) < 1e-6
            compared += 1
    assert compared >= 250


def test_random_push_rods_close_exactly_where_the_rod_can_be_spanned():
    with_dead_points = 0
    for push_rod, hinge in random_push_rods(np.random.default_rng(4)):
        start, end = push_rod.closes(hinge)
        assert start <= 0.0 <= end
        if np.isinf(start):
            assert all(spans(push_rod, hinge, shaft) for shaft in np.linspace(-180.0, 180.0, 37))
            continue
        with_dead_points += 1
        assert end - start <= 360.0
        margin = min(1.0, (end - start) / 4)
        assert all(spans(push_rod, hinge, shaft) for shaft in np.linspace(start + margin, end - margin, 15))
        if end - start < 355.0:
            assert not spans(push_rod, hinge, start - 1e-3)
            assert not spans(push_rod, hinge, end + 1e-3)
    assert with_dead_points >= 20


@given(shaft_at=POINT, axis=DIRECTION, horn=POINT, at=POINT, joint_axis=DIRECTION, joint=POINT)
def test_every_push_rod_keeps_its_length_and_starts_at_joint_zero(
    shaft_at, axis, horn, at, joint_axis, joint
):
    push_rod = PushRod(shaft_at=shaft_at, shaft_axis=axis, horn_ball=horn, joint_ball=joint)
    hinge = Hinge(at, tuple(np.array(joint_axis) / np.linalg.norm(joint_axis)))
    assume(not push_rod.problems(hinge) and rod_of(push_rod) > 1.0)
    assume(push_rod.transmission_angle(np.array([0.0]), hinge)[0] > 0.1)
    assert push_rod.position(np.array([0.0]), hinge) == pytest.approx([0.0], abs=1e-6)
    start, end = np.clip(push_rod.closes(hinge), -400.0, 400.0)
    shaft = np.linspace(start, end, 1001)
    position = push_rod.position(shaft, hinge)
    assert np.isfinite(position).all()
    np.testing.assert_allclose(ball_distance(push_rod, hinge, shaft, position), rod_of(push_rod), atol=1e-4)
    good = push_rod.transmission_angle(shaft, hinge) > 5.0
    steps = np.abs(np.diff(position))[good[:-1] & good[1:]]
    rates = np.abs(push_rod.rate(shaft, hinge))
    allowed = np.maximum(rates[:-1], rates[1:])[good[:-1] & good[1:]] * (shaft[1] - shaft[0]) * 3 + 5.0
    assert (steps <= allowed).all()


@pytest.mark.parametrize("off_axis", [1e-7, 6.103515625e-05, 9e-4])
def test_balls_as_good_as_on_their_axes_are_told_and_those_that_are_not_have_a_range(off_axis):
    hinge = Hinge((0.0, 0.0, 0.0), (0.0, 0.0, 1.0))

    def rod(joint_y: float, horn_x: float) -> PushRod:
        return PushRod(
            shaft_at=(0.0, 6.0, 0.0),
            shaft_axis=(0.0, 0.0, 1.0),
            horn_ball=(horn_x, 6.0, 0.0),
            joint_ball=(0.0, joint_y, 0.0),
        )

    assert [key for key, _ in rod(off_axis, 2.0).problems(hinge)] == ["joint_ball"]
    assert [key for key, _ in rod(3.0, off_axis).problems(hinge)] == ["horn_ball"]
    for least in (rod(1.1e-3, 2.0), rod(3.0, 1.1e-3)):
        assert least.problems(hinge) == ()
        assert np.isfinite(least.position(np.array(np.clip(least.closes(hinge), -400, 400)), hinge)).all()


def test_a_joint_ball_that_the_rod_holds_on_the_shaft_stays_there():
    # The horn ball passes through the joint axis on its way, where the closed form has nothing to divide by.
    push_rod = PushRod(
        shaft_at=(0.0, 0.0, 0.0),
        shaft_axis=(0.0, 1.0, 0.0),
        horn_ball=(0.0, 0.0, 4.0),
        joint_ball=(0.0, 1.0, 0.0),
        rod=17.0**0.5,
    )
    hinge = Hinge((0.0, 0.0, 3.0), (1.0, 0.0, 0.0))
    start, end = push_rod.closes(hinge)
    through_the_axis = np.degrees(np.arccos(3.0 / 4.0))
    assert (start, end) == pytest.approx((-through_the_axis, through_the_axis))
    shaft = np.linspace(start, end, 101)
    np.testing.assert_allclose(push_rod.position(shaft[1:-1], hinge), 0.0, atol=1e-9)
    assert np.isfinite(push_rod.position(shaft, hinge)).all()


def test_a_joint_that_turns_fully_with_the_horn_does_not_jump():
    # Two parallel shafts a little apart: each full turn of the horn takes the arm along, either way round.
    hinge = Hinge((20.0, 5.0, 10.0), (0.0, 0.0, 1.0))
    for side, turn in ((1.0, 1.0), (-1.0, -1.0)):
        push_rod = PushRod(
            shaft_at=(0.0, 0.0, 0.0),
            shaft_axis=(0.0, 0.1 * side, side),
            horn_ball=(60.0, 0.0, 0.0),
            joint_ball=(20.0, 60.0, 10.0),
        )
        assert push_rod.closes(hinge) == (-np.inf, np.inf)
        shaft = np.linspace(-720.0, 720.0, 5761)
        joint = push_rod.position(shaft, hinge)
        assert np.abs(np.diff(joint)).max() < 2.0
        assert joint[-1] - joint[0] == pytest.approx(turn * 1440.0, abs=1e-8)


def test_the_rate_of_random_push_rods_is_the_slope_of_their_position():
    compared = 0
    for push_rod, hinge in random_push_rods(np.random.default_rng(7)):
        start, end = np.clip(push_rod.closes(hinge), -180.0, 180.0)
        shaft = np.linspace(start, end, 42)[1:-1]
        shaft = shaft[push_rod.transmission_angle(shaft, hinge) > 5.0]
        step = 1e-5
        slope = (push_rod.position(shaft + step, hinge) - push_rod.position(shaft - step, hinge)) / (2 * step)
        np.testing.assert_allclose(push_rod.rate(shaft, hinge), slope, rtol=1e-5, atol=1e-6)
        compared += len(shaft)
    assert compared > 500


@pytest.mark.parametrize(
    ("changes", "where"),
    [
        ({"shaft_axis": (0.0, 0.0, 0.0)}, "shaft_axis"),
        ({"horn_ball": (0.0, 0.0, 9.0)}, "horn_ball"),
        ({"joint_ball": (-5.0, 80.0, 40.0)}, "joint_ball"),
        ({"joint_ball": (20.0, 0.0, 5.0), "rod": None}, "joint_ball"),
        ({"joint_ball": (0.0, 0.0, 70.0), "rod": None}, "joint_ball"),
        ({"rod": 30.0}, "rod"),
        ({"rod": 200.0}, "rod"),
    ],
)
def test_each_impossible_push_rod_is_a_problem_of_the_right_key(mechanisms, changes, where):
    push_rod, hinge = example(mechanisms, **changes)
    assert [key for key, _ in push_rod.problems(hinge)] == [where]


def test_the_range_told_for_a_rod_that_does_not_reach_is_the_range_that_reaches(mechanisms):
    push_rod, hinge = example(mechanisms, rod=200.0)
    ((_, message),) = push_rod.problems(hinge)
    told = [float(word) for word in message.split() if word.replace(".", "").isdigit()]
    assert len(told) == 2
    for length, inward in zip(told, (0.01, -0.01), strict=True):
        assert not example(mechanisms, rod=length + inward)[0].problems(hinge)
        assert example(mechanisms, rod=length - inward)[0].problems(hinge)


def test_a_rod_square_to_the_arm_s_way_at_shaft_0_is_told_as_a_dead_point():
    push_rod = PushRod(
        shaft_at=(0.0, 0.0, 0.0),
        shaft_axis=(0.0, 0.0, 1.0),
        horn_ball=(0.0, 20.0, 0.0),
        joint_ball=(50.0, 20.0, 0.0),
    )
    hinge = Hinge((80.0, 20.0, 0.0), (0.0, 0.0, 1.0))
    ((where, message),) = push_rod.problems(hinge)
    assert where == "rod"
    assert "dead point" in message
