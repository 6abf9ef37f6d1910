"""Joints at rest and in motion against pinocchio's computeGeneralizedGravity and rnea: another language and frames."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

import posekit
from posekit.statics import torques
from posekit.statics.burden import STANDARD_GRAVITY, burden_of
from posekit.statics.dynamics import moving_torques
from tests.reference.pinocchio_trees import configuration, model_of, of_joints
from tests.reference.test_urdf_against_pinocchio_and_yourdfpy import Shapeless, published
from tests.statics.weighed import pinocchio_model, random_figure, si

pytestmark = pytest.mark.native
DOWN = "[gravity]\ndown = [0.3, -2, 0.5]\n[loads.hat]\nlink = 'l2'\nmass = 80\nat = [10, -20, 70]"


def gravity_by_pinocchio(
    model: Any, prop: posekit.Prop, positions: NDArray[np.float64]
) -> NDArray[np.float64]:
    import pinocchio

    data = model.createData()
    found = np.array(
        [
            pinocchio.computeGeneralizedGravity(model, data, configuration(model, si(prop, row))).copy()
            for row in positions
        ]
    )
    return found[:, of_joints(model, [joint.name for joint in prop.joints])]


def agree(ours: NDArray[np.float64], theirs: NDArray[np.float64]) -> None:
    """To 1e-9 of the most that each joint is asked for; of 1e-12 N*m where that is nothing."""
    most = np.maximum(np.abs(theirs).max(axis=0), 1e-3)
    assert (np.abs(ours - theirs) <= 1e-9 * most).all()


@pytest.mark.parametrize("seed", range(12))
def test_random_trees_weigh_what_pinocchio_finds(seed: int) -> None:
    prop = random_figure(seed, links=3 + seed, extras=DOWN if seed % 3 else "")
    positions = np.random.default_rng(seed).uniform(-170, 170, (8, len(prop.joints)))
    model = pinocchio_model(prop, burden_of(prop))
    theirs = gravity_by_pinocchio(model, prop, positions)
    assert np.abs(theirs).max() > 1e-3
    agree(torques(prop, positions), theirs)


def test_the_demo_props_weigh_what_pinocchio_finds(demo: posekit.Prop) -> None:
    burden = burden_of(demo)
    positions = np.random.default_rng(5).uniform(-90, 90, (8, len(demo.joints)))
    agree(torques(demo, positions), gravity_by_pinocchio(pinocchio_model(demo, burden), demo, positions))


def test_a_published_arm_weighs_what_pinocchio_reads_from_its_own_file() -> None:
    """so100, six hobby servos: pinocchio takes masses, centres and tree from the file that its maker published."""
    robot = Shapeless.of(published()["so100"])
    model = model_of(robot.text)
    model.gravity.linear = np.array([0.0, 0.0, -STANDARD_GRAVITY])  # it begins with 9.81
    prop = robot.prop
    loads = []
    for joint in (*prop.joints, *prop.fixed):
        if model.existJointName(joint.name):
            body = model.inertias[model.getJointId(joint.name)]
            at = (1000 * np.array(body.lever)).tolist()
            loads.append(
                f"[loads.{joint.child}]\nlink = '{joint.child}'\nmass = {1000 * body.mass!r}\nat = {at}"
            )
    # As loads, because posekit finds the centre of a part from its shapes.
    light = posekit.read({**prop.files, "prop.toml": "\n".join([prop.text, *loads]).encode()})
    light = replace(light, links=tuple(replace(link, mass=0.0) for link in light.links))
    assert len(loads) == 6
    positions = robot.positions(np.random.default_rng(3), 20)
    agree(torques(light, positions), gravity_by_pinocchio(model, prop, positions))


def rnea_by_pinocchio(
    model: Any,
    prop: posekit.Prop,
    position: NDArray[np.float64],
    speed: NDArray[np.float64],
    more: NDArray[np.float64],
) -> NDArray[np.float64]:
    import pinocchio

    data, columns = model.createData(), of_joints(model, [joint.name for joint in prop.joints])
    found = []
    for q, v, a in zip(position, speed, more, strict=True):
        rates = np.zeros((2, model.nv))
        rates[0, columns], rates[1, columns] = list(si(prop, v).values()), list(si(prop, a).values())
        found.append(pinocchio.rnea(model, data, configuration(model, si(prop, q)), *rates)[columns].copy())
    return np.array(found)


def moved(prop: posekit.Prop, seed: int) -> tuple[NDArray[np.float64], ...]:
    """Positions, speeds and accelerations of all joints."""
    random = np.random.default_rng(seed)
    return tuple(random.uniform(-most, most, (8, len(prop.joints))) for most in (170.0, 300.0, 2000.0))


@pytest.mark.parametrize("seed", range(12))
def test_random_trees_in_motion_take_what_pinocchio_finds(seed: int) -> None:
    prop = random_figure(seed, links=3 + seed, extras=DOWN if seed % 3 else "")
    burden = burden_of(prop)
    theirs = rnea_by_pinocchio(pinocchio_model(prop, burden), prop, *moved(prop, seed))
    agree(moving_torques(prop, *moved(prop, seed), burden), theirs)


def test_the_demo_props_in_motion_take_what_pinocchio_finds(demo: posekit.Prop) -> None:
    burden = burden_of(demo)
    theirs = rnea_by_pinocchio(pinocchio_model(demo, burden), demo, *moved(demo, 3))
    agree(moving_torques(demo, *moved(demo, 3), burden), theirs)


def test_a_published_arm_in_motion_takes_what_pinocchio_finds() -> None:
    robot = Shapeless.of(published()["so100"])
    model = model_of(robot.text)
    model.gravity.linear = np.array([0.0, 0.0, -STANDARD_GRAVITY])
    burden = burden_of(robot.prop)
    names = [link.name for link in robot.prop.links]
    mass, centre, inertia = np.zeros(len(names)), np.zeros((len(names), 3)), np.zeros((len(names), 3, 3))
    for joint in robot.prop.joints:
        body, row = model.inertias[model.getJointId(joint.name)], names.index(joint.child)
        mass[row], centre[row], inertia[row] = body.mass, 1000 * np.array(body.lever), body.inertia
    burden = replace(burden, mass_kg=mass, centre_mm=centre, inertia_kgm2=inertia)
    theirs = rnea_by_pinocchio(model, robot.prop, *moved(robot.prop, 4))
    agree(moving_torques(robot.prop, *moved(robot.prop, 4), burden), theirs)
