"""At the zero pose the picture stays the same, whatever is placed; and a joint is where it was placed."""

from __future__ import annotations

import numpy as np
import pytest

import posekit
from posekit.authoring.contents import at_zero
from posekit.authoring.parts import subtree
from posekit.authoring.world import hang, move_shape, place_joint
from posekit.transforms import placement, unit
from tests.authoring.trees import off_mm, random_prop, shapes_in_the_world
from tests.conftest import DEMO_PROPS, IN_A_PAGE, demo_prop

TREES = range(2 if IN_A_PAGE else 20)
STAYS_MM = 1e-9


@pytest.mark.parametrize("seed", TREES)
def test_a_joint_is_where_it_was_placed_and_all_else_where_it_was(seed: int) -> None:
    prop = random_prop(seed)
    random = np.random.default_rng(seed)
    for joint in (*prop.joints, *prop.fixed):
        point, direction = random.uniform(-300, 300, 3), random.uniform(-1, 1, 3)
        placed = tried(place_joint, prop, joint.name, point, direction)
        if placed is None:  # a rod's ball would lie on the axis, or the rod reach no more
            continue
        assert off_mm(prop, placed) < STAYS_MM
        world = at_zero(placed)[joint.child]
        found = next(each for each in (*placed.joints, *placed.fixed) if each.name == joint.name)
        assert abs(world[:3, 3] - point).max() < 2e-6
        assert abs(world[:3, :3] @ unit(found.axis) - unit(direction)).max() < 1e-8


@pytest.mark.parametrize("seed", TREES)
def test_a_link_that_is_hung_elsewhere_stays_where_it_is(seed: int) -> None:
    prop = random_prop(seed)
    names, before = [link.name for link in prop.links], at_zero(prop)
    for link in names[1:]:
        for parent in names:
            if parent in subtree(prop, link):
                with pytest.raises(posekit.PosekitError, match="choose a link that does not"):
                    hang(prop, link, parent)
                continue
            hung = hang(prop, link, parent)
            assert off_mm(prop, hung) < STAYS_MM
            now = at_zero(hung)
            for name, world in before.items():
                assert abs(now[name] - world).max() < STAYS_MM
            assert next(j.parent for j in (*hung.joints, *hung.fixed) if j.child == link) == parent


@pytest.mark.parametrize("seed", TREES)
def test_a_shape_that_goes_to_another_link_stays_where_it_is(seed: int) -> None:
    prop = random_prop(seed)
    before = list(shapes_in_the_world(prop).values())
    for link in prop.links:
        for other in prop.links:
            if link.shapes and other is not link:
                moved = move_shape(prop, link.name, 0, other.name)
                after = list(shapes_in_the_world(moved).values())
                assert len(after) == len(before)
                assert all(min(abs(new - old).max() for new in after) < STAYS_MM for old in before)
                lost = set(prop.text.splitlines()) - set(moved.text.splitlines())
                assert all(line.startswith(("[[", "at =", "turn =")) for line in lost)


def test_a_shape_takes_its_comments_along() -> None:
    text = CAD.decode().replace("box = [60, 40, 2]", "# of birch\nbox = [60, 40, 2] # 2 mm")
    moved = move_shape(posekit.read({"prop.toml": text.encode()}), "lid", 0, "knob")
    block = "[[links.{}.shapes]]\n# of birch\nbox = [60, 40, 2] # 2 mm\nat = [0, 20, {}] # as in CAD\n"
    assert moved.text == text.replace(block.format("lid", 30), "").replace(
        "[links.knob]\n", "[links.knob]\n" + block.format("knob", -10)
    )


@pytest.mark.native  # a number is written alike in every Python
@pytest.mark.parametrize("name", DEMO_PROPS)
def test_numbers_that_were_short_stay_short(name: str) -> None:
    """A place in tenths of a millimetre, on parts that stand square to the world, is written in tenths."""
    prop = demo_prop(name)
    for joint in prop.joints:
        world = at_zero(prop)[joint.child][:3, 3].round(1) + 0.5
        placed = tried(place_joint, prop, joint.name, world)
        if placed is None:
            continue
        assert off_mm(prop, placed) < STAYS_MM
        found = next(each for each in placed.joints if each.name == joint.name)
        parent = at_zero(prop)[joint.parent]
        if np.array_equal(parent[:3, :3], np.eye(3)):
            assert max(decimals(each) for each in found.at) <= 3, found.at


def test_a_joint_of_parts_that_share_one_origin_is_placed_by_hand() -> None:
    prop = posekit.read({"prop.toml": CAD})
    placed = place_joint(prop, "lid", (0, 40, 25), (1, 0, 0), type="revolute")
    assert placed.text == CAD.decode().replace(
        'type = "fixed" # for now', 'type = "revolute" # for now'
    ).replace('child = "lid"\n', 'child = "lid"\nat = [0, 40, 25]\naxis = [1, 0, 0]\n').replace(
        "at = [0, 20, 30] # as in CAD", "at = [0, -20, 5] # as in CAD"
    ).replace('child = "knob"\nat = [0, 0, 40]', 'child = "knob"\nat = [0, -40, 15]')
    # The lid opens about its hinge: the middle of it, 20 mm before the hinge and 5 mm above, comes to stand behind.
    opened = posekit.forward(placed, [[90.0]])[0]
    lid = [link.name for link in placed.links].index("lid")
    middle = opened[lid] @ placement((0, -20, 5), (0, 0, 0))
    assert middle[:3, 3] == pytest.approx([0, 35, 5], abs=1e-12)


def test_a_direction_without_length_and_a_point_that_is_none_are_refused() -> None:
    prop = posekit.read({"prop.toml": CAD})
    with pytest.raises(posekit.PosekitError, match="has no direction; use for example 0, 1, 0"):
        place_joint(prop, "lid", (0, 0, 0), (0, 0, 0))
    with pytest.raises(posekit.PosekitError, match="three finite numbers"):
        place_joint(prop, "lid", (0, 0, float("nan")))
    with pytest.raises(posekit.PosekitError, match="did you mean 'lid'"):
        place_joint(prop, "lidd", (0, 0, 0))


def test_the_link_on_which_all_hang_is_not_hung() -> None:
    with pytest.raises(posekit.PosekitError, match="carries all other parts"):
        hang(posekit.read({"prop.toml": CAD}), "box", "lid")


def tried(edit: object, *given: object) -> posekit.Prop | None:
    """The edited prop; None where a linkage would not close any more, which is refused."""
    try:
        edited: posekit.Prop = edit(*given)  # type: ignore[operator]
    except posekit.PosekitError as refused:
        assert all(finding.code == "wrong-linkage" for finding in refused.findings)
        return None
    return edited


def decimals(number: float) -> int:
    return len(repr(float(number)).rstrip("0").partition(".")[2])


CAD = b"""\
format = 1
name = "Chest"
[links.box]
[links.lid]
[[links.lid.shapes]]
box = [60, 40, 2]
at = [0, 20, 30] # as in CAD
[links.knob]
[joints.lid]
type = "fixed" # for now
parent = "box"
child = "lid"
[joints.knob]
type = "fixed"
parent = "lid"
child = "knob"
at = [0, 0, 40]
"""
