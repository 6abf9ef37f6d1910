"""Forward kinematics against pinocchio, an independent library, and against published arms.

pinocchio reads URDF text made here from the same numbers; random trees, and a URDF from the registry package
example-robot-data (BSD-3-Clause). PUMA 560: parameters of P. I. Corke and B. Armstrong-Helouvry, ICRA 1994,
read in a library that cites them; poses computed from those parameters and, for the zero pose, printed there.
"""

from __future__ import annotations

from importlib.metadata import distribution
from pathlib import Path

import numpy as np
import pytest

import posekit
from tests.reference.pinocchio_trees import model_of, pinocchio_links, urdf_of

pytestmark = pytest.mark.native


def random_tree(rng: np.random.Generator, links: int) -> str:
    """The prop file of a random tree: every kind of joint, any axis, any place."""
    lines = ["format = 1", 'name = "tree"', "[links.l0]"]
    for i in range(1, links):
        kind = rng.choice(["revolute", "revolute", "prismatic", "fixed"])
        at, turn, axis = rng.uniform(-100, 100, 3), rng.uniform(-180, 180, 3), rng.normal(size=3)
        lines += [
            f"[links.l{i}]",
            f"[joints.j{i}]",
            f'type = "{kind}"',
            f'parent = "l{rng.integers(i)}"',
            f'child = "l{i}"',
            *(f"{key} = {list(map(float, v))}" for key, v in (("at", at), ("turn", turn), ("axis", axis))),
        ]
    return "\n".join(lines)


@pytest.mark.parametrize("seed", range(20))
def test_random_trees_stand_where_pinocchio_puts_them(seed: int) -> None:
    rng = np.random.default_rng(seed)
    prop = posekit.read({"prop.toml": random_tree(rng, links=int(rng.integers(2, 15))).encode()})
    positions = rng.uniform(-170, 170, (5, len(prop.joints)))
    ours = posekit.forward(prop, positions)
    model, names = model_of(urdf_of(prop)), [link.name for link in prop.links]
    for row, world_from_link in zip(positions, ours, strict=True):
        si = {
            joint.name: np.radians(q) if joint.type == "revolute" else q / 1000
            for joint, q in zip(prop.joints, row, strict=True)
        }
        theirs = pinocchio_links(model, names, si)
        assert world_from_link[:, :3, :3] == pytest.approx(theirs[:, :3, :3], abs=1e-12)
        assert world_from_link[:, :3, 3] == pytest.approx(1000 * theirs[:, :3, 3], abs=1e-9)


def test_a_published_urdf_of_hobby_servos_stands_where_pinocchio_puts_it() -> None:
    """so100.urdf of example-robot-data: six joints, read here by yourdfpy and written as a prop."""
    import yourdfpy

    shipped = distribution("example-robot-data").files or []
    file = next(Path(place.locate()) for place in shipped if place.name == "so100.urdf")
    robot = yourdfpy.URDF.load(str(file), load_meshes=False, load_collision_meshes=False)
    prop = posekit.read({"prop.toml": prop_of_urdf(robot).encode()})
    position = np.arange(1, len(prop.joints) + 1) * 0.1
    names = [link.name for link in prop.links]
    si = dict(zip([joint.name for joint in prop.joints], position.tolist(), strict=True))
    theirs = pinocchio_links(model_of(file.read_text()), names, si)
    degrees = np.degrees(position)[None]
    ours = posekit.forward(prop, degrees)[0]
    assert len(prop.joints) == 6
    assert ours[:, :3, :3] == pytest.approx(theirs[:, :3, :3], abs=1e-9)
    assert ours[:, :3, 3] == pytest.approx(1000 * theirs[:, :3, 3], abs=1e-6)


def prop_of_urdf(robot: object) -> str:
    """The tree of a URDF as a prop file. Shapes and limits are left out."""
    from scipy.spatial.transform import Rotation

    lines = ["format = 1", 'name = "urdf"', *(f"[links.{name}]" for name in robot.link_map)]  # type: ignore[attr-defined]
    for name, joint in robot.joint_map.items():  # type: ignore[attr-defined]
        origin = np.eye(4) if joint.origin is None else joint.origin
        rpy = Rotation.from_matrix(origin[:3, :3]).as_euler("xyz", degrees=True)
        axis = [1.0, 0.0, 0.0] if joint.axis is None else [float(a) for a in joint.axis]
        kind = {"continuous": "revolute"}.get(joint.type, joint.type)
        lines += [
            f'[joints."{name}"]',
            f'type = "{kind}"',
            f'parent = "{joint.parent}"',
            f'child = "{joint.child}"',
            f"at = {(1000 * origin[:3, 3]).tolist()}",
            f"turn = {rpy.tolist()}",
            f"axis = {axis}",
        ]
    return "\n".join(lines)
