"""The envelope of a demo prop against sampling it at the same resolution with python-fcl. Prints the ratio.

    python tests/bench/bench_envelope.py [heron] [--jobs 2]

Sampling means every pair of links at every combination of its own channels, one degree (or mm) apart. That is
far too much to do, so a counted sample of it is timed and the rest is reckoned from its count; the output
says so. Poses are not even charged to the sampling, only python-fcl's distance queries are. python-fcl is the
yardstick for time only: what it samples proves nothing between the samples.
"""

from __future__ import annotations

import argparse
from concurrent.futures import Executor
from pathlib import Path
from time import perf_counter

import fcl
import numpy as np

import posekit
from posekit.clearance import watch
from posekit.clearance.pair_model import PairModel, pair_model, poses_of, relative_poses
from posekit.cli.workers import workers
from posekit.mechanism.reach import coordinates

ROOT = Path(__file__).parent.parent.parent
RESOLUTION = 1.0
SAMPLE = 100


def main() -> None:
    """Print the table."""
    asked = argparse.ArgumentParser()
    asked.add_argument("model", nargs="?", default="heron")
    asked.add_argument("--jobs", type=int, default=1)
    given = asked.parse_args()
    prop = posekit.load(ROOT / "models" / given.model)
    with workers(given.jobs, None) as executor:
        found, seconds = envelope_of(prop, executor)
    ways, watched = coordinates(prop), watch(prop)
    poses = queries = sampled = timed = 0.0
    rng = np.random.default_rng(0)
    for pair in posekit.clearance.pairs(prop):
        model = pair_model(prop, ways, watched, pair)
        count = float(np.prod(np.floor(np.ptp(model.box, axis=1) / RESOLUTION) + 1))
        took = sample(model, rng)
        poses += count
        queries += count * len(model.piece_a)
        sampled += SAMPLE
        timed += took / SAMPLE * count
    verdicts = ", ".join(f"{len(found.of(each))} {each}" for each in ("clear", "near", "strikes", "open"))
    cells = sum(pair.cells for pair in found.pairs)
    print(f"{prop.name}: {len(prop.drives)} channels, {len(found.pairs)} pairs of links: {verdicts}")
    print(f"envelope at {RESOLUTION:g} deg: {seconds:.2f} s, {cells} cells, {given.jobs} process(es)")
    print(f"sampling at {RESOLUTION:g} deg: {poses:.3g} poses of pairs, {queries:.3g} queries of python-fcl;")
    print(f"  reckoned from {sampled:.0f} timed poses of pairs: {timed:.3g} s")
    print(f"ratio: {timed / seconds:.3g}")


def envelope_of(prop: posekit.Prop, executor: Executor | None) -> tuple[posekit.clearance.Envelope, float]:
    """The envelope and the seconds it took."""
    start = perf_counter()
    found = posekit.clearance.envelope(prop, resolution=RESOLUTION, executor=executor)
    return found, perf_counter() - start


def sample(model: PairModel, rng: np.random.Generator) -> float:
    """Seconds that python-fcl takes for SAMPLE poses of a pair, placing its shapes included."""
    low, high = model.box.T
    own = low + rng.random((SAMPLE, len(low))) * (high - low)
    relative = relative_poses(model, poses_of(model, own)[0])
    shapes = [fcl_shape(model, s) for s in range(len(model.corners))]
    at = [placed(model, s, np.eye(4)) for s in range(len(shapes))]
    objects = [fcl.CollisionObject(shape, place) for shape, place in zip(shapes, at, strict=True)]
    request = fcl.DistanceRequest()
    start = perf_counter()
    for n in range(SAMPLE):
        for s in np.unique(model.piece_b):
            objects[s].setTransform(placed(model, s, relative[n]))
        for a, b in zip(model.piece_a, model.piece_b, strict=True):
            fcl.distance(objects[a], objects[b], request, fcl.DistanceResult())
    return perf_counter() - start


def placed(model: PairModel, s: int, a_from_link: np.ndarray) -> fcl.Transform:
    """Where piece s stands in the frame of link a."""
    turn = a_from_link[:3, :3] @ model.pieces.rotation[s]
    return fcl.Transform(turn, a_from_link[:3, :3] @ model.pieces.centre[s] + a_from_link[:3, 3])


def fcl_shape(model: PairModel, s: int) -> object:
    """Piece s as python-fcl takes it."""
    cores, radius = model.pieces.cores, float(model.pieces.radius[s])
    x, y, z = 2 * cores.half[:, s]
    if cores.hull[s] >= 0:
        from scipy.spatial import ConvexHull

        points = np.unique(cores.corners[cores.hull[s]].T, axis=0)
        faces = ConvexHull(points).simplices
        return fcl.Convex(points, len(faces), np.insert(faces, 0, 3, axis=1).ravel())
    if cores.disc[s] > 0:
        return fcl.Cylinder(float(cores.disc[s]), z)
    if x == y == 0.0:
        return fcl.Capsule(radius, z) if z else fcl.Sphere(radius)
    return fcl.Box(x, y, z)


if __name__ == "__main__":
    main()
