"""The tree of a prop in pinocchio, an independent library, from URDF text made of the same numbers."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

import posekit


def urdf_of(prop: posekit.Prop, inertials: Mapping[str, str] | None = None) -> str:
    """The same tree as URDF: metres and radians; axes as they are, since URDF readers normalise them.

    `inertials` are what stands in the inertial element of each link; without, each is a kilogram.
    """
    parts = ['<robot name="tree">']
    for link in prop.links:
        mass = (inertials or {}).get(
            link.name
        ) or '<mass value="1"/><inertia ixx="1" iyy="1" izz="1" ixy="0" ixz="0" iyz="0"/>'
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


def inertial_of(mass_kg: float, centre_m: NDArray[np.float64], inertia_kgm2: NDArray[np.float64]) -> str:
    """What stands in the inertial element of a link: mass, centre (3,) and inertia (3, 3) about it."""
    (x, y, z), ((xx, xy, xz), (_, yy, yz), (_, _, zz)) = centre_m.tolist(), inertia_kgm2.tolist()
    return (
        f'<origin xyz="{x!r} {y!r} {z!r}"/><mass value="{mass_kg!r}"/>'
        f'<inertia ixx="{xx!r}" ixy="{xy!r}" ixz="{xz!r}" iyy="{yy!r}" iyz="{yz!r}" izz="{zz!r}"/>'
    )


def plain(vectors: dict[str, NDArray[np.float64]]) -> dict[str, list[float]]:
    return {key: vector.tolist() for key, vector in vectors.items()}


def model_of(urdf: str) -> Any:
    """pinocchio's model of a tree."""
    import pinocchio

    return pinocchio.buildModelFromXML(urdf)


def configuration(model: Any, positions: dict[str, float]) -> NDArray[np.float64]:
    """pinocchio's q of joint positions in radians and metres."""
    import pinocchio

    q: NDArray[np.float64] = pinocchio.neutral(model)
    for name, position in positions.items():
        joint = model.joints[model.getJointId(name)]
        # pinocchio keeps a continuous joint as cosine and sine
        q[joint.idx_q : joint.idx_q + joint.nq] = (
            [position] if joint.nq == 1 else [np.cos(position), np.sin(position)]
        )
    return q


def of_joints(model: Any, names: list[str]) -> list[int]:
    """Where the velocity and torque of each joint stand among those of pinocchio."""
    return [model.joints[model.getJointId(name)].idx_v for name in names]


def pinocchio_links(model: Any, names: list[str], positions: dict[str, float]) -> NDArray[np.float64]:
    """world_from_link (L, 4, 4) [m] by pinocchio, at joint positions in radians and metres."""
    import pinocchio

    data = model.createData()
    pinocchio.framesForwardKinematics(model, data, configuration(model, positions))
    return np.array(
        [data.oMf[model.getFrameId(name, pinocchio.FrameType.BODY)].homogeneous for name in names]
    )
