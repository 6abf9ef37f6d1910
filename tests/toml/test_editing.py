"""Edits by a wrong key, at a wrong place or to a wrong value are refused with what is wrong."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

import posekit
from posekit.toml.places import dotted


@pytest.mark.parametrize(
    "path",
    [
        "",
        ".",
        "drives..address",
        ".drives.shoulder.address",
        "drives.shoulder.address.",
        "drives.shoulder[0",
        "drives.shoulder]0[",
        "[0]",
        "drives.[0]",
        "links.base.shapes[99].colour",
        "links.base.shapes.first.colour",
        "links.base.shapes[99999999999999999999].colour",
        "drives.shoulder.address.low",
        "name.first",
        "drives.shoulder.pulse.low[0]",
        5,
        None,
        ("drives", "shoulder"),
        b"drives",
    ],
)
@pytest.mark.parametrize("value", [1, "text", None, [1]])
def test_a_key_that_cannot_be_is_refused(arm: posekit.Prop, path: Any, value: Any) -> None:
    with pytest.raises(posekit.PosekitError):
        posekit.edit(arm, path, value)


class Odd:
    """No value of TOML."""


CYCLE: list[Any] = []
CYCLE.append(CYCLE)


def nested(depth: int) -> list[Any]:
    value: list[Any] = []
    for _ in range(depth):
        value = [value]
    return value


@pytest.mark.parametrize(
    "value",
    [
        Odd(),
        b"bytes",
        {1, 2},
        1j,
        [None],
        {"low": None},
        {"low": Odd()},
        CYCLE,
        nested(100_000),
        10**5000,
        "\ud800",
        float("nan"),
        object,
    ],
    ids=lambda value: type(value).__name__,
)
@pytest.mark.parametrize("path", ["drives.shoulder.address", "drives.shoulder.pulse", "servos.new"])
def test_a_value_that_cannot_be_is_refused(arm: posekit.Prop, path: str, value: Any) -> None:
    with pytest.raises(posekit.PosekitError):
        posekit.edit(arm, path, value)


parts = st.text(max_size=4) | st.sampled_from(
    ["drives", "shoulder", "links", "base", "shapes", "pulse", "name"]
)


@given(
    st.lists(parts | st.integers(0, 3), max_size=5).map(lambda path: dotted(tuple(path)))
    | st.text(max_size=12),
    st.none()
    | st.integers()
    | st.floats()
    | st.text(max_size=4)
    | st.lists(st.none() | st.integers(), max_size=2),
)
def test_any_edit_works_or_is_refused(path: str, value: Any) -> None:
    prop = posekit.read({"prop.toml": ARM})
    try:
        edited = posekit.edit(prop, path, value)
    except posekit.PosekitError:
        return
    assert edited.text != prop.text or value is None or edited == prop


ARM = b"""\
format = 1
name = "Arm"
[servos.s]
[links.base]
shapes = [{box = [1, 2, 3]}]
[links.arm]
[joints.j]
type = "revolute"
parent = "base"
child = "arm"
[drives.shoulder]
servo = "s"
joint = "j"
address = 1
pulse = {low = 1000, high = 2000}
"""


def test_a_file_without_a_last_line_end_takes_a_new_key(arm_text: str) -> None:
    prop = posekit.read({"prop.toml": arm_text.rstrip("\n").encode()})
    edited = posekit.edit(prop, "drives.shoulder.speed", 30.0)
    assert edited.text == arm_text.rstrip("\n") + "\nspeed = 30.0\n"
