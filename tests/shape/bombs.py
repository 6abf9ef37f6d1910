"""Mesh files made to take time or memory, each within the bytes that a mesh file may have."""

from __future__ import annotations

from collections.abc import Callable

from posekit.budgets import MESH_BYTES

OBJ = b"v 0 0 0\nv 1 0 0\nv 0 1 0\n"
PLY = (
    b"ply\nformat ascii 1.0\nelement vertex %d\nproperty float x\nproperty float y\nproperty float z\n"
    b"element face %d\nproperty list uchar int vertex_indices\nend_header\n"
)
FACET = b"facet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 1 0 0\nvertex 0 1 0\nendloop\nendfacet\n"


def filled(begin: bytes, part: bytes, share: float = 1.0) -> bytes:
    """A file that begins so and goes on with the same part, as large as a mesh file may be."""
    return begin + part * int((share * MESH_BYTES - len(begin)) // len(part))


BOMBS: dict[str, Callable[[], tuple[bytes, str]]] = {
    "a face of 600,000 indices": lambda: (OBJ + b"f " + b"1 2 3 " * 200_000, "a.obj"),
    "20,000 materials": lambda: (
        OBJ + b"".join(b"usemtl m%d\nf 1 2 3\n" % k for k in range(20_000)),
        "a.obj",
    ),
    "as many vertices and faces as may be": lambda: (
        b"v 1 1 1\n" * 599_997 + OBJ + b"f -1 -2 -3\n" * 200_000,
        "a.obj",
    ),
    "a line that goes on": lambda: (filled(OBJ, b"f 1 2 \\\n"), "a.obj"),
    "nothing but line ends": lambda: (filled(OBJ, b"\n"), "a.obj"),
    "one line": lambda: (filled(b"solid ", b"a "), "a.stl"),
    "vertices and no end": lambda: (filled(b"solid\n", b"vertex 1 2 3\n"), "a.stl"),
    "as many facets as fit": lambda: (filled(b"solid\n", FACET, 0.99) + b"endsolid", "a.stl"),
    "a PLY of line ends": lambda: (filled(PLY % (3, 1), b"\n"), "a.ply"),
    "a PLY of form feeds": lambda: (filled(PLY % (3, 1), b"\x0c"), "a.ply"),
    "a PLY that tells of all too many": lambda: (PLY % (10**12, 10**12), "a.ply"),
    "a PLY with all its rows": lambda: (
        PLY % (600_000, 200_000) + b"1 2 3\n" * 600_000 + b"3 0 1 2\n" * 200_000,
        "a.ply",
    ),
    "a PLY without an end of its head": lambda: (
        filled(b"ply\nformat ascii 1.0\n", b"property float x\n"),
        "a.ply",
    ),
    "brackets": lambda: (b"glTF\2\0\0\0\x14\0\x80\0\0\0\x80\0JSON" + b"[" * 0x800000, "a.glb"),
}
