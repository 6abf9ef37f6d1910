"""Links and joints as the tree they make: from the root out, and from a link back to the root."""

from __future__ import annotations

from posekit.prop.model import Joint, Prop


def root_link(prop: Prop) -> str:
    """The link that hangs on no joint."""
    children = {joint.child for joint in (*prop.joints, *prop.fixed)}
    return next(link.name for link in prop.links if link.name not in children)


def joints_root_first(prop: Prop) -> list[Joint]:
    """All joints, fixed ones too, each after the joint that carries its parent."""
    by_parent: dict[str, list[Joint]] = {}
    for joint in (*prop.joints, *prop.fixed):
        by_parent.setdefault(joint.parent, []).append(joint)
    ordered: list[Joint] = []
    links = [root_link(prop)]
    for link in links:
        # Taken out, so that each link is passed once even where joints run in a circle.
        joints = by_parent.pop(link, [])
        ordered += joints
        links += [joint.child for joint in joints]
    return ordered


def way_to_root(prop: Prop, link: str) -> list[Joint]:
    """The joints from a link to the root, nearest first."""
    carrier = {joint.child: joint for joint in (*prop.joints, *prop.fixed)}
    way: list[Joint] = []
    # Ends: a joint is taken out each time.
    while joint := carrier.pop(link, None):
        way.append(joint)
        link = joint.parent
    return way
