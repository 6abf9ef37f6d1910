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
from posekit.linkage import Direct, Gear
from posekit.prop.model import Follow, Joint
from posekit.prop.servo_classes import CLASSES

SERVO = CLASSES["standard"].servo  # 90 degrees over 1000 to 2000 µs: a microsecond is 0.09 degrees

# kind, stops, whether and how it is geared
RANGES: Mapping[str, tuple[Any, tuple[float, float] | None, type]] = {
    "within": ("revolute", (-40.0, 12.5), Direct),
    "one_sided": ("revolute", (0.0, 80.0), Direct),
    "far_off": ("revolute", (100.0, 170.0), Direct),
    "wide": ("revolute", (-150.0, 150.0), Gear),
    "wide_and_far_off": ("revolute", (-10.0, 349.0), Gear),
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
    assert [(drive.universe, drive.address) for drive in made] == [(1, address) for address in range(2, 9)]


def test_a_universe_that_is_full_is_followed_by_the_next() -> None:
    many = [Joint(name=f"j{i}", type="revolute", parent="base", child=f"l{i}") for i in range(514)]
    made = first_drives(many, SERVO)
    assert [(drive.universe, drive.address) for drive in made[510:]] == [(1, 511), (1, 512), (2, 1), (2, 2)]
