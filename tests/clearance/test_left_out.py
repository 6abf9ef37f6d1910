"""Whatever clearance does not judge is listed, with its reason."""

from __future__ import annotations

from itertools import combinations

import pytest

import posekit
from posekit.clearance import LeftOut, left_out, pairs
from posekit.clearance.left_out import grouped
from tests.conftest import DEMO_PROPS
from tests.counted import lines_run

HANGING = """
format = 1
name = "Lantern on a bracket"
[links.post]
[[links.post.shapes]]
box = [20, 20, 400]
[[links.post.shapes]]
sphere = {radius = 40}
solid = false
[links.bracket]
[[links.bracket.shapes]]
box = [100, 20, 20]
at = [80, 0, 0]
[links.lantern]
[[links.lantern.shapes]]
sphere = {radius = 30}
at = [0, 0, -80]
[links.tassel]
[[links.tassel.shapes]]
capsule = {radius = 3, length = 40}
solid = false
[links.frame]
[joints.bolted]
type = "fixed"
parent = "post"
child = "bracket"
[joints.swing]
type = "revolute"
parent = "bracket"
child = "lantern"
at = [120, 0, 0]
axis = [1, 0, 0]
[joints.sewn]
type = "revolute"
parent = "lantern"
child = "tassel"
at = [0, 0, -120]
[joints.hung]
type = "revolute"
parent = "lantern"
child = "frame"
"""


def hanging(more: str = "") -> posekit.Prop:
    return posekit.read({"prop.toml": (HANGING + more).encode()}, "lantern/prop.toml")


@pytest.mark.parametrize("name", DEMO_PROPS)
def test_every_pair_of_drawn_parts_is_judged_or_listed_with_its_reason(name: str) -> None:
    prop = posekit.load(f"models/{name}")
    drawn = [link.name for link in prop.links if link.shapes]
    whole = [each.pair for each in left_out(prop) if each.whole]
    assert len(whole) == len(set(whole))
    assert set(whole).isdisjoint(pairs(prop))
    assert {*whole, *pairs(prop)} == set(combinations(drawn, 2))


def test_parts_held_by_fixed_joints_are_fixed_together() -> None:
    assert LeftOut(("post", "bracket"), "fixed together") in left_out(hanging())


def test_ignored_pairs_are_listed_in_either_order() -> None:
    prop = hanging('[clearance]\nignore = [["lantern", "post"]]\n')
    assert LeftOut(("post", "lantern"), "ignored by the prop file") in left_out(prop)


def test_shapes_that_are_only_drawn_are_listed_for_each_pair_that_lacks_them() -> None:
    told = [each for each in left_out(hanging()) if "only drawn" in each.why]
    assert told == [
        LeftOut(("post", "lantern"), "1 shape of post only drawn (solid = false)", whole=False),
        LeftOut(("post", "tassel"), "tassel is only drawn (solid = false)"),
        LeftOut(("bracket", "tassel"), "tassel is only drawn (solid = false)"),
        LeftOut(("lantern", "tassel"), "tassel is only drawn (solid = false)"),
    ]


def test_for_people_one_reason_with_one_part_in_common_is_said_once() -> None:
    assert ("tassel - 3 other parts", "tassel is only drawn (solid = false)") in grouped(left_out(hanging()))


def test_parts_that_are_fixed_together_are_named_once() -> None:
    fixed = [LeftOut(pair, "fixed together") for pair in (("a", "b"), ("a", "c"), ("b", "c"), ("d", "e"))]
    assert grouped(fixed) == [("a, b, c: each with each", "fixed together"), ("d - e", "fixed together")]
    assert grouped(fixed[:2]) == [("a - 2 other parts", "fixed together")]
    chain = [LeftOut(pair, "ignored") for pair in (("a", "b"), ("b", "c"), ("c", "d"))]
    assert grouped(chain) == [("a - b", "ignored"), ("b - c", "ignored"), ("c - d", "ignored")]


def test_to_name_parts_that_are_fixed_together_takes_as_long_as_there_are_pairs() -> None:
    few, many = (list(combinations([f"part {i}" for i in range(count)], 2)) for count in (20, 40))
    lines = [
        lines_run(lambda pairs=pairs: grouped([LeftOut(pair, "fixed together") for pair in pairs]))
        for pairs in (few, many)
    ]
    assert lines[1] / lines[0] < 1.2 * len(many) / len(few)
