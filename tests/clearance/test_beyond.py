"""What comes first past an end point, where geometry says it by hand."""

from __future__ import annotations

from math import asin, degrees
from typing import Any

import pytest

import posekit
from posekit.arrays import Index
from posekit.clearance import Separation, Solids, watch
from posekit.clearance.beyond import LOOKS, beyond
from posekit.clearance.distance import separation
from tests.conftest import demo_prop

# An arm of 100 mm with a ball of 5 at its end; a post of radius 10 stands 100 mm from the pivot, at 90 degrees. They
# touch where the centres are 15 apart: at 2 asin(15 / 200) before the post.
TOUCH = 90.0 - 2 * degrees(asin(15 / 200))
PROP = """
format = 1
name = "Post"
[servos.s]
pulse_range = [500, 2500]
travel = 240.0
[links.base]
[[links.base.shapes]]
sphere = {{radius = 10}}
at = [0, 100, 0]
[links.arm]
[[links.arm.shapes]]
sphere = {{radius = 5}}
at = [100, 0, 0]
[joints.arm]
type = "revolute"
parent = "base"
child = "arm"
{stops}
[drives.arm]
servo = "s"
joint = "arm"
address = 1
pulse = {{low = {low}, high = {high}}}
"""


def prop(low: float = 1000, high: float = 2000, stops: str = "") -> posekit.Prop:
    return posekit.read({"prop.toml": PROP.format(low=low, high=high, stops=stops).encode()})


def ends(made: posekit.Prop):
    return beyond(made, posekit.clearance.watch(made), 0)


def test_a_part_comes_where_geometry_says() -> None:
    low, high = ends(prop())
    assert (high.kind, high.names) == ("part", ("base", "arm"))
    assert high.position == pytest.approx(60.0)
    assert high.after == pytest.approx(TOUCH - 60.0, abs=high.step / 200)
    assert 0.1 < high.step < 1.0
    assert (low.kind, low.names) == ("travel", ("arm",)) and low.after == pytest.approx(60.0)


def test_a_stop_on_the_way_comes_first_and_one_behind_does_not() -> None:
    low, high = ends(prop(stops="stops = [-70, 75]"))
    assert (high.kind, high.names) == ("stop", ("arm",)) and high.after == pytest.approx(15.0, abs=0.01)
    assert low.kind == "stop" and low.after == pytest.approx(10.0, abs=0.01)
    assert ends(prop(stops="stops = [-70, 100]"))[1].kind == "part"


def test_what_comes_before_the_end_point_is_told_as_before_it() -> None:
    high = ends(prop(high=2300))[1]
    assert high.kind == "part" and high.after == pytest.approx(TOUCH - 96.0, abs=0.01)


def test_low_and_high_are_those_of_values_also_where_the_drive_is_reversed() -> None:
    low, high = ends(prop(low=2000, high=1000))
    assert low.kind == "part" and high.kind == "travel"
    assert (low.position, high.position) == (pytest.approx(60.0), pytest.approx(-60.0))


def test_what_touches_in_the_middle_already_is_named_and_not_looked_at() -> None:
    low, high = ends(prop(low=2300, high=2200))
    assert ("base", "arm") in high.touching and low.kind == high.kind == "travel"


def test_only_what_moves_is_looked_at_and_only_until_something_comes(monkeypatch: pytest.MonkeyPatch) -> None:
    """All pairs of the heron at every angle of every shaft are four times as much; the middle is looked at whole."""
    looked: list[int] = []

    def counted(parts: Solids, side_a: Index, *rest: Any) -> Separation:
        looked.append(len(side_a))
        return separation(parts, side_a, *rest)

    monkeypatch.setattr("posekit.clearance.beyond.separation", counted)
    heron = demo_prop("heron")
    watched = watch(heron)
    for d in range(len(heron.drives)):
        beyond(heron, watched, d)
    assert 2 * len(heron.drives) * len(watched.pairs) < sum(looked)
    assert sum(looked) < 2 * len(heron.drives) * len(watched.pairs) * LOOKS / 4
