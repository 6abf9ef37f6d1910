"""URDFs that others published, read by posekit, pinocchio and yourdfpy: all put their links in the same places.

The files are those of the registry package example-robot-data (BSD-3-Clause); so100.urdf has six hobby servos.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from importlib.metadata import distribution
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

import posekit
from posekit.authoring.mesh_kept import Wishes
from posekit.authoring.new import prop_of
from posekit.exchange.assembly import Assembly
from posekit.exchange.urdf.assembly import urdf_assembly
from posekit.exchange.urdf.lookup import on_disk
from posekit.mechanism.joints import followers
from posekit.transforms import rotation_rpy
from tests.reference.pinocchio_trees import model_of, pinocchio_links

pytestmark = pytest.mark.native

IN_EVERY_RUN = ("so100", "so101", "double_pendulum_continuous", "panda", "allegro_left_hand")
WITHOUT_LINKS = "ur3"  # a file that its maker left empty
# Its joints mimic some that are not there: yourdfpy holds them still, posekit lets them move, and both say so.
STRAY_MIMICS = "alex_psyonic_hands"


@cache
def published() -> dict[str, Path]:
    """Each URDF by its name, and by its folder's, too, where two have one name."""
    shipped = distribution("example-robot-data").files or []
    places = [Path(str(place.locate())) for place in shipped if place.suffix == ".urdf"]
    names = [place.stem for place in places]
    return {
        place.stem if names.count(place.stem) == 1 else f"{place.parents[1].name}-{place.stem}": place
        for place in places
        if place.stem != WITHOUT_LINKS
    }


@dataclass
class Shapeless:
    """A URDF with a triangle for every mesh: as an assembly, as the prop that is made of it, and its text."""

    assembly: Assembly
    prop: posekit.Prop
    text: str

    @classmethod
    def of(cls, file: Path) -> Shapeless:
        """Read by posekit."""
        assembly = urdf_assembly(file.read_bytes(), file.name, lambda name: ("a.stl", TRIANGLE))
        return cls(assembly, prop_of(assembly, Wishes(pieces=False)).prop, file.read_text())

    def positions(self, rng: np.random.Generator, poses: int) -> NDArray[np.float64]:
        """Random positions (P, J) [deg or mm], followers where their leaders put them."""
        found = rng.uniform(-100.0, 100.0, (poses, len(self.prop.joints)))
        for follower, leader in followers(self.prop):
            follow = self.prop.joints[follower].follow
            assert follow
            found[:, follower] = follow.ratio * found[:, leader] + follow.offset
        return found

    def si(self, row: NDArray[np.float64]) -> dict[str, float]:
        """Positions by the name of their joint, in radians and metres."""
        return {
            joint.name: float(np.radians(q)) if joint.type == "revolute" else q / 1000
            for joint, q in zip(self.prop.joints, row, strict=True)
        }


TRIANGLE = (
    b"solid a\nfacet\nouter loop\nvertex 0 0 0\nvertex 1 0 0\nvertex 0 1 0\nendloop\nendfacet\nendsolid a\n"
)


ALL = [
    pytest.param(name, marks=() if name in IN_EVERY_RUN else pytest.mark.long) for name in sorted(published())
]
MIMICS_KNOWN = [each for each in ALL if each.values != (STRAY_MIMICS,)]


def test_the_urdfs_of_every_run_are_among_those_published() -> None:
    assert set(IN_EVERY_RUN) < set(published())
    assert len(published()) == 68


@pytest.mark.parametrize("name", ALL)
def test_links_stand_where_pinocchio_puts_them(name: str) -> None:
    robot = Shapeless.of(published()[name])
    positions = robot.positions(np.random.default_rng(11), 20)
    ours = posekit.forward(robot.prop, positions)
    model, names = model_of(robot.text), [link.name for link in robot.prop.links]
    theirs = np.array([pinocchio_links(model, names, robot.si(row)) for row in positions])
    assert np.abs(ours[..., :3, :3] - theirs[..., :3, :3]).max() < 1e-9
    assert np.abs(ours[..., :3, 3] - 1000 * theirs[..., :3, 3]).max() < 1e-6


@pytest.mark.parametrize("name", MIMICS_KNOWN)
def test_links_stand_where_yourdfpy_puts_them_when_the_leaders_move(name: str) -> None:
    """yourdfpy is told of leaders only, and finds by itself where those stand that mimic."""
    robot = Shapeless.of(published()[name])
    positions = robot.positions(np.random.default_rng(12), 2)
    ours = posekit.forward(robot.prop, positions)
    theirs = loaded(published()[name])
    for row, world_from_link in zip(positions, ours, strict=True):
        theirs.update_cfg({name: robot.si(row)[name] for name in theirs.actuated_joint_names})
        found = np.array([theirs.get_transform(link.name, theirs.base_link) for link in robot.prop.links])
        assert np.abs(world_from_link[:, :3, 3] - 1000 * found[:, :3, 3]).max() < 1e-6
        assert np.abs(world_from_link[:, :3, :3] - found[:, :3, :3]).max() < 1e-9


def loaded(file: Path) -> Any:
    """The URDF by yourdfpy, without meshes."""
    import yourdfpy

    return yourdfpy.URDF.load(str(file), load_meshes=False, build_scene_graph=True)


@pytest.mark.parametrize("name", ALL)
def test_masses_and_limits_are_those_that_yourdfpy_reads(name: str) -> None:
    robot, theirs = Shapeless.of(published()[name]), loaded(published()[name])
    ours = {part.name: part.mass for part in robot.assembly.parts if part.mass is not None}
    masses = {
        link.name: 1000 * link.inertial.mass
        for link in theirs.robot.links
        if link.inertial and link.inertial.mass
    }
    assert ours == pytest.approx(masses)
    stops = {joint.name: joint.stops for joint in robot.prop.joints if joint.stops}
    limits = {
        joint.name: (joint.limit.lower, joint.limit.upper)
        for joint in theirs.robot.joints
        if joint.name in stops
    }
    kind = {joint.name: joint.type for joint in robot.prop.joints}
    in_si = {n: np.radians(s) if kind[n] == "revolute" else np.array(s) / 1000 for n, s in stops.items()}
    assert {n: tuple(s) for n, s in in_si.items()} == {n: pytest.approx(limit) for n, limit in limits.items()}


def test_the_skins_of_a_published_figure_fill_the_box_that_yourdfpy_finds() -> None:
    """With its meshes, at joint positions 0."""
    import yourdfpy

    file = published()["so101"]
    figure = urdf_assembly(file.read_bytes(), file.name, on_disk(file, 1 << 26))
    prop = Shapeless.of(file).prop
    frames = posekit.forward(prop, np.zeros((1, len(prop.joints))))[0]
    corners = [
        (skin.vertices @ rotation_rpy(skin.turn).T + skin.at) @ frame[:3, :3].T + frame[:3, 3]
        for part, frame in zip(figure.parts, frames, strict=True)
        for skin in part.skins
        if skin.drawn
    ]
    drawn = np.concatenate(corners)
    theirs = yourdfpy.URDF.load(str(file), load_meshes=True).scene.bounds
    # to float32, which the mesh files hold
    assert np.array([drawn.min(axis=0), drawn.max(axis=0)]) == pytest.approx(1000 * theirs, abs=1e-3)
