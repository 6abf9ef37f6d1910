"""Torques over a show, currents and wires: closed forms and worked examples."""

from __future__ import annotations

import tracemalloc

import numpy as np
import pytest

import posekit
from posekit.mechanism.joints import solve
from posekit.motion import Limits
from posekit.motion.follow import follow, follow_shafts
from posekit.motion.segments import segments
from posekit.signal.calibration import shafts
from posekit.statics import over_show
from posekit.statics.burden import STANDARD_GRAVITY, TURN, burden_of
from posekit.statics.currents import current_at, speed_left, torque_left, wire_drop
from posekit.statics.dynamics import moving_torques, torques
from posekit.statics.over_show import joint_motion, shaft_rates, torque_parts, torques_over
from posekit.statics.shafts import to_shafts
from tests.conftest import IN_A_PAGE, prop_of
from tests.statics.test_statics import ARM, FORE, lossless
from tests.statics.weighed import random_figure, random_values


def just_before(times: np.ndarray) -> np.ndarray:
    """Of two instants at one time the first is just before it."""
    return np.append(times[1:] == times[:-1], False)


def test_a_pendulum_takes_its_weight_and_its_inertia() -> None:
    """m l2 a + m g l cos q, any text book: 120 g at 85 mm, from 0 to 40 degrees at 200 deg/s2 and back to rest."""
    prop = prop_of(ARM)
    motion = follow_shafts([0.0, 1.0], [[0.0, 0.0], [40.0, 0.0]], Limits.of([80.0, 80.0], [200.0, 200.0]))
    found = torques_over(prop, motion, burden_of(prop))
    shaft, _, more = segments(motion).at(found.times, just_before(found.times))
    weight = 0.120 * STANDARD_GRAVITY * 0.085 * np.cos(np.radians(shaft[:, 0]))
    inertia = 0.120 * 0.085**2
    np.testing.assert_allclose(found.torque[:, 0], weight + inertia * np.radians(more[:, 0]), atol=1e-13)
    np.testing.assert_allclose(found.resting[:, 0], weight, atol=1e-13)
    top = np.abs(found.torque[:, 0]).argmax()
    assert found.torque[top, 0] == pytest.approx(0.120 * STANDARD_GRAVITY * 0.085 + inertia * 200 * TURN)
    assert found.times[top] == 1.0
    # At 80 deg/s, to which it comes at 1.4 s, it has to give what its acceleration takes, and then no more.
    before, after = np.flatnonzero(np.isclose(found.times, 1.4, atol=1e-9))[-2:]
    assert found.speed[[before, after], 0] == pytest.approx([80.0, 80.0]) and found.gain[before, 0] == 200.0
    assert found.torque[before, 0] - found.torque[after, 0] == pytest.approx(inertia * 200 * TURN)


@pytest.mark.parametrize("seed", range(2 if IN_A_PAGE else 8))
def test_joints_move_by_the_slopes_of_their_linkages(seed: int) -> None:
    """Speeds and accelerations of joints against differences of their positions along a motion of the shafts."""
    prop = random_figure(seed)
    burden, rng = burden_of(prop), np.random.default_rng(seed)
    shaft = np.clip(shafts(prop, posekit.pulses(prop, random_values(prop, rng, 5))), -50.0, 50.0)
    speed, more = rng.uniform(-50, 50, shaft.shape), rng.uniform(-50, 50, shaft.shape)

    def position(t: float) -> np.ndarray:
        return solve(prop, shaft + speed * t + more * t * t / 2, burden.mechanism).position

    going, gaining = joint_motion(
        burden,
        shaft,
        speed,
        more,
        solved := solve(prop, shaft, burden.mechanism),
        shaft_rates(burden, solved.held),
    )
    step = 1e-4
    first = (position(step) - position(-step)) / (2 * step)
    second = (position(step) - 2 * position(0.0) + position(-step)) / step**2
    np.testing.assert_allclose(going, first, atol=1e-3, rtol=1e-5)
    np.testing.assert_allclose(gaining, second, atol=0.05, rtol=1e-3)


def test_power_of_the_shafts_is_what_the_figure_gains() -> None:
    """Virtual work in motion: torque times speed at all shafts is that at all joints, through every linkage."""
    prop = lossless(random_figure(5))
    burden, rng = burden_of(prop), np.random.default_rng(1)
    shaft = np.clip(shafts(prop, posekit.pulses(prop, random_values(prop, rng, 9))), -50.0, 50.0)
    speed, more = rng.uniform(-50, 50, shaft.shape), rng.uniform(-50, 50, shaft.shape)
    solved = solve(prop, shaft, burden.mechanism)
    going, gaining = joint_motion(burden, shaft, speed, more, solved, shaft_rates(burden, solved.held))
    at_joints = moving_torques(prop, solved.position, going, gaining, burden)
    at_shafts = to_shafts(prop, burden, at_joints, solved.held)
    np.testing.assert_allclose(
        (at_shafts * speed * TURN).sum(axis=1), (at_joints * going * burden.si).sum(axis=1), atol=1e-12
    )


def test_what_rests_is_told_as_though_each_instant_were_looked_at() -> None:
    """Two seconds of rest within a show: every instant has the torques of its own pose, speed and acceleration."""
    limits = 'servo = "s"\nspeed = 200.0\nacceleration = 900.0'
    prop = prop_of(ARM.replace('servo = "s"', limits) + FORE)
    burden = burden_of(prop)
    motion = follow(prop, np.array([0.0, 0.3, 2.5]), np.array([[10.0, 128.0], [200.0, 30.0], [90.0, 90.0]]))
    over = torques_over(prop, motion, burden)
    shaft, speed, gain = segments(motion).at(over.times, just_before(over.times))
    still = ~(speed.any(axis=1) | gain.any(axis=1))
    assert 0.4 < still.mean() < 1.0
    for i in range(0, len(over.times), 7):
        solved = solve(prop, shaft[[i]], burden.mechanism)
        going, gaining = joint_motion(
            burden, shaft[[i]], speed[[i]], gain[[i]], solved, shaft_rates(burden, solved.held)
        )
        alone = moving_torques(prop, solved.position, going, gaining, burden)
        assert over.torque[i] == pytest.approx(
            to_shafts(prop, burden, alone, solved.held)[0], rel=1e-12, abs=1e-15
        )
        rests = to_shafts(prop, burden, torques(prop, solved.position, burden), solved.held)[0]
        assert over.resting[i] == pytest.approx(rests, rel=1e-12, abs=1e-15)
    assert (over.torque[still] == over.resting[still]).all()


def test_parts_of_a_show_are_no_longer_than_a_block_and_together_all_of_it(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    prop = prop_of(ARM + FORE)
    times, values = np.array([0.0, 0.3, 2.5]), np.array([[10.0, 128.0], [200.0, 30.0], [90.0, 90.0]])
    motion, burden = follow(prop, times, values), burden_of(prop)
    whole = torques_over(prop, motion, burden)
    monkeypatch.setattr(over_show, "BLOCK", 16)
    end, parts = torque_parts(prop, motion, burden)
    found = list(parts)
    assert end <= whole.times[-1] < end + 1.0 / over_show.SAMPLES
    assert len(found) > 3 and max(len(part.times) for part in found) <= 16
    for name in ("times", "lasts", "torque", "resting", "speed", "gain", "dead"):
        together = np.concatenate([getattr(part, name) for part in found])
        np.testing.assert_allclose(together, getattr(whole, name), rtol=1e-12, atol=1e-15)
    assert whole.lasts.sum() == pytest.approx(whole.times[-1] - whole.times[0])


@pytest.mark.native  # NumPy asks for the same memory everywhere
def test_twice_as_long_a_show_takes_hardly_more_memory_to_look_through() -> None:
    """Beyond the motion itself: what is held is of a stretch of it, whatever its length."""
    prop = prop_of((ARM + FORE).replace('servo = "s"\n', 'servo = "s"\nspeed = 300\nacceleration = 2000\n'))
    burden, rng, most = burden_of(prop), np.random.default_rng(5), list[int]()
    for frames in (8_000, 16_000):
        values = rng.integers(0, 256, (frames, 2)).astype(float)
        motion = follow(prop, np.arange(frames) / 22.0, values)
        tracemalloc.start()
        looked = sum(len(part.times) for part in torque_parts(prop, motion, burden)[1])
        most.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
        assert looked > 4 * frames > 5 * over_show.BLOCK
    assert most[1] < 1.2 * most[0]


@pytest.mark.parametrize("limits", ["", "speed = 300\nacceleration = 2000\n"])
def test_instants_are_no_more_than_the_budgets_of_a_show_allow(limits: str) -> None:
    """As `torque_parts` says: so many a second, and eight for each value, which sets off four phases at most."""
    prop = prop_of((ARM + FORE).replace('servo = "s"\n', f'servo = "s"\n{limits}'))
    rng = np.random.default_rng(4)
    times, values = np.arange(40) / 4.0, rng.integers(0, 256, (40, 2)).astype(float)
    over = torques_over(prop, follow(prop, times, values), burden_of(prop))
    even = int(np.ceil(over_show.SAMPLES * (over.times[-1] - times[0]))) + 1
    assert even < len(over.times) <= even + 8 * values.size


def test_more_instants_at_once_than_memory_is_meant_for_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    prop = prop_of(ARM + FORE)
    times, values = np.array([0.0, 0.3, 2.5]), np.array([[10.0, 128.0], [200.0, 30.0], [90.0, 90.0]])
    motion, burden = follow(prop, times, values), burden_of(prop)
    most = 2 * len(torques_over(prop, motion, burden).times)
    monkeypatch.setattr(over_show, "SHOW_TORQUES", most)
    assert 2 * len(torques_over(prop, motion, burden).times) == most
    monkeypatch.setattr(over_show, "SHOW_TORQUES", most - 1)
    with pytest.raises(posekit.PosekitError, match=r"at which the torques of 2 servos .* by torque_parts"):
        torques_over(prop, motion, burden)


def test_current_and_speed_go_along_the_line_of_the_motor() -> None:
    """Worked by hand: stall 1.0 N m and 2.2 A, idle 0.2 A, 360 deg/s without load."""
    np.testing.assert_allclose(
        current_at(np.array([0.0, -0.25, 0.5, 3.0]), 1.0, 2.2, 0.2), [0.2, 0.7, 1.2, 2.2]
    )
    np.testing.assert_allclose(
        torque_left(np.array([0.0, -90.0, 360.0, 400.0]), 1.0, 360.0), [1.0, 0.75, 0.0, 0.0]
    )
    assert speed_left(-0.25, 1.0, 360.0) == 270.0


@pytest.mark.parametrize(
    ("current", "length", "area", "volts"), [(5.0, 3000.0, 0.75, 0.689655), (10.0, 5000.0, 1.5, 1.149425)]
)
def test_two_wires_of_copper_take_their_share_of_the_voltage(
    current: float, length: float, area: float, volts: float
) -> None:
    """2 L I rho / A with rho = 1/58 ohm mm2/m (IEC 60028, from memory; the products worked by hand)."""
    assert wire_drop(current, length, area) == pytest.approx(volts, abs=1e-6)
