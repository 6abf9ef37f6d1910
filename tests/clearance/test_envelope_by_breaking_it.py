"""The certificate, tested by trying to break it: posing props as often as time allows, measured by coal.

coal (BSD-3-Clause) with gjk_tolerance=1e-10 is the reference for distances, scipy's hulls of the builder's own files
are what it measures, pinocchio (BSD-2-Clause) says where they stand, and textbook loops followed from shaft 0 say how
the joints are at each value: nothing of posekit's own calibration, linkages, shapes, poses and distances is used to
judge. Of neighbours the parts outside the zone that is told are measured: each shape cut by planes about the zone, so
that no point measured lies in it. Random props hold every kind of shape, joint and linkage.
"""

from __future__ import annotations

import json

import numpy as np
import pytest
import tomlkit
import trimesh
from scipy.optimize import linprog
from scipy.spatial import ConvexHull, HalfspaceIntersection

import posekit
from posekit.clearance.zones import Zone
from posekit.prop.model import Joint, Link, Prop, Shape
from posekit.shape import Box, Capsule, Cylinder, Mesh, Sphere
from posekit.transforms import rotation_rpy
from tests.conftest import SEEDS
from tests.reference.independent_chain import IndependentPositions
from tests.reference.pinocchio_trees import model_of, pinocchio_links, urdf_of

coal = pytest.importorskip("coal")
pytestmark = pytest.mark.native

POSES = 200
MOST_CELLS = 60_000  # not seconds, so that a busy machine tests no less
ATOL_DEG, ATOL_MM = 1e-4, 2e-5  # at a dead point a joint turns by the square root of rounding
DIRECTIONS = 12  # about a zone, in which its outside is looked at

Piece = tuple[object, np.ndarray, float, float]  # convex, link_from_shape, skin [mm], radius [mm]


@pytest.mark.parametrize("seed", SEEDS)
def test_no_pose_of_a_random_prop_breaks_its_verdicts(seed):
    assert_unbroken(random_prop(seed), seed, margin_mm=(2.0, 15.0)[seed % 2])


@pytest.mark.timeout(900)  # a minute of work, on machines that do other things as well
@pytest.mark.parametrize("poses", [POSES // 4, pytest.param(POSES, marks=pytest.mark.long)])
def test_no_pose_of_a_demo_prop_breaks_its_verdicts(demo_at_length, poses):
    assert_unbroken(demo_at_length, 0, demo_at_length.clearance.margin, poses)


def assert_unbroken(prop: Prop, seed: int, margin_mm: float, poses: int = POSES) -> None:
    """No strike in a pair called clear or near, no distance below what is proved, and every witness is one.

    A clear pair keeps the margin; the witness of a near one is as near as its verdict says.
    """
    envelope = posekit.clearance.envelope(
        prop, margin_mm=margin_mm, progress=lambda state: state.cells < MOST_CELLS
    )
    assert [verdict.pair for verdict in envelope.pairs] == posekit.clearance.pairs(prop)
    assert sum(verdict.finished for verdict in envelope.pairs) >= 0.8 * len(envelope.pairs)
    measure, chain, positions = CoalDistances(prop), Chain(prop), IndependentPositions(prop)
    tried = tried_values(prop, np.random.default_rng(seed), poses)
    np.testing.assert_allclose(
        posekit.positions(prop, posekit.pulses(prop, tried)), positions(tried), rtol=0, atol=ATOL_DEG
    )
    for position in positions(tried):
        links = chain(position)
        for verdict in (*envelope.of("clear"), *envelope.of("near")):
            found = measure(verdict.pair, links, verdict.clear_by_mm)
            assert found >= verdict.clear_by_mm - ATOL_MM, (verdict.pair, position)
    for verdict in envelope.of("strikes"):
        witness = [[verdict.witness[drive.name] for drive in prop.drives]]
        (position,) = positions(witness)
        # What is cut is judged by its cover, which may reach a little further than the shape.
        over = 2 * measure.over_mm if verdict.pair in measure.cut else ATOL_MM
        assert measure.in_full(verdict.pair, chain(position)) <= over, verdict
    for verdict in envelope.of("clear"):
        assert verdict.clear_by_mm >= envelope.margin_mm - 1e-5, verdict
    for verdict in envelope.of("near"):
        witness = [[verdict.witness[drive.name] for drive in prop.drives]]
        (position,) = positions(witness)
        found = measure(verdict.pair, chain(position))
        assert 0.0 < verdict.clear_by_mm < envelope.margin_mm
        assert verdict.clear_by_mm <= verdict.nearest_mm <= found + 2e-3, verdict


def tried_values(prop: Prop, rng: np.random.Generator, poses: int) -> np.ndarray:
    """Values (P, D): at random, corners where drives stand at an end, and what lies between values that can be sent."""
    full = np.array([drive.full_scale for drive in prop.drives])
    anywhere = rng.integers(0, full + 1, (poses, len(full)))
    corners = full * rng.integers(0, 2, (poses // 2, len(full)))
    half_corners = np.where(rng.random((poses // 2, len(full))) < 0.5, anywhere[: poses // 2], corners)
    between = full * rng.random((poses // 2, len(full)))
    return np.concatenate([anywhere, corners, half_corners, between])


class Chain:
    """World transforms [mm] by name at joint positions (J,), as pinocchio puts the links."""

    def __init__(self, prop: Prop) -> None:
        self.model, self.names = model_of(urdf_of(prop)), [link.name for link in prop.links]
        self.joints = [(joint.name, joint.type) for joint in prop.joints]

    def __call__(self, position: np.ndarray) -> dict[str, np.ndarray]:
        si = {
            name: np.radians(at) if kind == "revolute" else at / 1000
            for (name, kind), at in zip(self.joints, position.tolist(), strict=True)
        }
        world_from_link = pinocchio_links(self.model, self.names, si)
        world_from_link[:, :3, 3] *= 1000
        return dict(zip(self.names, world_from_link, strict=True))


class CoalDistances:
    """Signed distance [mm] of two links of a prop by coal; of neighbours, of what lies outside their zone."""

    def __init__(self, prop: Prop) -> None:
        self.held: dict[int, tuple[np.ndarray, np.ndarray]] = {}
        self.request = coal.DistanceRequest()
        self.request.gjk_tolerance = 1e-10
        self.request.gjk_max_iterations = 1000
        self.shapes = {
            link.name: [piece for shape in link.shapes if shape.solid for piece in judged(prop, shape)]
            for link in prop.links
        }
        self.over_mm = 0.1 + max(
            skin + 0.02 * size for own in self.shapes.values() for _, _, skin, size in own
        )
        joints = {joint.name: joint for joint in prop.joints}
        links = {link.name: link for link in prop.links}
        self.cut = {
            pair: [outside(prop, links[name], joints[zone.joint], zone) for name in pair]
            for pair, zone in posekit.clearance.watch(prop).zones.items()
        }

    def __call__(
        self, pair: tuple[str, str], links: dict[str, np.ndarray], asked_mm: float = np.inf
    ) -> float:
        """What is `asked_mm` or more may be told as infinite."""
        return self.least(self.cut.get(pair) or [self.shapes[name] for name in pair], pair, links, asked_mm)

    def in_full(self, pair: tuple[str, str], links: dict[str, np.ndarray]) -> float:
        return self.least([self.shapes[name] for name in pair], pair, links, np.inf)

    def least(
        self, sides: list[list[Piece]], pair: tuple[str, str], links: dict[str, np.ndarray], asked_mm: float
    ) -> float:
        frames = [links[name] for name in pair]
        (at_a, far_a), (at_b, far_b) = (
            self.balls(own, frame) for own, frame in zip(sides, frames, strict=True)
        )
        # Balls about the pieces first: most pairs of pieces are too far apart to be of interest.
        near = np.linalg.norm(at_a[:, None] - at_b, axis=-1) - far_a[:, None] - far_b < asked_mm
        return min(
            (self.between(sides[0][a], sides[1][b], frames) for a, b in np.argwhere(near)), default=np.inf
        )

    def balls(self, pieces: list[Piece], world_from_link: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Centres (N, 3) [mm] in the world and radii (N,) [mm] of balls that hold the pieces."""
        if id(pieces) not in self.held:
            boxes = []
            for shape, _, _, _ in pieces:
                shape.computeLocalAABB()
                boxes.append((np.ravel(shape.aabb_center), shape.aabb_radius))
            at = [
                link_from_shape[:3, :3] @ centre + link_from_shape[:3, 3]
                for (_, link_from_shape, _, _), (centre, _) in zip(pieces, boxes, strict=True)
            ]
            far = [radius + skin for (_, _, skin, _), (_, radius) in zip(pieces, boxes, strict=True)]
            self.held[id(pieces)] = np.array(at, float).reshape(-1, 3), np.array(far, float)
        at, far = self.held[id(pieces)]
        return at @ world_from_link[:3, :3].T + world_from_link[:3, 3], far

    def between(self, a: Piece, b: Piece, frames: list[np.ndarray]) -> float:
        places = pose(frames[0] @ a[1]), pose(frames[1] @ b[1])
        apart = coal.distance(a[0], places[0], b[0], places[1], self.request, coal.DistanceResult())
        return float(apart) - a[2] - b[2]


def outside(prop: Prop, link: Link, joint: Joint, zone: Zone) -> list[Piece]:
    """Convex parts of a link's shapes, in its frame, that lie beyond planes about a zone and so outside of it."""
    frame = np.eye(4)
    frame[:3, :3] = np.column_stack(np.linalg.svd(np.array([joint.axis]))[2][[1, 2, 0]])
    frame[:3, 2] = np.array(joint.axis) / np.linalg.norm(joint.axis)
    back, forth = (0.0, 0.0) if link.name == joint.child else zone.travel
    if link.name == joint.parent:
        turned = np.eye(4)
        turned[:3, :3], turned[:3, 3] = rotation_rpy(joint.turn), joint.at
        frame = turned @ frame
    around = 2 * np.pi * (np.arange(DIRECTIONS) + 0.3) / DIRECTIONS
    normals = [*((np.cos(a), np.sin(a), 0.0) for a in around), (0.0, 0.0, 1.0), (0.0, 0.0, -1.0)]
    heights = [zone.radius] * DIRECTIONS + [zone.high + forth, -(zone.low + back)]
    found = []
    for shape in link.shapes:
        for points, skin in corners(prop, shape) if shape.solid else ():
            hull_planes = ConvexHull(points).equations
            for normal, height in zip(normals, heights, strict=True):
                n = frame[:3, :3] @ normal
                # Beyond the plane by the skin, so that the skin does not reach back into the zone.
                plane = np.array([*-n, height + skin + n @ frame[:3, 3]])
                if (points @ plane[:3] + plane[3]).min() >= 0.0:
                    continue  # all of it lies on this side
                part = beyond(np.vstack([hull_planes, plane]))
                if part is not None:
                    found.append((hull(part), np.eye(4), skin, 0.0))
    return found


def beyond(planes: np.ndarray) -> np.ndarray | None:
    """Corners of the polytope of planes (F, 4), A x + b <= 0; None if nothing to speak of is in it."""
    room = np.ones(len(planes))
    best = linprog(
        [0, 0, 0, -1], A_ub=np.column_stack([planes[:, :3], room]), b_ub=-planes[:, 3], bounds=(None, None)
    )
    if best.status != 0 or best.x[3] < 1e-3:
        return None
    return HalfspaceIntersection(planes, best.x[:3]).intersections


def corners(prop: Prop, shape: Shape) -> list[tuple[np.ndarray, float]]:
    """Points (V, 3) [mm] in the link whose hull lies in a shape, and the skin about it, for each of its pieces."""
    match shape.form:
        case Box(size=size):
            found = [(trimesh.creation.box(size).vertices, 0.0)]
        case Sphere(radius=radius):
            found = [(trimesh.creation.icosphere(2, radius).vertices, 0.0)]
        case Cylinder(radius=radius, length=length):
            found = [(trimesh.creation.cylinder(radius, length, sections=24).vertices, 0.0)]
        case Capsule(radius=radius, length=length):
            ball = trimesh.creation.icosphere(2, radius).vertices
            up = np.array([0.0, 0.0, length / 2])
            found = [(np.concatenate([ball + up, ball - up]), 0.0)]
        case _:
            found = pieces(prop, shape.form)
    turn = rotation_rpy(shape.turn)
    return [(np.asarray(points) @ turn.T + shape.at, skin) for points, skin in found]


def judged(prop: Prop, shape: Shape) -> list[Piece]:
    """A shape for coal, each of its pieces, from the files of the builder."""
    at = np.eye(4)
    at[:3, :3], at[:3, 3] = rotation_rpy(shape.turn), shape.at
    match shape.form:
        case Box(size=size):
            return [(coal.Box(*size), at, 0.0, 0.0)]
        case Sphere(radius=radius):
            return [(coal.Sphere(radius), at, 0.0, radius)]
        case Cylinder(radius=radius, length=length):
            return [(coal.Cylinder(radius, length), at, 0.0, radius)]
        case Capsule(radius=radius, length=length):
            return [(coal.Capsule(radius, length), at, 0.0, radius)]
    return [(hull(points), at, skin, 0.0) for points, skin in pieces(prop, shape.form)]


def pieces(prop: Prop, form: object) -> list[tuple[np.ndarray, float]]:
    """Points (V, 3) [mm] of each piece of a mesh, and the skin about it."""
    assert isinstance(form, Mesh)
    if form.pieces is not None:
        kept = json.loads(prop.files[form.pieces])
        return [(np.array(points) * form.scale, kept["skin"] * form.scale) for points in kept["pieces"]]
    file_type = form.path.rsplit(".", 1)[-1]
    raw = trimesh.load_mesh(
        trimesh.util.wrap_as_stream(prop.files[form.path]), file_type=file_type, process=False
    )
    return [(np.asarray(raw.vertices, float) * form.scale, 0.0)]


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
