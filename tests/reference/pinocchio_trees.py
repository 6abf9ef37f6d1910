"""The tree of a prop in pinocchio, an independent library, from URDF text made of the same numbers."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

import posekit


def urdf_of(prop: posekit.Prop) -> str:
    """The same tree as URDF: metres and radians; axes as they are, since URDF readers normalise them."""
    parts = ['<robot name="tree">']
    for link in prop.links:
        mass = '<mass value="1"/><inertia ixx="1" iyy="1" izz="1" ixy="0" ixz="0" iyz="0"/>'
        parts.append(f'<link name="{link.name}"><inertial>{mass}</inertial></link>')
    for joint in (*prop.joints, *prop.fixed):
        kind = {"revolute": "continuous"}.get(joint.type, joint.type)
        axis = np.array(joint.axis) / np.linalg.norm(joint.axis)
        xyz, rpy = np.array(joint.at) / 1000, np.radians(joint.turn)
        numbers = {"xyz": xyz, "rpy": rpy}
        origin = " ".join(f'{key}="{v[0]!r} {v[1]!r} {v[2]!r}"' for key, v in plain(numbers).items())
        limit = '<limit lower="-9" upper="9" effort="1" velocity="1"/>' if kind == "prismatic" else ""
        x, y, z = axis.tolist()
        parts.append(
            f'<joint name="{joint.name}" type="{kind}"><parent link="{joint.parent}"/><child link="{joint.child}"/>'
            f'<origin {origin}/><axis xyz="{x!r} {y!r} {z!r}"/>{limit}</joint>'
        )
    return "".join([*parts, "</robot>"])


def plain(vectors: dict[str, NDArray[np.float64]]) -> dict[str, list[float]]:
    return {key: vector.tolist() for key, vector in vectors.items()}


def model_of(urdf: str) -> Any:
    """pinocchio's model of a tree."""
    import pinocchio

    return pinocchio.buildModelFromXML(urdf)


def pinocchio_links(model: Any, names: list[str], positions: dict[str, float]) -> NDArray[np.float64]:
    """world_from_link (L, 4, 4) [m] by pinocchio, at joint positions in radians and metres."""
    import pinocchio

    data = model.createData()
    q = pinocchio.neutral(model)
    for name, position in positions.items():
        joint = model.joints[model.getJointId(name)]
        # pinocchio keeps a continuous joint as cosine and sine
        q[joint.idx_q : joint.idx_q + joint.nq] = (
            [position] if joint.nq == 1 else [np.cos(position), np.sin(position)]
        )
    pinocchio.framesForwardKinematics(model, data, q)
    return np.array(
        [data.oMf[model.getFrameId(name, pinocchio.FrameType.BODY)].homogeneous for name in names]
    )
