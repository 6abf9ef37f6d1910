"""Readings, where a number is known."""

import math
import tracemalloc
from collections.abc import Callable

import numpy as np
import pytest

from posekit.errors import PosekitError
from posekit.mechanism.joints import solve
from posekit.mechanism.kinematics import forward
from posekit.motion.extent import extents, farthest_move, tips
from posekit.motion.follow import follow, limits_of
from posekit.motion.instants import instants
from posekit.motion.profile import Limits
from posekit.motion.readings import drive_readings, readings
from posekit.motion.segments import segments
from posekit.motion.steps import FILM, VISIBLE, jumpiness, steps
from posekit.prop.reader import load
from posekit.stream.cues import Cue, CueList, render
from posekit.stream.show import Show
from tests.conftest import ROOT, SEEDS
from tests.motion.props import ARM, arm


def shoulder(times, shares, **changes):
    """The arm with shoulder values at shares of its 8-bit range; the slide rests."""
    prop = arm(changes.get("text", ARM))
    values = np.column_stack([np.round(np.array(shares) * 255), np.full(len(shares), 32768)])
    return prop, follow(prop, times, values, changes.get("limits"))


def test_a_jump_of_ninety_degrees_reads_as_its_trapezoid():
    # 1000..2000 us on 180 deg over 2000 us: values 0..255 are -45..45 deg. T = D/v + v/a = 0.95 s.
    prop, motion = shoulder([0.0, 1.0, 4.0], [0.0, 1.0, 1.0])
    reading = drive_readings(prop, motion)[0]
    assert (reading.stops, reading.missed, reading.arrives) == (1, 0, True)
    assert reading.lag_s == pytest.approx(0.95, rel=1e-12) and reading.lag_at == 1.0
    assert reading.top_speed == pytest.approx(120.0) and reading.top_acceleration == 600.0
    assert reading.at_speed == pytest.approx(0.55, rel=1e-9)
    assert reading.at_acceleration == pytest.approx(0.4, rel=1e-9)
    assert reading.short_deg == 0.0


def test_a_drive_that_needs_days_is_refused_before_it_fills_the_memory():
    limits = Limits.of([1e-6, 300.0], [600.0, math.inf])
    prop, motion = shoulder([0.0, 1.0], [0.0, 1.0], limits=limits)
    with pytest.raises(
        PosekitError, match=r"rests only 90000001 s after the show begins; use 172800 s or less"
    ):
        readings(prop, motion)
    with pytest.raises(PosekitError, match="rests only"):
        instants(Show("slow", np.array([0.0, 1.0]), np.zeros((2, 2))), 9e7)


def test_a_stop_that_the_show_leaves_too_soon_is_missed_with_its_time_and_how_far_it_was():
    prop, motion = shoulder([0.0, 1.0, 1.5], [0.0, 1.0, 0.0])
    reading = drive_readings(prop, motion)[0]
    assert (reading.stops, reading.missed, reading.missed_at) == (2, 1, 1.0)
    # Half a second in: 12 deg of rising and 36 deg at 120 deg/s; 42 of 90 deg are left.
    assert reading.short_deg == pytest.approx(42.0) and reading.short_at == 1.5
    found = [(f.level, f.code, f.subject) for f in readings(prop, motion).findings]
    assert ("warning", "not-arriving", "shoulder") in found


def test_a_drive_without_a_speed_is_told_of():
    text = ARM.replace("speed = 300.0", "").replace("speed = 120.0\nacceleration = 600.0", "")
    prop, motion = shoulder([0.0, 1.0], [0.0, 1.0], text=text)
    read = readings(prop, motion)
    assert [(f.level, f.code, f.subject) for f in read.findings] == [
        ("note", "no-speed", "shoulder"),
        ("note", "no-speed", "slide"),
    ]
    assert read.drives[0].top_acceleration is None and read.drives[0].lag_s == 0.0


def test_a_drive_is_never_faster_than_its_servo():
    assert limits_of(arm(ARM.replace("speed = 120.0", "speed = 500.0"))).speed.tolist() == [300.0, 300.0]


def test_joint_and_part_tip_speeds_are_those_of_the_turning_arm():
    prop, motion = shoulder([0.0, 1.0], [0.0, 1.0])
    read = readings(prop, motion)
    assert [speed.name for speed in read.joints] == ["shoulder"]
    assert read.joints[0].speed == pytest.approx(120.0, rel=1e-4) and read.joints[0].unit == "deg/s"
    by_name = {speed.name: speed.speed for speed in read.parts}
    # The arm is a box to x = 200, z = +-10 about y; the hand a ball of 10 mm round x = 240, slid by -0.02 mm.
    assert by_name["arm"] == pytest.approx(math.radians(120) * math.hypot(200, 10), rel=1e-3)
    assert by_name["hand"] == pytest.approx(math.radians(120) * 250, rel=1e-3)
    assert "base" not in by_name


def test_the_tip_of_a_part_is_its_point_farthest_from_the_axis():
    prop = arm()
    tip = tips(prop, extents(prop))
    assert np.abs(tip[1]).tolist() == [200.0, 10.0, 10.0]
    assert tip[2].tolist() == [50.0, 0.0, 0.0]


def test_of_two_balls_the_tip_is_on_the_one_that_reaches_farther():
    text = ARM.replace("at = [40, 0, 0]", "at = [40, 0, 0]\n[[links.hand.shapes]]\nsphere = {radius = 60}")
    assert tips(arm(text), extents(arm(text)))[2].tolist() == [60.0, 0.0, 0.0]


def test_the_farthest_move_of_a_turn_is_its_chord():
    prop = arm()
    moved, part = farthest_move(prop, extents(prop), np.array([0.0, 0.0]), np.array([1.0, 0.0]))
    chord = 2 * math.sin(math.radians(0.5)) * 250
    assert prop.links[part].name == "hand"
    assert moved == pytest.approx(chord, rel=1e-9)


def test_one_value_moves_what_the_calibration_and_the_arm_say():
    step = steps(arm(), extents(arm()))[0]
    # Above the middle 127 values make 45 deg, the larger step. The tip is at 250 mm.
    assert step.coarse.shaft_deg == pytest.approx(45 / 127, rel=1e-6)
    assert step.coarse.tip_mm == pytest.approx(250 * math.radians(45 / 127), rel=1e-3)
    assert (step.coarse.joint_name, step.coarse.unit, step.coarse.part) == ("shoulder", "deg", "hand")
    assert step.fine.shaft_deg == pytest.approx(step.coarse.shaft_deg / 257, rel=1e-3)
    assert step.deadband.shaft_deg == 0.0
    assert step.own.shaft_deg == pytest.approx(step.coarse.shaft_deg, rel=1e-9)
    assert step.best.tip_mm == pytest.approx(step.fine.tip_mm, rel=1e-9)


def test_a_deadband_wider_than_a_value_is_what_is_seen():
    text = ARM.replace("speed = 300.0", "speed = 300.0\ndeadband = 10.0")
    step = steps(arm(text), extents(arm(text)))[0]
    assert step.deadband.shaft_deg == pytest.approx(0.9, rel=0.01)
    # An 8-bit value is 3.92 us: the servo answers three of them at once, and 656 of 16 bit, 10.01 us.
    assert step.own.shaft_deg == pytest.approx(3 * step.coarse.shaft_deg, rel=0.01)
    assert step.best.shaft_deg == pytest.approx(step.deadband.shaft_deg, rel=0.01)


def jumpy_of(prop, motion):
    parts = extents(prop)
    return jumpiness(prop, parts, motion, steps(prop, parts))


def creeping(text=ARM):
    """A fade of 40 values in 5 s: a step every 0.125 s."""
    times = np.arange(221) / 44
    return shoulder(times, np.floor(100 + 40 * times / 5 + 0.5) / 255, text=text)


def test_a_slow_coarse_move_is_called_jumpy_with_what_would_help():
    prop, motion = creeping()
    found = [f for f in readings(prop, motion).findings if f.code == "jumpy"]
    assert [(f.level, f.subject) for f in found] == [("warning", "shoulder")]
    assert "16 bit would make it 0.006 mm" in found[0].message


def test_where_the_deadband_is_the_reason_sixteen_bit_is_not_offered():
    prop, motion = creeping(ARM.replace("speed = 300.0", "speed = 300.0\ndeadband = 5.0"))
    (found,) = [f for f in readings(prop, motion).findings if f.code == "jumpy"]
    assert "16 bit alone leaves" in found.message and "deadband" in found.message


def test_with_the_acceleration_that_smooths_it_the_move_does_not_stop_any_more():
    prop, motion = creeping()
    (jumpy,) = jumpy_of(prop, motion)
    assert jumpy.stops > 30
    _, smooth = creeping_with(jumpy.smooth)
    assert jumpy_of(prop, smooth) == []
    moving = np.linspace(1.0, 4.5, 2000)
    assert np.abs(smooth.velocity(moving)[:, 0]).min() > 0.0
    assert np.abs(motion.velocity(moving)[:, 0]).min() == 0.0


def creeping_with(acceleration):
    times = np.arange(221) / 44
    shares = np.floor(100 + 40 * times / 5 + 0.5) / 255
    return shoulder(times, shares, limits=Limits.of([120.0, 300.0], [acceleration, math.inf]))


def test_a_fine_move_is_not_called_jumpy():
    times = np.arange(221) / 44
    # 14 degrees in 5 s, in the steps of 16 bit: a frame is 0.064 degrees, a triangle that takes 20 ms of its 23.
    prop = arm(ARM.replace("address = 1\n", "address = 1\nbits = 16\n"))
    values = np.column_stack([np.rint(np.linspace(20000, 30000, 221)), np.full(221, 32768)])
    assert jumpy_of(prop, follow(prop, times, values)) == []
    assert pytest.approx(0.5818, abs=1e-4) == VISIBLE


def fade_of(prop, values, seconds):
    """A list of one cue: all drives fade from rest to `values` (by name)."""
    cue = Cue(name="1", values=values, fade=seconds, hold=1.0)
    show = render(prop, CueList(name="fade", cues=(cue,)))
    return follow(prop, show.times, show.values)


def test_a_fade_so_slow_that_each_value_is_a_twitch_of_its_own_is_told():
    # Ten values in a minute: a step of 1.5 mm every six seconds, which were taken for ten moves.
    prop = arm()
    found = readings(prop, fade_of(prop, {"shoulder": 138}, 60.0)).findings
    assert [(f.code, f.subject) for f in found] == [("jumpy", "shoulder")]


def test_moves_from_look_to_look_are_not_called_jumpy_however_they_pause():
    prop, motion = shoulder([0.0, 1.0, 4.0, 7.0], [0.2, 0.4, 0.6, 0.8])
    assert jumpy_of(prop, motion) == []


def test_steps_are_as_large_as_the_servo_takes_them_not_as_the_value_or_the_deadband_says():
    # A value is 3.92 us, the deadband 4: the servo answers every second value, 7.84 us and 0.71 degrees.
    prop, motion = creeping(ARM.replace("speed = 300.0", "speed = 300.0\ndeadband = 4.0"))
    (jumpy,) = jumpy_of(prop, motion)
    taken = np.abs(np.diff(motion.of_drive(0).target))
    assert jumpy.step.shaft_deg == pytest.approx(taken.max(), rel=1e-9)
    assert jumpy.step.shaft_deg == pytest.approx(steps(prop, extents(prop))[0].own.shaft_deg, rel=0.01)
    assert jumpy.step.shaft_deg == pytest.approx(2 * 180 / 2000 * 1000 / 255, rel=0.01)


def seen_stops(prop, motion, d):
    """Whether the tip is seen to go by steps: looked at without any knowledge of events, frame by frame of a film.

    Pictures of a film in which nothing moves, with moves in the same direction before and after them that take the
    tip farther than the eye resolves.
    """
    times = np.arange(0.0, motion.end, 1.0 / 200)
    position = motion.position(times)
    tip = tips(prop, extents(prop))
    world = forward(prop, solve(prop, position).position)
    at = np.einsum("plij,lj->pli", world[..., :3, :3], tip) + world[..., :3, 3]
    still = (np.diff(position[:, d]) == 0.0).astype(int)
    edges = np.flatnonzero(np.diff(np.concatenate([[0], still, [0]])))
    rests = [(a, b) for a, b in edges.reshape(-1, 2) if a > 0 and b < len(still)]
    found = 0
    for (_, before), (a, b), (after, _) in zip(rests, rests[1:], rests[2:], strict=False):
        arrives, leaves = position[a, d] - position[before, d], position[after, d] - position[b, d]
        moved = max(
            np.linalg.norm(at[a] - at[before], axis=1).max(), np.linalg.norm(at[after] - at[b], axis=1).max()
        )
        found += arrives * leaves > 0.0 and moved > 1.02 * VISIBLE and (b - a) / 200 > FILM
    return found


@pytest.mark.parametrize("seed", SEEDS)
def test_no_step_is_seen_that_is_not_told(seed):
    """Law: where nothing is told of steps, an eye that watches the film sees none."""
    rng = np.random.default_rng(seed)
    for _ in range(2):
        text = ARM.replace("speed = 300.0", f"speed = 300.0\ndeadband = {rng.uniform(0.0, 12.0)}")
        if rng.random() < 0.5:
            text = text.replace("address = 1\n", "address = 1\nbits = 16\n")
        prop = arm(text)
        value = int(rng.integers(0, 256)) * (prop.drives[0].full_scale // 255)
        motion = fade_of(prop, {"shoulder": value}, rng.uniform(0.5, 30.0))
        told = [f for f in readings(prop, motion).findings if f.code == "jumpy"]
        assert told or not seen_stops(prop, motion, 0)


def test_readings_of_many_drives_take_the_memory_of_one_after_the_other() -> None:
    prop, frames = load(ROOT / "models" / "heron"), 4000
    full = np.array([drive.full_scale for drive in prop.drives])
    values = np.random.default_rng(7).integers(0, full + 1, (frames, len(full)))
    motion = follow(prop, np.arange(frames) / 40.0, values)

    def most(work: Callable[[], object]) -> int:
        tracemalloc.start()
        work()
        peak = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        return peak

    assert most(lambda: drive_readings(prop, motion)) < 0.4 * most(lambda: segments(motion))
