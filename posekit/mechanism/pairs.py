"""Which links can be watched against each other, and which of them are neighbours on a joint.

Not among them: pairs the prop file ignores; links without solid shapes; and links that cannot move against
each other, because only fixed joints lie between them: their distance is the builder's drawing, not a matter
of servo values.
"""

from __future__ import annotations

from itertools import combinations

from posekit.mechanism.tree import way_to_root
from posekit.prop.model import Joint, Prop

Pair = tuple[str, str]


def possible_pairs(prop: Prop) -> list[Pair]:
    """The pairs of links that could be watched, by name, in the order of prop.links."""
    solid = [link.name for link in prop.links if any(shape.solid for shape in link.shapes)]
    ignored = {frozenset(pair) for pair in prop.clearance.ignore}
    body = rigid_bodies(prop)
    return [
        (a, b) for a, b in combinations(solid, 2) if body[a] != body[b] and frozenset((a, b)) not in ignored
    ]


def neighbours(prop: Prop) -> dict[Pair, Joint]:
    """The moving joint between two links that are joined directly, by pair in the order of prop.links."""
    row = {link.name: i for i, link in enumerate(prop.links)}

    def pair_of(joint: Joint) -> Pair:
        a, b = sorted((joint.parent, joint.child), key=row.__getitem__)
        return a, b

    return {pair_of(joint): joint for joint in prop.joints}


def rigid_bodies(prop: Prop) -> dict[str, str]:
    """For each link the nearest link towards the root that a moving joint (or nothing) carries."""
    body = {}
    for link in prop.links:
        way = way_to_root(prop, link.name)
        body[link.name] = next(
            (joint.child for joint in way if joint.type != "fixed"), way[-1].parent if way else link.name
        )
    return body
