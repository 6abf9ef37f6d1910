"""Which links are watched against each other.

Left out: two links joined directly, since parts of a joint are made to touch; pairs the prop file ignores;
links without solid shapes; and links that cannot move against each other, because only fixed joints lie
between them: their distance is the builder's drawing, not a matter of servo values.
"""

from __future__ import annotations

from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from posekit.mechanism.tree import way_to_root
from posekit.prop.model import Prop


def pairs(prop: Prop) -> list[tuple[str, str]]:
    """The K pairs of links whose clearance is watched, by name, in the order of prop.links."""
    solid = [link.name for link in prop.links if any(shape.solid for shape in link.shapes)]
    left_out = {frozenset((joint.parent, joint.child)) for joint in (*prop.joints, *prop.fixed)}
    left_out |= {frozenset(pair) for pair in prop.clearance.ignore}
    body = rigid_bodies(prop)
    return [
        (a, b) for a, b in combinations(solid, 2) if body[a] != body[b] and frozenset((a, b)) not in left_out
    ]


def pair_rows(prop: Prop) -> NDArray[np.intp]:
    """The pairs as rows of prop.links, (K, 2)."""
    row = {link.name: i for i, link in enumerate(prop.links)}
    return np.array([(row[a], row[b]) for a, b in pairs(prop)], np.intp).reshape(-1, 2)


def rigid_bodies(prop: Prop) -> dict[str, str]:
    """For each link the nearest link towards the root that a moving joint (or nothing) carries."""
    body = {}
    for link in prop.links:
        way = way_to_root(prop, link.name)
        body[link.name] = next(
            (joint.child for joint in way if joint.type != "fixed"), way[-1].parent if way else link.name
        )
    return body
