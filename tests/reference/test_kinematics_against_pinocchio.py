"""Forward kinematics of random trees against pinocchio, which reads URDF text made here from the same numbers."""

from __future__ import annotations

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
