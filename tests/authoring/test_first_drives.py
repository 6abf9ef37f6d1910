"""The drives that a figure begins with reach the stops of its joints, press on none, and leave it as it was drawn."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
import pytest
import tomlkit

import posekit
from posekit.authoring.first_drives import first_drives, keys_of
from posekit.authoring.servo_types import typical_table
from posekit.linkage import Direct, Gear, Hinge
from posekit.prop.model import Follow, Joint
from posekit.prop.servo_classes import CLASSES
from posekit.signal.calibration import shaft_angle

SERVO = CLASSES["standard"].servo  # 90 degrees over 1000 to 2000 µs: a microsecond is 0.09 degrees

# kind, stops, whether and how it is geared
RANGES: Mapping[str, tuple[Any, tuple[float, float] | None, type]] = {
    "within": ("revolute", (-40.0, 12.5), Direct),
    "one_sided": ("revolute", (0.0, 80.0), Direct),
    "far_off": ("revolute", (100.0, 170.0), Direct),
    "wide": ("revolute", (-150.0, 150.0), Gear),
    "wide_and_far_off": ("revolute", (-10.0, 349.0), Gear),
    "narrow": ("revolute", (0.0057, 0.0286), Direct),
    "endless": ("revolute", None, Direct),
    "slide": ("prismatic", (0.0, 35.0), Gear),
    "endless_slide": ("prismatic", None, Gear),
}


def joints() -> list[Joint]:
    return [
        Joint(name=name, type=kind, parent="base", child=name, stops=stops)
        for name, (kind, stops, _) in RANGES.items()
    ]


def prop() -> posekit.Prop:
    lines = ["format = 1", 'name = "Reach"', "[links.base]"]
    for joint in joints():
        lines += [
            f"[links.{joint.name}]",
            f"[joints.{joint.name}]",
            f'type = "{joint.type}"',
            'parent = "base"',
        ]
        lines += [f'child = "{joint.name}"', *([f"stops = {list(joint.stops)}"] if joint.stops else [])]
    drives = {drive.name: keys_of(drive) for drive in first_drives(joints(), SERVO)}
    text = "\n".join([*lines, typical_table("standard", "standard"), tomlkit.dumps({"drives": drives})])
    return posekit.read({"prop.toml": text.encode()})


def test_each_drive_reaches_both_stops_to_a_microsecond_and_presses_on_none() -> None:
    made = prop()
    ends = posekit.positions(made, posekit.pulses(made, [[0] * len(RANGES), [255] * len(RANGES)]))
    stops = np.array([stops or (-45.0, 45.0) for _, stops, _ in RANGES.values()])
    for drive, name in zip(made.drives, RANGES, strict=True):
        assert type(drive.linkage) is RANGES[name][2], name
    step = [0.09 / getattr(drive.linkage, "ratio", 1.0) for drive in made.drives]
    assert (np.abs(ends.T - stops).max(axis=1) <= step).all()
    assert (ends[0] >= stops[:, 0] - 1e-9).all()
    assert (ends[1] <= stops[:, 1] + 1e-9).all()
    assert [finding for finding in posekit.check(made) if finding.level == "error"] == []
    assert [finding.code for finding in posekit.check(made) if "stop" in finding.code] == []


def test_at_rest_every_joint_is_as_near_to_0_as_its_drive_can_come() -> None:
    made = prop()
    values = np.repeat(np.arange(256)[:, None], len(RANGES), axis=1)
    everywhere = posekit.positions(made, posekit.pulses(made, values))
    rest = posekit.positions(made, posekit.pulses(made, [[drive.rest_value for drive in made.drives]]))
    assert np.abs(rest[0]) == pytest.approx(np.abs(everywhere).min(axis=0))


def test_joints_that_are_fixed_or_follow_or_have_a_drive_get_none_and_addresses_go_on() -> None:
    (first,) = first_drives(joints()[:1], SERVO)
    others = [
        Joint(name="held", type="fixed", parent="base", child="held"),
        Joint(name="led", type="revolute", parent="base", child="led", follow=Follow(joint="within")),
    ]
    made = first_drives([*joints(), *others], SERVO, [first])
    assert [drive.name for drive in made] == list(RANGES)[1:]
    assert [(drive.universe, drive.address) for drive in made] == [(1, address) for address in range(2, 10)]


def test_a_universe_that_is_full_is_followed_by_the_next() -> None:
    many = [Joint(name=f"j{i}", type="revolute", parent="base", child=f"l{i}") for i in range(514)]
    made = first_drives(many, SERVO)
    assert [(drive.universe, drive.address) for drive in made[510:]] == [(1, 511), (1, 512), (2, 1), (2, 2)]


LED = {"led": (-0.5, 40.0, (-10.0, 30.0)), "slid": (0.25, -3.0, (-8.0, 9.0))}  # ratio, offset, stops


def test_end_points_keep_those_that_follow_off_their_stops_too() -> None:
    leader = Joint(name="leader", type="revolute", parent="base", child="leader", stops=(-120.0, 120.0))
    led, slid = (
        Joint(
            name=name,
            type="revolute" if name == "led" else "prismatic",
            parent="base",
            child=name,
            stops=stops,
            follow=Follow(joint=first, ratio=ratio, offset=offset),
        )
        for (name, (ratio, offset, stops)), first in zip(LED.items(), ("leader", "led"), strict=True)
    )
    (drive,) = first_drives([slid, led, leader], SERVO)
    ends = drive.linkage.position(shaft_angle(np.array([drive.pulse.low, drive.pulse.high]), SERVO), Hinge())
    at_led = LED["led"][0] * ends + LED["led"][1]
    at_slid = LED["slid"][0] * at_led + LED["slid"][1]
    # led alone: 20 to 100; slid: led -20 to 48, so leader -16 to 120
    assert ends == pytest.approx([20.0, 100.0], abs=0.2)
    for found, stops in ((ends, leader.stops), (at_led, led.stops), (at_slid, slid.stops)):
        assert stops is not None
        assert stops[0] - 1e-9 <= found.min()
        assert found.max() <= stops[1] + 1e-9


def test_stops_of_a_follower_that_no_position_of_its_leader_keeps_leave_the_leader_its_own() -> None:
    leader = Joint(name="leader", type="revolute", parent="base", child="leader", stops=(-10.0, 10.0))
    led = Joint(
        name="led",
        type="revolute",
        parent="base",
        child="led",
        stops=(50.0, 60.0),
        follow=Follow(joint="leader"),
    )
    (drive,), (alone,) = first_drives([leader, led], SERVO), first_drives([leader], SERVO)
    assert drive == alone
