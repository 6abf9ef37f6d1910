"""The tree of links: from the root out and back, for props whose joints run in a circle too."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import posekit
from posekit.mechanism.joints import followers
from posekit.mechanism.tree import joints_root_first, root_link, way_to_root
from posekit.prop.model import Follow, Joint


def test_a_joint_comes_after_the_one_that_carries_it_and_the_way_back_is_the_other_way_round(
    demo: posekit.Prop,
) -> None:
    ordered = joints_root_first(demo)
    assert {joint.name for joint in ordered} == {joint.name for joint in (*demo.joints, *demo.fixed)}
    placed = [root_link(demo)]
    for joint in ordered:
        assert joint.parent in placed
        placed.append(joint.child)
    for link in demo.links:
        way = way_to_root(demo, link.name)
        assert [joint.child for joint in way[:1]] == ([link.name] if way else [])
        assert (way[-1].parent if way else link.name) == root_link(demo)
        assert all(nearer.parent == next_.child for nearer, next_ in pairwise(way))


def test_no_circle_of_joints_or_followers_is_walked_for_ever(every_key: posekit.Prop) -> None:
    """A prop built in Python has met no reader that would refuse it."""
    root = root_link(every_key)
    last = joints_root_first(every_key)[-1]
    back = Joint(name="back", type="revolute", parent=last.child, child=root)
    circle = replace(every_key, joints=(*every_key.joints, back))
    assert len(way_to_root(circle, root)) <= len(circle.links)

    first, second, *others = every_key.joints
    leading = (
        replace(first, follow=Follow(joint=second.name)),
        replace(second, follow=Follow(joint=first.name)),
    )
    assert {0, 1}.isdisjoint(
        follower for follower, _ in followers(replace(every_key, joints=(*leading, *others)))
    )
