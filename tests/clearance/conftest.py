"""What the clearance tests share: two links with one shape each, and poses of the second against the first."""

from __future__ import annotations

import json
from collections.abc import Callable

import numpy as np
import pytest

from posekit.arrays import Array
from posekit.clearance import Asked, Separation, separation, solids
from posekit.prop.model import Clearance, Link, Prop, Shape
from posekit.shape import Box, Capsule, Cylinder, Form, Mesh, Sphere

Apart = Callable[..., Separation]


@pytest.fixture(scope="session")
def stone() -> Array:
    """42 points (42, 3) [mm] on an ellipsoid: all of them corners of their hull."""
    directions = np.random.default_rng(42).normal(size=(42, 3))
    return directions / np.linalg.norm(directions, axis=1)[:, None] * [30.0, 20.0, 12.0]


@pytest.fixture(scope="session")
def forms() -> dict[str, Form]:
    """One form of each kind; sizes in mm, such that no two edges are alike. The hull is that of `stone`."""
    return {
        "sphere": Sphere(radius=17.0),
        "capsule": Capsule(radius=8.0, length=50.0),
        "box": Box(size=(40.0, 30.0, 20.0)),
        "cylinder": Cylinder(radius=12.0, length=50.0),
        "hull": Mesh(path="stone.stl", pieces="stone.json"),
    }


@pytest.fixture(scope="session")
def two_links(stone: Array) -> Callable[[Form | list[Shape], Form | list[Shape]], Prop]:
    """A prop of the links a and b, which hang on nothing, each of one form or of a list of shapes."""
    pieces = json.dumps({"format": 1, "skin": 0.0, "pieces": [stone.tolist()]}).encode()

    def build(a: Form | list[Shape], b: Form | list[Shape]) -> Prop:
        shapes = [tuple(form) if isinstance(form, list) else (Shape(form=form),) for form in (a, b)]
        return Prop(
            name="Two parts",
            supply=None,
            servos=(),
            links=(Link(name="a", shapes=shapes[0]), Link(name="b", shapes=shapes[1])),
            joints=(),
            fixed=(),
            drives=(),
            clearance=Clearance(),
            text="",
            files={"stone.json": pieces},
        )

    return build


@pytest.fixture(scope="session")
def apart(two_links: Callable[..., Prop]) -> Apart:
    """Separation (N,) of form b at rotation (N, 3, 3) and translation (N, 3) [mm] from form a at the origin."""

    def separate(
        a: Form, b: Form, rotation: Array, translation: Array, asked: Asked | None = None
    ) -> Separation:
        at = np.atleast_2d(np.asarray(translation, float))
        pose = np.tile(np.eye(4), (len(at), 1, 1))
        pose[:, :3, :3] = rotation
        pose[:, :3, 3] = at
        link = np.zeros(len(at), np.intp)
        return separation(solids(two_links(a, b)), link, link + 1, pose, asked or Asked())

    return separate


@pytest.fixture(scope="session")
def rotations() -> Callable[[np.random.Generator, int], Array]:
    """Random rotations (N, 3, 3), evenly spread: quaternions of normal deviates."""

    def draw(rng: np.random.Generator, count: int) -> Array:
        q = rng.normal(size=(4, count))
        w, x, y, z = q / np.linalg.norm(q, axis=0)
        rows = [
            [1 - 2 * (y * y + z * z), 2 * (x * y - w * z), 2 * (x * z + w * y)],
            [2 * (x * y + w * z), 1 - 2 * (x * x + z * z), 2 * (y * z - w * x)],
            [2 * (x * z - w * y), 2 * (y * z + w * x), 1 - 2 * (x * x + y * y)],
        ]
        return np.moveaxis(np.array(rows), -1, 0)

    return draw
