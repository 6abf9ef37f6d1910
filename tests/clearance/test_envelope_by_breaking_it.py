"""The certificate, tested by trying to break it: posing props as often as time allows, measured by coal.

coal (BSD-3-Clause) with gjk_tolerance=1e-10 is the reference for distances, scipy's hulls of the builder's own files
are what it measures; nothing of posekit's own shapes and distances is used to judge. Random props hold every kind of
shape, joint and linkage.
"""

from __future__ import annotations

import json

import numpy as np
import pytest
import tomlkit
import trimesh
from scipy.spatial import ConvexHull

import posekit
from posekit.mechanism.reach import coordinates, joints_at
from posekit.prop.model import Prop, Shape
from posekit.shape import Box, Capsule, Cylinder, Mesh, Sphere
from posekit.transforms import rotation_rpy

coal = pytest.importorskip("coal")
pytestmark = pytest.mark.native

POSES = 200
MOST_CELLS = 60_000  # not seconds, so that a busy machine tests no less
ATOL_MM = 1e-6


@pytest.mark.parametrize("seed", range(50))
def test_no_pose_of_a_random_prop_breaks_its_verdicts(seed):
    assert_unbroken(random_prop(seed), seed, margin_mm=(2.0, 15.0)[seed % 2])


def test_no_pose_of_a_demo_prop_breaks_its_verdicts(demo):
    assert_unbroken(demo, 0, demo.clearance.margin)


def assert_unbroken(prop: Prop, seed: int, margin_mm: float) -> None:
    """No strike in a pair called clear or near, no distance below what is proved, and every witness is one.

    A clear pair keeps the margin; the witness of a near one is as near as its verdict says.
    """
    envelope = posekit.clearance.envelope(
        prop, margin_mm=margin_mm, progress=lambda state: state.cells < MOST_CELLS
    )
    assert [verdict.pair for verdict in envelope.pairs] == posekit.clearance.pairs(prop)
    assert sum(verdict.finished for verdict in envelope.pairs) >= 0.8 * len(envelope.pairs)
    measure = CoalDistances(prop)
    for position in tried_positions(prop, np.random.default_rng(seed)):
        links = links_at(prop, position)
        for verdict in (*envelope.of("clear"), *envelope.of("near")):
            found = measure(verdict.pair, links)
            assert found >= verdict.clear_by_mm - ATOL_MM, (verdict.pair, position)
    for verdict in envelope.of("strikes"):
        witness = [[verdict.witness[drive.name] for drive in prop.drives]]
        (position,) = posekit.positions(prop, posekit.pulses(prop, witness))
        assert measure(verdict.pair, links_at(prop, position)) <= ATOL_MM, verdict
    for verdict in envelope.of("clear"):
        assert verdict.clear_by_mm >= envelope.margin_mm - 1e-5, verdict
    for verdict in envelope.of("near"):
        witness = [[verdict.witness[drive.name] for drive in prop.drives]]
        (position,) = posekit.positions(prop, posekit.pulses(prop, witness))
        found = measure(verdict.pair, links_at(prop, position))
        assert 0.0 < verdict.clear_by_mm < envelope.margin_mm
        assert verdict.clear_by_mm <= verdict.nearest_mm <= found + 2e-3, verdict


def tried_positions(prop: Prop, rng: np.random.Generator) -> np.ndarray:
    """Joint positions (P, J): of values at random, of corners where drives stand at an end, and between values."""
    full = np.array([drive.full_scale for drive in prop.drives])
    anywhere = rng.integers(0, full + 1, (POSES, len(full)))
    corners = full * rng.integers(0, 2, (POSES // 2, len(full)))
    half_corners = np.where(rng.random((POSES // 2, len(full))) < 0.5, anywhere[: POSES // 2], corners)
    values = np.concatenate([anywhere, corners, half_corners])
    ways = coordinates(prop)
    low, high = ways.span.T
    between = joints_at(ways, low + rng.random((POSES // 2, len(low))) * (high - low))
    return np.concatenate([posekit.positions(prop, posekit.pulses(prop, values)), between])


def links_at(prop: Prop, position: np.ndarray) -> dict[str, np.ndarray]:
    """World transforms by name at joint positions (J,)."""
    return dict(zip((link.name for link in prop.links), posekit.forward(prop, position)[0], strict=True))


class CoalDistances:
    """Signed distance [mm] of two links of a prop by coal."""

    def __init__(self, prop: Prop) -> None:
        self.request = coal.DistanceRequest()
        self.request.gjk_tolerance = 1e-10
        self.request.gjk_max_iterations = 1000
        self.shapes = {
            link.name: [piece for shape in link.shapes if shape.solid for piece in judged(prop, shape)]
            for link in prop.links
        }

    def __call__(self, pair: tuple[str, str], links: dict[str, np.ndarray]) -> float:
        a, b = pair
        return min(
            coal.distance(
                shape_a, pose(links[a] @ at_a), shape_b, pose(links[b] @ at_b), self.request, coal.DistanceResult()
            )
            - skin_a - skin_b
            for shape_a, at_a, skin_a in self.shapes[a]
            for shape_b, at_b, skin_b in self.shapes[b]
        )  # fmt: skip


def judged(prop: Prop, shape: Shape) -> list[tuple[object, np.ndarray, float]]:
    """A shape for coal: (convex, link_from_shape, skin [mm]) for each of its pieces, from the files of the builder."""
    at = np.eye(4)
    at[:3, :3], at[:3, 3] = rotation_rpy(shape.turn), shape.at
    match shape.form:
        case Box(size=size):
            return [(coal.Box(*size), at, 0.0)]
        case Sphere(radius=radius):
            return [(coal.Sphere(radius), at, 0.0)]
        case Cylinder(radius=radius, length=length):
            return [(coal.Cylinder(radius, length), at, 0.0)]
        case Capsule(radius=radius, length=length):
            return [(coal.Capsule(radius, length), at, 0.0)]
    form = shape.form
    assert isinstance(form, Mesh)
    if form.pieces is not None:
        kept = json.loads(prop.files[form.pieces])
        skin = kept["skin"] * form.scale
        return [(hull(np.array(points) * form.scale), at, skin) for points in kept["pieces"]]
    file_type = form.path.rsplit(".", 1)[-1]
    raw = trimesh.load_mesh(
        trimesh.util.wrap_as_stream(prop.files[form.path]), file_type=file_type, process=False
    )
    return [(hull(np.asarray(raw.vertices, float) * form.scale), at, 0.0)]


def hull(points: np.ndarray) -> object:
    """Convex for coal, of the corners that scipy finds."""
    corners = coal.StdVec_Vec3s()
    corners.extend(list(points[ConvexHull(points).vertices]))
    return coal.Convex.convexHull(corners, False, None)


def pose(world_from_shape: np.ndarray) -> object:
    return coal.Transform3s(world_from_shape[:3, :3], world_from_shape[:3, 3])


def random_prop(seed: int) -> posekit.Prop:
    """A prop of five or six links on up to five joints; the same for the same seed."""
    rng = np.random.default_rng(seed)
    count = int(rng.integers(5, 7))
    names = [f"link_{i}" for i in range(count)]
    files: dict[str, bytes] = {}
    prop: dict[str, object] = {
        "format": 1,
        "name": f"Random {seed}",
        "servos": {"plain": {"travel": float(rng.uniform(60, 270)), "reverse": bool(rng.integers(2))}},
        "links": {
            name: {"shapes": [random_shape(rng, files) for _ in range(rng.integers(1, 3))]} for name in names
        },
    }
    joints: dict[str, dict[str, object]] = {}
    drives: dict[str, dict[str, object]] = {}
    for i in range(1, count):
        name = f"joint_{i}"
        joints[name] = random_joint(rng, parent=names[int(rng.integers(max(i - 2, 0), i))], child=names[i])
    kinds = [name for name, joint in joints.items() if joint["type"] == "revolute"]
    pair = kinds[:2] if len(kinds) > 2 and rng.random() < 0.5 else []
    if pair:
        drives["left"] = random_drive(rng, 101, joint=None)
        drives["right"] = random_drive(rng, 111, joint=None)
        drives["left"]["linkage"] = {
            "type": "differential", "partner": "right", "sum": pair[0], "difference": pair[1],
        }  # fmt: skip
    leaders: list[str] = []
    for i, (name, joint) in enumerate(joints.items()):
        if name in pair or joint["type"] == "fixed":
            continue
        if leaders and rng.random() < 0.3:
            joint["follow"] = {
                "joint": leaders[int(rng.integers(len(leaders)))],
                "ratio": float(rng.uniform(-1.5, 1.5)),
                "offset": float(rng.uniform(-20, 20)),
            }
            continue
        leaders.append(name)
        drives[f"drive_{i}"] = random_drive(rng, 10 * i + 1, joint=name)
        drives[f"drive_{i}"]["linkage"] = random_linkage(
            rng, slides=joint["type"] == "prismatic", joint_at=np.array(joint["at"])
        )
    prop["joints"], prop["drives"] = joints, drives
    return posekit.read({"prop.toml": tomlkit.dumps(prop).encode(), **files})


def random_shape(rng: np.random.Generator, files: dict[str, bytes]) -> dict[str, object]:
    """A shape of any form; a mesh goes into `files`."""
    size = [float(edge) for edge in rng.uniform(8, 45, 3)]
    form: dict[str, object] = [
        {"box": size},
        {"sphere": {"radius": size[0] / 2}},
        {"cylinder": {"radius": size[0] / 2, "length": 2 * size[1]}},
        {"capsule": {"radius": size[0] / 3, "length": 2 * size[1]}},
        {"mesh": f"meshes/{len(files)}.stl"},
    ][int(rng.integers(5))]
    if "mesh" in form:
        files[str(form["mesh"])] = printed(rng, size)
    return form | {
        "at": [float(x) for x in rng.uniform(-25, 25, 3)],
        "turn": [float(x) for x in rng.uniform(-180, 180, 3)],
    }


def printed(rng: np.random.Generator, size: list[float]) -> bytes:
    """A finely cut plate or rod, turned anyhow, as a binary STL: its flat sides rounded to float32."""
    if rng.random() < 0.5:
        mesh = trimesh.creation.box(size).subdivide().subdivide()
    else:
        mesh = trimesh.creation.cylinder(size[0] / 2, size[1], sections=16).subdivide()
    mesh.apply_transform(trimesh.transformations.random_rotation_matrix(rng.random(3)))
    return bytes(mesh.export(file_type="stl"))


def random_joint(rng: np.random.Generator, parent: str, child: str) -> dict[str, object]:
    kind = str(rng.choice(["revolute", "revolute", "revolute", "prismatic", "fixed"]))
    joint: dict[str, object] = {
        "type": kind,
        "parent": parent,
        "child": child,
        "at": [float(x) for x in rng.uniform(-55, 55, 3)],
        "turn": [float(x) for x in rng.uniform(-180, 180, 3)],
    }
    if kind != "fixed":
        joint["axis"] = [float(x) for x in rng.normal(size=3)]
        if rng.random() < 0.6:
            joint["stops"] = [float(rng.uniform(-70, -5)), float(rng.uniform(5, 70))]
    return joint


def random_drive(rng: np.random.Generator, address: int, joint: str | None) -> dict[str, object]:
    low, high = (float(round(pulse)) for pulse in 1500 + rng.uniform(50, 700, 2) * [-1, 1])
    if rng.random() < 0.5:
        low, high = high, low
    drive: dict[str, object] = {
        "servo": "plain",
        "address": address,
        "bits": 16 if rng.random() < 0.2 else 8,
        "pulse": {"low": low, "high": high, "trim": float(rng.uniform(-30, 30))},
    }
    return drive if joint is None else drive | {"joint": joint}


def random_linkage(rng: np.random.Generator, *, slides: bool, joint_at: np.ndarray) -> dict[str, object]:
    if slides:
        crank = float(rng.uniform(8, 25))
        return {
            "type": "slider_crank", "crank": crank, "coupler": float(crank * rng.uniform(1.2, 3)),
            "offset": float(rng.uniform(-0.1, 0.1) * crank), "shaft_zero": float(rng.uniform(-180, 180)),
            "joint_zero": float(2 * crank),
        }  # fmt: skip
    return [
        {"type": "direct", "offset": float(rng.uniform(-10, 10))},
        {"type": "gear", "ratio": float(rng.choice([-2.0, -1.0, 0.7, 1.5]))},
        {
            "type": "four_bar", "crank": 20.0, "coupler": 60.0, "rocker": float(rng.uniform(25, 40)),
            "ground": 60.0, "shaft_zero": float(rng.uniform(40, 140)), "joint_zero": 90.0,
        },
        {
            "type": "push_rod", "shaft_axis": [float(x) for x in rng.normal(size=3)],
            **{
                name: [float(x) for x in joint_at + rng.uniform(-40, 40, 3)]
                for name in ("shaft_at", "horn_ball", "joint_ball")
            },
        },
    ][int(rng.integers(4))]  # fmt: skip
