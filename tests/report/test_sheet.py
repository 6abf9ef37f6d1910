"""The sheets for the install, against the core's other answers and the formulas of a handbook."""

from __future__ import annotations

from dataclasses import replace
from math import sqrt
from pathlib import Path

import numpy as np
import pytest

import posekit
from posekit.errors import PosekitError
from posekit.motion.deadband import answered
from posekit.prop.fingerprint import fingerprint, for_people
from posekit.report.figures import figures
from posekit.report.sheet import PERCENTS, sheet
from posekit.signal.calibration import asked_pulse
from tests.conftest import demo_prop

MODELS = Path(__file__).parents[2] / "models"
TWO = """
format = 1
name = "Two"
[servos.small]
pulse_range = [500, 2500]
speed = 300.0
deadband = 5.0
stall_current = 0.75
[servos.plain]
[links.base]
[links.arm]
[links.hand]
[joints.arm]
type = "revolute"
parent = "base"
child = "arm"
stops = [-50.0, 60.0]
[joints.hand]
type = "revolute"
parent = "arm"
child = "hand"
[drives.arm]
servo = "small"
joint = "arm"
universe = 3
address = 500
bits = 16
pulse = {low = 1000, high = 2000}
speed = 90.0
acceleration = 180.0
[drives.hand]
servo = "plain"
joint = "hand"
universe = 3
address = 8
pulse = {low = 1900, high = 1100, trim = 40}
rest = 0
"""


def two(text: str = TWO) -> posekit.Prop:
    return posekit.read({"prop.toml": text.encode()})


@pytest.mark.parametrize("name", ["heron", "bellows", "longwood"])
def test_every_figure_is_that_of_a_pose_at_these_values(name: str) -> None:
    prop = demo_prop(name)
    made = sheet(prop)
    assert [row.drive for row in made.outlets] == [drive.name for drive in prop.drives]
    for row in made.drives:
        drive = next(drive for drive in prop.drives if drive.name == row.drive)
        at_percent = posekit.Snapshot.parse(
            ", ".join(f"{drive.universe}/{drive.address}@{percent}%" for percent in (25,))
        )
        if drive.bits == 8:
            assert row.values[1] == at_percent.slots[drive.universe, drive.address]
        for n in range(len(PERCENTS)):
            values = [other.rest_value for other in prop.drives]
            values[prop.drives.index(drive)] = row.values[n]
            pulse = posekit.pulses(prop, [values])
            position = posekit.positions(prop, pulse)[0]
            assert row.pulses_us[n] == pytest.approx(pulse[0, prop.drives.index(drive)], abs=1e-12)
            for way in row.ways:
                j = [joint.name for joint in prop.joints].index(way.joint)
                assert way.positions[n] == pytest.approx(position[j], abs=1e-9)


def test_the_deadband_in_values_is_the_least_change_that_is_answered_from_anywhere() -> None:
    prop = two()
    for row, drive, deadband in zip(sheet(prop).drives, prop.drives, (5.0, 0.0), strict=True):
        count = row.deadband_values
        start = np.arange(0, drive.full_scale + 1 - count, 37 if drive.bits == 16 else 1)

        def moves(change: int, start=start, drive=drive, deadband=deadband) -> np.ndarray:
            pulse = np.stack([asked_pulse(start, drive), asked_pulse(start + change, drive)])
            sent = answered(pulse, np.full(len(start), deadband))
            return sent[1] != sent[0]

        assert moves(count).all()
        assert not moves(count - 1).all()


def test_times_are_those_of_the_trapezoid_of_a_handbook() -> None:
    """t = D/v + v/a where the speed is reached, else 2 sqrt(D/a); any text on motion control."""
    arm, hand = sheet(two()).drives
    assert arm.times.whole_s == pytest.approx(90 / 90 + 90 / 180)
    assert arm.times.half_s == pytest.approx((90 / 90 + 90 / 180) / 2)
    # 45 deg: exactly where the speed is just reached, so that both formulas are one.
    assert arm.times.middle_s == pytest.approx(2 * sqrt(arm.times.part_deg / 180), rel=1e-4)
    assert hand.times.whole_s is None and hand.speed is None  # nothing says how fast that servo is
    motion = posekit.motion.follow(two(), [0.0, 1e-9], [[0, 0], [65535, 0]])
    at = motion.position([arm.times.half_s, arm.times.whole_s - 1e-6, arm.times.whole_s + 1e-6])[:, 0]
    assert at[0] == pytest.approx(0.0, abs=1e-6)
    assert at[1] < 45.0 and at[2] == pytest.approx(45.0)


def test_wiring_tells_slots_servos_and_what_is_not_known() -> None:
    (universe,) = sheet(two()).wiring
    assert (universe.universe, universe.slots, universe.spans) == (3, 3, ((8, 8), (500, 501)))
    assert universe.servos == (("small", 1), ("plain", 1))
    assert (universe.stall_a, universe.unknown) == (0.75, 1)


@pytest.mark.parametrize(
    ("wrong", "code"),
    [
        (("address = 8", "address = 501"), "shared-address"),
        (("address = 500", "address = 512"), "out-of-range"),
        (("universe = 3\naddress = 8", "universe = 70000\naddress = 8"), "out-of-range"),
        (("address = 8", "address = 513"), "out-of-range"),
    ],
)
def test_a_patch_that_cannot_be_wired_is_told_and_gives_no_sheet(wrong: tuple[str, str], code: str) -> None:
    with pytest.raises(PosekitError) as refused:
        two(TWO.replace(*wrong))
    assert code in {finding.code for finding in refused.value.findings}


def test_figures_name_keys_of_the_prop_file() -> None:
    prop = two()
    for figure in figures(sheet(prop)):
        if figure.name in ("universe", "address", "low pulse", "middle pulse", "high pulse", "rest"):
            assert posekit.edit(
                prop, figure.key, 100 if figure.name in ("universe", "address", "rest") else 1234
            )
    planned = {(f.drive, f.name): f.planned for f in figures(sheet(prop))}
    assert planned["hand", "middle pulse"] == 1540.0
    assert planned["hand", "speed"] is None


def test_the_fingerprint_changes_with_any_letter_of_any_file_and_with_nothing_else() -> None:
    prop = demo_prop("heron")
    name = fingerprint(prop)
    assert len(name) == 64 and for_people(name).replace(" ", "") == name[:12]
    files = dict(prop.files)
    again = replace(prop, files=dict(reversed(files.items())))
    assert fingerprint(again) == name
    look = next(path for path in files if path.startswith("looks/"))
    assert fingerprint(replace(prop, files={**files, look: files[look] + b"\n"})) != name
    assert fingerprint(replace(prop, text=prop.text + "\n")) != name
    # What moves from one file's end to the next one's name makes another prop.
    a = replace(prop, files={"looks/a": b"xlooks/b", "looks/c": b""})
    b = replace(prop, files={"looks/a": b"x", "looks/b": b"looks/c"})
    assert fingerprint(a) != fingerprint(b)
