"""What `new` and the page offer as a servo to begin with."""

from __future__ import annotations

import tomllib

import pytest

import posekit
from posekit.authoring.servo_types import typical_keys, typical_table
from posekit.prop.servo_classes import CLASSES, figures


@pytest.mark.parametrize("kind", CLASSES)
def test_the_keys_of_a_class_as_a_table_are_its_figures_and_say_where_they_come_from(
    kind: str, arm_text: str
) -> None:
    text = typical_table("left.wing", kind)
    assert tomllib.loads(text) == {"servos": {"left.wing": typical_keys(kind)}}
    lines = text.splitlines()
    assert all(" # " in line for line in lines[1:]) and max(map(len, lines)) <= 140
    assert "common practice" in lines[1]
    prop = posekit.read({"prop.toml": f"{arm_text}\n{text}".encode()})
    (servo,) = [servo for servo in prop.servos if servo.name == "left.wing"]
    assert figures(servo) == figures(CLASSES[kind].servo)
    told = [each.subject for each in posekit.check(prop) if each.code == "typical-figures"]
    assert told == ['servos."left.wing".typical']
