"""A skin: the closed surface of one or more solids, as vertices and triangles."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]
Faces = NDArray[np.int64]

GRID_MM = 1 / 64  # exact in float32, so every machine writes the same bytes, and files pack well


@dataclass(frozen=True)
class Skin:
    """`vertices` (n, 3) mm, `faces` (m, 3) counter-clockwise seen from outside."""

    vertices: Points
    faces: Faces


def join(*skins: Skin) -> Skin:
    """All skins as one; each stays a closed surface of its own."""
    starts = np.cumsum([0] + [len(skin.vertices) for skin in skins[:-1]])
    return Skin(
        np.vstack([skin.vertices for skin in skins]),
        np.vstack([skin.faces + start for skin, start in zip(skins, starts, strict=True)]),
    )


def shift(skin: Skin, by: tuple[float, float, float]) -> Skin:
    """The skin, moved."""
    return Skin(skin.vertices + np.array(by), skin.faces)


def turn(skin: Skin, about: tuple[float, float, float], degrees: float) -> Skin:
    """The skin, turned about an axis through the origin."""
    return Skin(skin.vertices @ rotation(about, degrees).T, skin.faces)


def mirror(skin: Skin) -> Skin:
    """The other-handed skin, y negated; the faces turn round so that they still look outwards."""
    return Skin(skin.vertices * np.array([1.0, -1.0, 1.0]), skin.faces[:, ::-1])


def facing_front(skin: Skin, at: tuple[float, float, float]) -> Skin:
    """A piece turned about z, laid so that its z looks to +x."""
    return shift(turn(skin, (0.0, 1.0, 0.0), 90), at)


def rotation(about: tuple[float, float, float], degrees: float) -> Points:
    """Rotation matrix (3, 3) by Rodrigues' formula."""
    x, y, z = np.array(about) / np.linalg.norm(about)
    cross = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
    angle = np.radians(degrees)
    return np.eye(3) + np.sin(angle) * cross + (1 - np.cos(angle)) * cross @ cross


def on_grid(skin: Skin) -> Skin:
    """The skin with its vertices on the grid, and without faces that the rounding made flat."""
    return Skin(np.round(skin.vertices / GRID_MM) * GRID_MM, skin.faces)


def ply(skin: Skin) -> bytes:
    """Binary PLY, float32 vertices in mm; vertex numbers take two bytes where they fit."""
    small = len(skin.vertices) < 2**16
    faces = np.empty(len(skin.faces), dtype=[("count", "u1"), ("corners", "<u2" if small else "<i4", 3)])
    faces["count"] = 3
    faces["corners"] = skin.faces
    header = (
        "ply\nformat binary_little_endian 1.0\n"
        f"element vertex {len(skin.vertices)}\n"
        "property float x\nproperty float y\nproperty float z\n"
        f"element face {len(faces)}\n"
        f"property list uchar {'ushort' if small else 'int'} vertex_indices\n"
        "end_header\n"
    )
    return header.encode() + on_grid(skin).vertices.astype("<f4").tobytes() + faces.tobytes()
