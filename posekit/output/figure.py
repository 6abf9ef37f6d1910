"""The figure as a page of its own draws it: skins in their links, and poses of the links. JSON data and packed numbers.

All is in mm in the prop's own world, +Z up. Skins are rounded, which nobody sees; poses are not, to a millionth of the
size of the figure, because they are what the file is for.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from posekit.arrays import Array, Faces
from posekit.output.gltf.frames import continuous, quaternion
from posekit.output.gltf.parts import linear
from posekit.output.packed import Packed
from posekit.output.shading import shaded
from posekit.prop.model import Link, Prop
from posekit.prop.shapes import sources_of
from posekit.shape import Form
from posekit.transforms import placement

SKIN_STEPS = (
    2**14 - 1
)  # along the longest side of a skin: 0.02 mm of 300 mm, less than a pixel at any distance
NORMAL_STEPS = 127  # of each of two numbers of a direction: half a degree, below what shading shows
# A turn that is off by one step in all four numbers moves a point by 2 steps of its distance at most, a place that is
# off by half a step in three numbers by 0.87 steps: together 0.7e-6 of the size of the figure.
POSE_STEP = 2.0**-22


class Skins:
    """The skins of a prop, made link by link; equal forms are there once."""

    def __init__(self, prop: Prop, packed: Packed) -> None:
        self._prop, self._packed = prop, packed
        self._rows: dict[Form, int] = {}
        self._forms: list[dict[str, Any]] = []
        self._shapes: list[dict[str, Any]] = []
        self._corners: list[Array] = []  # of each link [mm], its own frame: eight of each box about a shape

    def steps(self) -> Iterator[Link]:
        """Make the skin of one link after the other, and tell which. PosekitError for a mesh that cannot be read."""
        for row, link in enumerate(self._prop.links):
            corners = [np.zeros((0, 3))]
            for shape, source in sources_of(self._prop, link):
                if not shape.drawn:
                    continue
                if shape.form not in self._rows:
                    self._rows[shape.form] = len(self._forms)
                    self._forms.append(self._form(*shaded(*shape.form.triangles(source))))
                form = self._rows[shape.form]
                frame = placement(shape.at, shape.turn)
                said = {"link": row, "form": form, "frame": frame.T.ravel().tolist()}
                self._shapes.append(said | {"colour": linear(shape.colour)})
                corners.append(_moved(frame, _box(self._forms[form]["box"])))
            self._corners.append(np.concatenate(corners))
            yield link

    def size_mm(self, world_from_link: Array) -> float:
        """The diagonal [mm] of the figure in poses (P, L, 4, 4), the largest of them; 1 where nothing is drawn."""
        around = [
            _moved(frames, corners)
            for frames, corners in zip(np.moveaxis(world_from_link, 1, 0), self._corners, strict=True)
        ]
        points = np.concatenate(around, axis=1)
        return float(np.linalg.norm(np.ptp(points, axis=1), axis=1).max()) if points.shape[1] else 1.0

    def said(self) -> dict[str, Any]:
        """Links by name, forms and shapes: `frame` is link_from_shape column by column, `colour` linear."""
        links = [link.name for link in self._prop.links]
        return {"links": links, "forms": self._forms, "shapes": self._shapes}

    def _form(self, vertices: Array, normals: Array, faces: Faces) -> dict[str, Any]:
        """Corners are numbered as faces come to them, so that a face says how far back it looks."""
        _, first, inverse = np.unique(faces.ravel(), return_index=True, return_inverse=True)
        rank = np.empty(len(first), np.int64)
        rank[np.argsort(first)] = np.arange(len(first))
        used = faces.ravel()[np.sort(first)]
        corner = rank[inverse.ravel()]
        newest = np.maximum.accumulate(np.concatenate([[-1], corner[:-1]])) + 1
        points = vertices[used]
        step = float(np.ptp(points, axis=0).max()) / SKIN_STEPS or 1.0
        return {
            "points": self._packed.numbers(points, step),
            "normals": self._packed.whole(np.rint(octahedral(normals[used]) * NORMAL_STEPS)),
            "back": self._packed.whole((newest - corner)[:, None], order=0),
            "box": [points.min(axis=0).tolist(), points.max(axis=0).tolist()],
        }


def poses(world_from_link: Array, size_mm: float, packed: Packed) -> dict[str, Any]:
    """Poses (P, L, 4, 4) in the order of their time: where each link stands [mm] and its turn x, y, z, w."""
    count, links = world_from_link.shape[:2]
    turn = quaternion(world_from_link)
    turns = np.stack([continuous(turn[:, link]) for link in range(links)], axis=1)
    at = world_from_link[..., :3, 3].reshape(count, 3 * links)
    order = 2 if count > 2 else 1  # what moves goes on evenly for the most part
    return {
        "count": count,
        "at": packed.numbers(at, POSE_STEP * size_mm, order=order),
        "turn": packed.numbers(turns.reshape(count, 4 * links), POSE_STEP, order=order),
    }


def octahedral(normals: Array) -> Array:
    """Unit directions (N, 3) as points (N, 2) of the square -1..1 (octahedral map, Meyer et al. 2010)."""
    folded = normals / np.abs(normals).sum(axis=1, keepdims=True)
    flipped = (1 - np.abs(folded[:, 1::-1])) * np.where(folded[:, :2] < 0, -1.0, 1.0)
    return np.where(folded[:, 2:] < 0, flipped, folded[:, :2])


def _box(bounds: list[list[float]]) -> Array:
    """The eight corners of a box."""
    return np.array(np.meshgrid(*zip(*bounds, strict=True))).reshape(3, -1).T


def _moved(a_from_b: Array, points: Array) -> Array:
    """Points (N, 3) in the frame a; a_from_b (..., 4, 4) to (..., N, 3)."""
    return points @ np.swapaxes(a_from_b[..., :3, :3], -1, -2) + a_from_b[..., None, :3, 3]
