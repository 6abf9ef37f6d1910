"""Which pairs of links could be watched, and which are neighbours."""

from __future__ import annotations

from itertools import combinations

from posekit.mechanism.pairs import neighbours, possible_pairs
from posekit.prop.model import Clearance, Joint, Link, Prop, Shape
from posekit.shape import Sphere


def prop_of(links, joints, ignore=()):
    """A prop of links (name, solid) and joints (type, parent, child)."""
    built = tuple(
        Joint(name=f"{parent}-{child}", type=kind, parent=parent, child=child)
        for kind, parent, child in joints
    )
    return Prop(
        name="Pairs",
        supply=None,
        servos=(),
        links=tuple(Link(name=name, shapes=(Shape(form=Sphere(radius=1.0), solid=s),)) for name, s in links),
        joints=tuple(joint for joint in built if joint.type != "fixed"),
        fixed=tuple(joint for joint in built if joint.type == "fixed"),
        drives=(),
        clearance=Clearance(ignore=ignore),
        text="",
        files={},
    )


def test_every_two_links_are_a_pair_neighbours_too():
    chain = [("revolute", "a", "b"), ("prismatic", "b", "c"), ("revolute", "d", "c")]
    prop = prop_of([(name, True) for name in "abcd"], chain)
    assert possible_pairs(prop) == list(combinations("abcd", 2))
    assert {pair: joint.name for pair, joint in neighbours(prop).items()} == {
        ("a", "b"): "a-b",
        ("b", "c"): "b-c",
        ("c", "d"): "d-c",
    }


def test_pairs_to_ignore_are_left_out_in_either_order():
    star = [("revolute", "a", "b"), ("revolute", "a", "c"), ("revolute", "a", "d")]
    prop = prop_of([(name, True) for name in "abcd"], star, ignore=(("d", "b"),))
    assert possible_pairs(prop) == [("a", "b"), ("a", "c"), ("a", "d"), ("b", "c"), ("c", "d")]


def test_links_that_cannot_move_against_each_other_are_left_out():
    """a and c, both fixed to b, and e, fixed to d: only what a moving joint parts can change its clearance."""
    joints = [("fixed", "b", "a"), ("fixed", "b", "c"), ("revolute", "c", "d"), ("fixed", "d", "e")]
    prop = prop_of([(name, True) for name in "abcde"], joints)
    assert possible_pairs(prop) == [(a, b) for a in "abc" for b in "de"]


def test_links_without_a_solid_shape_are_left_out():
    star = [("revolute", "a", "b"), ("revolute", "a", "c"), ("revolute", "a", "d")]
    prop = prop_of([("a", True), ("b", True), ("c", False), ("d", True)], star)
    assert possible_pairs(prop) == [("a", "b"), ("a", "d"), ("b", "d")]


def test_a_prop_of_one_link_has_no_pairs():
    prop = prop_of([("a", True)], [])
    assert possible_pairs(prop) == []
