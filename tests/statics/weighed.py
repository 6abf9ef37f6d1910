"""Figures of random trees with shapes, masses, loads and springs, and the same figures for pinocchio."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

import posekit
from posekit.statics.burden import Burden
from tests.reference.pinocchio_trees import inertial_of, model_of, urdf_of

Array = NDArray[np.float64]
LINKAGES = (
    'type = "direct"',
    'type = "gear"\nratio = -2.5',
    'type = "four_bar"\ncrank = 20.0\ncoupler = 60.0\nrocker = 30.0\nground = 60.0\nshaft_zero = 90.0',
    'type = "slider_crank"\ncrank = 20.0\ncoupler = 70.0\noffset = 5.0\nshaft_zero = 90.0\njoint_zero = 60.0',
)


def random_figure(seed: int, links: int = 7, extras: str = "") -> posekit.Prop:
    """A figure of so many links: any joint, any place, drives with all kinds of linkages, followers, a differential."""
    random = np.random.default_rng(seed)
    rows = ["format = 1", 'name = "figure"', "[servos.s]", "stall_torque = 2.0", "[links.l0]", "mass = 100"]
    drives: list[str] = []
    turning: list[str] = []
    for i in range(1, links):
        slides = random.random() < 0.2
        kind = "prismatic" if slides else "fixed" if random.random() < 0.15 else "revolute"
        box, at, place = random.uniform(20, 120, 3), random.uniform(-60, 60, 3), random.uniform(-100, 100, 3)
        rows += [
            f"[links.l{i}]",
            f"density = {random.uniform(0.1, 1.5):.3f}",
            *(["mass = 0"] if random.random() < 0.15 else []),
            f"[[links.l{i}.shapes]]",
            f"box = {box.tolist()}\nat = {at.tolist()}\nturn = {random.uniform(-180, 180, 3).tolist()}",
            f"[joints.j{i}]",
            f'type = "{kind}"\nparent = "l{random.integers(max(0, i - 3), i)}"\nchild = "l{i}"',
            f"at = {place.tolist()}\nturn = {random.uniform(-180, 180, 3).tolist()}",
            f"axis = {random.normal(size=3).tolist()}",
        ]
        if kind == "fixed":
            continue
        if kind == "revolute" and turning and random.random() < 0.2:
            rows += [
                f'follow = {{joint = "{turning[-1]}", ratio = {random.uniform(-2, 2):.3f}, offset = 5.0}}'
            ]
            continue
        if kind == "revolute":
            turning.append(f"j{i}")
        linkage = LINKAGES[3 if slides else int(random.integers(3))]
        drives += [
            f'[drives.d{i}]\nservo = "s"\njoint = "j{i}"\naddress = {i}',
            f"[drives.d{i}.linkage]\n{linkage}",
        ]
    text = "\n".join([*rows, *drives])
    if len(turning) > 1 and seed % 2:
        one, two = turning[0][1:], turning[1][1:]
        linked = f'type = "differential"\npartner = "d{two}"\nsum = "j{one}"\ndifference = "j{two}"'
        for each, linkage in ((one, linked), (two, LINKAGES[0])):
            head, _, tail = text.partition(f"[drives.d{each}.linkage]\n")
            _, sign, rest = tail.partition("\n[drives")
            text = f"{head}[drives.d{each}.linkage]\n{linkage}{sign}{rest}"
    return posekit.read({"prop.toml": f"{text}\n{extras}".encode()})


def random_values(prop: posekit.Prop, rng: np.random.Generator, poses: int) -> Array:
    """Drive values (P, D)."""
    return np.stack([rng.integers(0, drive.full_scale + 1, poses) for drive in prop.drives], axis=1).astype(
        float
    )


def pinocchio_model(prop: posekit.Prop, burden: Burden) -> Any:
    """The same figure by pinocchio: from URDF text, with the masses, centres and inertias that posekit found."""
    inertials = {
        link.name: inertial_of(float(mass), centre / 1000, inertia)
        for link, mass, centre, inertia in zip(
            prop.links, burden.mass_kg, burden.centre_mm, burden.inertia_kgm2, strict=True
        )
    }
    model = model_of(urdf_of(prop, inertials))
    model.gravity.linear = burden.gravity
    return model


def si(prop: posekit.Prop, row: Array) -> dict[str, float]:
    """Positions, speeds or accelerations by joint, in radians and metres."""
    return {
        joint.name: float(np.radians(q)) if joint.type == "revolute" else float(q) / 1000
        for joint, q in zip(prop.joints, row, strict=True)
    }
