"""Where parts fall to that nothing holds: pendulums and springs of the text books, and pinocchio's potential energy."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

import posekit
from posekit.linkage import Hinge
from posekit.linkage.four_bar import FourBar
from posekit.mechanism.joints import solve
from posekit.signal.calibration import shafts as shafts_of
from posekit.statics.burden import STANDARD_GRAVITY, TURN, burden_of
from posekit.statics.falling import Fall, fall, heap
from posekit.statics.loose import Loose, loose, way_from
from posekit.statics.potential import potential
from tests.conftest import IN_A_PAGE, demo_prop, prop_of
from tests.statics.hinged import figure, hinged, load
from tests.statics.weighed import Array, random_figure

Energy = Callable[[Array], Array]
SEEDS = range(2 if IN_A_PAGE else 6)
WEIGHT_NM = 0.120 * 0.085 * STANDARD_GRAVITY
# 120 g, 85 mm from a level axis: at joint 0 level, at 90 upright; the servo turns right round.
PENDULUM = figure("pendulum", hinged("arm", "pivot", 1), load("bob", "arm", 120, 85), servo="travel = 600.0")


def falls(text: str, *shafts: float, friction: float = 0.0, d: int = 0) -> Fall:
    prop = prop_of(text)
    count = len(prop.drives)
    return fall(loose(prop, burden_of(prop)), np.array(shafts), np.eye(count)[d], np.full(count, friction))


@pytest.mark.parametrize("begin", [0.0, 60.0, 89.0, -30.0, -170.0])
def test_a_pendulum_falls_to_hang_straight_down_and_swings_as_high_as_it_was(begin: float) -> None:
    found = falls(PENDULUM, begin)
    assert (found.what, found.end) == ("falls", "balance")
    assert found.rest[0] == pytest.approx(-90.0, abs=1e-5)
    assert found.far[0] == pytest.approx(-180.0 - begin, abs=1e-4)


def test_past_upright_it_falls_the_other_way() -> None:
    assert falls(PENDULUM, 91.0).rest[0] == pytest.approx(270.0, abs=1e-5)
    short = falls(PENDULUM.replace("600", "400"), 91.0)
    assert (short.end, short.rest[0]) == ("travel", 200.0)
    assert falls(PENDULUM, 89.0).rest[0] == pytest.approx(-90.0, abs=1e-5)
    assert falls(PENDULUM, 90.0).what == "upright"
    assert falls(PENDULUM, -90.0).what == "hangs"


def test_friction_holds_what_it_can_and_lets_go_of_the_rest() -> None:
    """A torque of w cos(q): half of it at 60 degrees, so that it creeps down to there."""
    assert falls(PENDULUM, 65.0, friction=WEIGHT_NM / 2).what == "held"
    found = falls(PENDULUM, 0.0, friction=WEIGHT_NM / 2)
    assert found.rest[0] == pytest.approx(-60.0, abs=1e-5)
    # On a swing to where the work of friction is all that was lost in height: sin q = -x / 2 for a way of x radians.
    way = -found.far[0] * TURN
    assert np.sin(way) == pytest.approx(way / 2, abs=1e-6)


def test_a_hard_stop_ends_it_and_is_named() -> None:
    stopped = PENDULUM.replace("axis = [0, -1, 0]", "axis = [0, -1, 0]\nstops = [-40, 120]")
    found = falls(stopped, 10.0)
    assert (found.end, found.joint) == ("stop", "pivot")
    assert found.rest[0] == found.far[0] == pytest.approx(-40.0, abs=1e-5)
    # A servo that presses against the stop lets go at the stop.
    assert falls(stopped, -55.0).what == "leans"
    assert falls(stopped, -55.0).start[0] == pytest.approx(-40.0, abs=1e-5)
    assert falls(stopped, 130.0).rest[0] == pytest.approx(120.0, abs=1e-5)


def test_what_follows_stops_its_leader_too() -> None:
    more = """[links.tail]
[joints.tail]
type = "revolute"
parent = "base"
child = "tail"
at = [0, 60, 0]
axis = [0, -1, 0]
stops = [-50, 50]
follow = {joint = "pivot", ratio = 2.0}
"""
    found = falls(PENDULUM + more, 0.0)
    assert (found.end, found.joint) == ("stop", "tail")
    assert found.rest[0] == pytest.approx(-25.0, abs=1e-5)


def test_a_spring_of_no_free_length_balances_the_arm_in_every_pose() -> None:
    """Rate x height of the hook x lever = weight x lever (static balancing, any text book)."""
    spring = (
        "[springs.s]\nlink = 'base'\nat = [0, 0, 50]\nother = 'arm'\nother_at = [85, 0, 0]\nrate = {rate!r}\n"
    )
    rate = 0.120 * STANDARD_GRAVITY / 50
    for begin in (-80.0, -20.0, 0.0, 45.0, 100.0):
        assert falls(PENDULUM + spring.format(rate=rate), begin).what == "hangs"
    assert falls(PENDULUM + spring.format(rate=rate * 1.1), 0.0).rest[0] == pytest.approx(90.0, abs=1e-4)


def test_a_linkage_ends_at_its_dead_point_or_where_its_crank_takes_no_push() -> None:
    bars = "crank = 30.0\ncoupler = 30.0\nrocker = 40.0\nground = 70.0\nshaft_zero = 90.0\n"
    for torque in (-1.0, 1.0):  # far more than the weight
        text = PENDULUM.replace('child = "arm"', f'child = "arm"\ntorque = {torque}')
        found = falls(f"{text}[drives.pivot.linkage]\ntype = 'four_bar'\n{bars}", -30.0)
        linkage = FourBar(crank=30.0, coupler=30.0, rocker=40.0, ground=70.0, shaft_zero=90.0)
        if torque == 1.0:
            assert found.end == "dead point"
            assert found.rest[0] in linkage.closes(Hinge())
        else:  # crank and coupler in line: whatever pulls at the arm turns the shaft no further
            assert found.end == "balance"
            assert linkage.rate(found.rest, Hinge())[0] == pytest.approx(0.0, abs=1e-6)


@pytest.mark.native  # a long swing; shorter ones are tried there
def test_a_swing_that_reaches_a_dead_point_is_told() -> None:
    """The arm hangs within the travel; with more height behind it, it swings on to where its linkage is in line."""
    bars = "crank = 30.0\ncoupler = 30.0\nrocker = 40.0\nground = 70.0\nshaft_zero = 90.0\n"
    text = f"{PENDULUM}[drives.pivot.linkage]\ntype = 'four_bar'\n{bars}"
    free = loose(prop_of(text), burden_of(prop_of(text)))
    low, high = free.ends[0]
    found = [falls(text, begin) for begin in np.linspace(low + 1.0, high - 1.0, 60)]
    swings = [each for each in found if each.end == "balance"]
    assert {each.far_end for each in swings} == {None, "dead point"}
    for each in swings:
        end = high if each.rest[0] > each.start[0] else low
        beyond = free.energy(np.linspace(each.rest[0], end, 2000)[:, None]).max()
        assert each.dead == (beyond < free.energy(each.start[None])[0])


def test_a_linkage_that_closes_nowhere_within_the_travel_goes_nowhere() -> None:
    bars = "crank = 30.0\ncoupler = 30.0\nrocker = 20.0\nground = 70.0\nshaft_zero = 90.0\n"
    short = PENDULUM.replace("600", "10")
    found = falls(f"{short}[drives.pivot.linkage]\ntype = 'four_bar'\n{bars}", 0.0)
    assert (found.what, found.end) == ("leans", "dead point")
    assert found.rest[0] == found.far[0] == found.start[0]


@pytest.mark.native
def test_of_two_shafts_of_one_linkage_one_falls_alone() -> None:
    prop = demo_prop("bellows")
    free = loose(prop, burden_of(prop))
    a, b = ([drive.name for drive in prop.drives].index(name) for name in ("neck_left", "neck_right"))
    shafts = np.zeros(len(prop.drives))
    shafts[[a, b]] = 40.0, 20.0  # nods by 30, leans by 10
    found = fall(free, shafts, np.eye(len(shafts))[a], np.zeros(len(shafts)))
    assert (found.end, found.joint) == ("stop", "neck_pitch")
    assert found.rest[a] == pytest.approx(2 * 38.0 - 20.0, abs=1e-5)  # (a + b) / 2 at the stop
    assert found.rest[b] == 20.0


def test_two_arms_that_let_go_together_hang_in_line() -> None:
    fore = hinged("fore", "elbow", 2, on="arm", at=(85, 0, 0)) + load("hand", "fore", 50, 60)
    prop = prop_of(PENDULUM + fore)
    found = heap(loose(prop, burden_of(prop)), np.array([20.0, 50.0]), [0, 1], np.zeros(2))
    assert found.rests
    np.testing.assert_allclose(found.rest, [-90.0, 0.0], atol=0.05)
    late = heap(loose(prop, burden_of(prop)), np.array([20.0, 50.0]), [0, 1], np.zeros(2), lambda: True)
    assert (late.rests, late.rest.tolist()) == (False, [20.0, 50.0])
    assert heap(loose(prop, burden_of(prop)), found.rest, [0, 1], np.zeros(2), lambda: True).rests
    held = heap(loose(prop, burden_of(prop)), np.array([20.0, 50.0]), [1], np.zeros(2))
    np.testing.assert_allclose(held.rest, [20.0, -110.0], atol=0.05)
    assert heap(loose(prop, burden_of(prop)), np.array([20.0, 50.0]), [], np.zeros(2)).rest.tolist() == [
        20.0,
        50.0,
    ]


@pytest.mark.native
@pytest.mark.parametrize("seed", SEEDS)
def test_the_energy_is_that_of_pinocchio_and_less_at_the_end_of_every_fall(seed: int) -> None:
    """`computePotentialEnergy` of pinocchio: differences to 1e-9, lower at the end, and there no way down is free."""
    pin = pytest.importorskip("pinocchio")
    from tests.reference.pinocchio_trees import configuration
    from tests.statics.weighed import pinocchio_model, si

    prop = random_figure(seed)
    burden = burden_of(prop)
    free = loose(prop, burden)
    model = pinocchio_model(prop, burden)
    data = model.createData()

    def energy(shafts: Array) -> Array:
        position = solve(prop, shafts, burden.mechanism).position
        return np.array(
            [pin.computePotentialEnergy(model, data, configuration(model, si(prop, row))) for row in position]
        )

    random = np.random.default_rng(seed)
    count = len(prop.drives)
    low, high = np.clip(free.ends, -80.0, 80.0).T
    shafts = low + random.random((4, count)) * (high - low)
    ours = potential(prop, burden, solve(prop, shafts, burden.mechanism).position)
    np.testing.assert_allclose(
        np.diff(ours), np.diff(energy(shafts)), atol=1e-9 * max(1.0, np.abs(ours).max())
    )
    for d in range(count):
        _is_a_fall(free, energy, fall(free, shafts[0], np.eye(count)[d], np.zeros(count)), np.eye(count)[d])
    for friction in (np.zeros(count), random.uniform(0.0, 0.3, count)):
        found = heap(free, shafts[1], range(count), friction)
        assert found.rests, found.left_nm
        assert energy(found.rest[None])[0] <= energy(np.clip(shafts[1:2], *free.ends.T))[0] + 1e-9
        for d in range(count):
            _rests(free, energy, found.rest, np.eye(count)[d], float(friction[d]))


def _is_a_fall(free: Loose, energy: Energy, found: Fall, along: Array) -> None:
    start, rest, far = energy(np.stack([found.start, found.rest, found.far]))
    if found.what == "falls":
        assert rest < start
        assert far <= start + 1e-6
    elif found.what in ("hangs", "leans"):
        assert rest == start
    if found.what != "upright":
        _rests(free, energy, found.rest, along, 0.0)


def _rests(free: Loose, energy: Energy, shafts: Array, along: Array, friction: float) -> None:
    """No step either way gives more energy than friction takes, but for steps that a stop forbids."""
    way = way_from(free, shafts, along)
    if way is None:
        return
    step = 0.01
    room = np.array([max(way.start - step, way.t[0]), min(way.start + step, way.t[-1])])
    gone = np.abs(room - way.start) * TURN
    lost = energy(shafts[None])[0] - energy(way.shafts(room))
    slack = (
        2e-5 + 50.0 * step * TURN
    ) * gone  # what may turn it still, and how a torque changes within the step
    assert (lost <= friction * gone + slack + 1e-12).all()


@pytest.mark.native
@pytest.mark.parametrize("name", ["heron", "bellows", pytest.param("longwood", marks=pytest.mark.long)])
def test_the_demo_props_come_to_rest_from_their_ends(name: str) -> None:
    prop = demo_prop(name)
    free = loose(prop, burden_of(prop))
    count = len(prop.drives)
    for value in (0.0, 1.0):
        values = [value * drive.full_scale for drive in prop.drives]
        shafts = shafts_of(prop, posekit.pulses(prop, [values]))[0]
        found = heap(free, shafts, range(count), np.zeros(count))
        begin, end = free.energy(np.stack([shafts, found.rest]))
        assert found.rests
        assert end < begin
