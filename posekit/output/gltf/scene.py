"""A prop as the node tree of glTF: a root that turns the axes, a node for each link, under it its shapes."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from posekit.arrays import Array
from posekit.mechanism.joints import unit_of
from posekit.output.gltf.frames import GLTF_FROM_OURS, parent_from_links, parents, quaternion, translation
from posekit.output.gltf.parts import Parts
from posekit.prop.model import Joint, Prop
from posekit.transforms import unit

if TYPE_CHECKING:
    from pygltflib import Node

FIRST_LINK = 1  # node of the first link; node 0 is the root


def nodes(prop: Prop, parts: Parts, world_from_link: Array, positions: Mapping[str, float]) -> list[Node]:
    """Nodes: the root, then a node for each link in the order of `prop.links`, then those of the shapes.

    `world_from_link` (L, 4, 4) [mm]. `positions` [deg | mm] by name of joint go into the extras: a
    viewer that turns a link's node by a further angle about its `axis` moves the joint by that angle.
    """
    from pygltflib import Node

    local = parent_from_links(prop, world_from_link)
    joint_of = {joint.child: joint for joint in (*prop.joints, *prop.fixed)}
    tree = [Node(name=prop.name, rotation=GLTF_FROM_OURS, children=[])]
    for link, offset, turn in zip(prop.links, translation(local), quaternion(local), strict=True):
        extras: dict[str, Any] = {"link": link.name}
        if link.name in joint_of:
            extras["joint"] = _described(joint_of[link.name], positions)
        placed = {"translation": offset.tolist(), "rotation": turn.tolist()}
        tree.append(Node(name=link.name, children=[], extras=extras, **placed))
    for row, parent in enumerate(parents(prop)):
        tree[FIRST_LINK + parent if parent >= 0 else 0].children.append(FIRST_LINK + row)
    for row, link in enumerate(prop.links):
        for shape in parts.nodes(link):
            tree[FIRST_LINK + row].children.append(len(tree))
            tree.append(shape)
    return tree


def _described(joint: Joint, positions: Mapping[str, float]) -> dict[str, Any]:
    about: dict[str, Any] = {"name": joint.name, "type": joint.type}
    if joint.type != "fixed":
        about |= {"axis": unit(joint.axis).tolist(), "unit": unit_of(joint)}
        about["position"] = float(positions[joint.name])
    if joint.stops is not None:
        about["stops"] = list(joint.stops)
    if joint.follow is not None:
        follow = joint.follow
        about["follow"] = {"joint": follow.joint, "ratio": follow.ratio, "offset": follow.offset}
    return about
