"""What holds for the mapping from value to joint, whatever the calibration."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

import posekit
from posekit.linkage import Gear
from posekit.prop.model import Drive, Pulse, Servo
from posekit.signal.calibration import asked_pulse, pulse_of_shaft, shaft_angle

pulses_us = st.floats(500, 2500)
servos = st.builds(
    Servo,
    name=st.just("s"),
    pulse_range=st.tuples(st.floats(400, 900), st.floats(2000, 2700)),
    travel=st.floats(30, 330),
    reverse=st.booleans(),
)


@st.composite
def drives(draw: st.DrawFn) -> Drive:
    """Any drive whose middle pulse lies between its end points."""
    low, high = draw(pulses_us), draw(pulses_us)
    trim = draw(st.floats(-0.5, 0.5)) * abs(high - low)
    pulse = Pulse(low=low, high=high, trim=trim)
    return Drive(name="d", servo="s", joint="j", address=1, bits=draw(st.sampled_from([8, 16])), pulse=pulse)


@given(drives())
def test_pulse_is_monotone_between_the_end_points(drive: Drive) -> None:
    pulse = asked_pulse(np.arange(drive.full_scale + 1), drive)
    steps = np.diff(pulse) * np.sign(drive.pulse.high - drive.pulse.low)
    assert np.all(steps >= -1e-9)
    assert pulse[0] == drive.pulse.low and pulse[-1] == drive.pulse.high


@given(drives(), st.floats(-1000, 1000))
def test_trim_never_moves_an_end_point(drive: Drive, trim: float) -> None:
    low, high = drive.pulse.low, drive.pulse.high
    trimmed = Drive(
        name="d", servo="s", address=1, bits=drive.bits, pulse=Pulse(low=low, high=high, trim=trim)
    )
    assert asked_pulse(np.array([0, drive.full_scale]), trimmed).tolist() == [low, high]
    assert asked_pulse(drive.middle, trimmed) == (low + high) / 2 + trim


@given(servos, st.floats(0, 1))
def test_shaft_to_pulse_undoes_pulse_to_shaft(servo: Servo, part: float) -> None:
    low, high = servo.pulse_range
    pulse = low + part * (high - low)
    assert abs(pulse_of_shaft(shaft_angle(pulse, servo), servo) - pulse) < 1e-9


@given(drives(), servos, st.floats(-4, 4).filter(lambda ratio: abs(ratio) > 0.1), st.integers(0, 65535))
def test_values_of_positions_undo_positions_of_values_to_half_a_step(
    drive: Drive, servo: Servo, ratio: float, value: int
) -> None:
    prop = one_drive(drive, servo, ratio)
    wanted = posekit.positions(prop, posekit.pulses(prop, [[value % (drive.full_scale + 1)]]))
    reached = posekit.positions(prop, posekit.pulses(prop, posekit.values(prop, wanted)))
    assert abs(reached - wanted).max() < 1e-9


@given(drives(), servos, st.floats(0, 1))
def test_any_position_within_reach_is_met_to_half_a_value_step(
    drive: Drive, servo: Servo, part: float
) -> None:
    prop = one_drive(drive, servo, 1.0)
    every = np.arange(drive.full_scale + 1.0)[:, None]
    reach = posekit.positions(prop, posekit.pulses(prop, every))[:, 0]
    wanted = reach.min() + part * (reach.max() - reach.min())
    left = abs(posekit.residual(prop, [[wanted]], posekit.values(prop, [[wanted]])))[0, 0]
    assert left <= np.abs(np.diff(reach)).max() / 2 + 1e-9


def one_drive(drive: Drive, servo: Servo, ratio: float) -> posekit.Prop:
    """A prop of one drive on one joint through a gear, made without a file."""
    from dataclasses import replace

    text = """
format = 1
name = "one"
[servos.s]
[links.a]
[links.b]
[joints.j]
type = "revolute"
parent = "a"
child = "b"
[drives.d]
servo = "s"
joint = "j"
address = 1
"""
    prop = posekit.read({"prop.toml": text.encode()})
    return replace(prop, servos=(servo,), drives=(replace(drive, joint="j", linkage=Gear(ratio=ratio)),))
