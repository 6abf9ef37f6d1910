"""What the linkages of a prop file take hold of: the drives and joints they name, and where these sit."""

from __future__ import annotations

from posekit.linkage import Hinge, Linkage
from posekit.prop.model import Drive, Joint
from posekit.toml.places import Path
from posekit.transforms import rotation_rpy, unit


def hinge(joint: Joint) -> Hinge:
    """Point [mm] and unit axis of a joint in the frame of its parent link, at position 0."""
    x, y, z = rotation_rpy(joint.turn) @ unit(joint.axis)
    return Hinge(joint.at, (float(x), float(y), float(z)), joint.type == "prismatic")


def partners(linkage: Linkage) -> tuple[str, ...]:
    """The other drives that a linkage takes, in the order of its shafts; none for most."""
    return tuple(getattr(linkage, key) for key in linkage.partner_keys)


def joints_moved(drive: Drive) -> tuple[tuple[Path, str], ...]:
    """The joints that the linkage of a drive moves, each after the keys, from the drive on, that name it."""
    if keys := drive.linkage.joint_keys:
        return tuple((("linkage", key), getattr(drive.linkage, key)) for key in keys)
    return () if drive.joint is None else ((("joint",), drive.joint),)
