"""A hinge read off a mesh of 100,000 triangles: posekit against trimesh, which only walks a mesh, in one run.

    python tests/bench/bench_hinge.py        prints milliseconds and ratios; in the browser: hinge_in_pyodide.mjs

trimesh finds the nearest face of a point and which faces meet along edges; posekit does that and tells the surface. The
mesh as it comes from its file, with equal vertices made one, is given to both.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np

from posekit.arrays import Array
from posekit.authoring.surface.mesh import nearest_face, walk_of
from posekit.authoring.surface.recognise import surface_about
from tests.authoring.turned_parts import Mesh, cylinder, plate_with_hole, sphere

REPEATS = 5


def parts() -> dict[str, tuple[Mesh, Array]]:
    """Meshes of about 100,000 triangles, and a point on each."""
    plate, ball = plate_with_hole(30, 6, 2.5, 32, 5, chamfer=0.5), sphere(40, 320, 156)
    beside = (
        np.concatenate([plate[0], ball[0] + [100, 0, 0]]),
        np.concatenate([plate[1], ball[1] + len(plate[0])]),
    )
    egg = ball[0] * [1.0, 0.7, 0.6], ball[1]
    return {
        "a hole beside much else": (beside, np.array([0.0, 0, 3])),
        "the same, noise of 0.05 mm": (rough(beside), np.array([0.0, 0, 3])),
        "all of it one hole": (plate_with_hole(60, 6, 4, 64, 780), np.array([0.0, 0, 3])),
        "all of it a noisy pin": (rough(cylinder(20, 100, 128, 391)), np.array([20.0, 0, 50])),
        "all of it bent freely": (egg, np.array([40.0, 0, 1])),
    }


def rough(mesh: Mesh) -> Mesh:
    """A mesh with even noise, as wide as normal noise of 0.05 mm. The page fetches random numbers only later."""
    vertices, faces = mesh
    even = np.modf(np.abs(np.sin(12.9898 * np.arange(1, vertices.size + 1)) * 43758.5453))[0]
    return vertices + 0.05 * np.sqrt(12) * (even.reshape(vertices.shape) - 0.5), faces


def best(work: Callable[[], object], clock: Callable[[], float] = time.process_time) -> float:
    """Milliseconds, the best of some repeats."""
    least = np.inf
    for _ in range(REPEATS):
        begin = clock()
        work()
        least = min(least, clock() - begin)
    return least * 1e3


def told(mesh: Mesh, point: Array) -> str:
    """What posekit finds."""
    walk = walk_of(*mesh)
    return surface_about(walk, nearest_face(walk, point)[0]).kind


def main() -> None:
    """Print the table."""
    import trimesh

    print(f"{'':28}{'triangles':>10}{'found':>10}{'posekit ms':>12}{'trimesh ms':>12}{'ratio':>7}")
    for name, (mesh, point) in parts().items():

        def walked(mesh: Mesh = mesh, point: Array = point) -> None:
            known = trimesh.Trimesh(*mesh, process=False)
            trimesh.proximity.closest_point(known, point[None])
            known.face_adjacency  # noqa: B018  found when it is read

        ours, theirs = best(lambda mesh=mesh, point=point: told(mesh, point)), best(walked)
        print(
            f"{name:28}{len(mesh[1]):>10}{told(mesh, point):>10}{ours:>12.0f}{theirs:>12.0f}{ours / theirs:>7.2f}"
        )


if __name__ == "__main__":
    main()
