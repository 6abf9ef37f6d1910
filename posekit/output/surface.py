"""Shapes as triangles: round forms cut finely enough to look round, mesh files as they are."""

from __future__ import annotations

import numpy as np

from posekit.arrays import Array, Faces
from posekit.errors import PosekitError, error
from posekit.mechanism.meshes import Vertices, place_of, vertices_and_faces
from posekit.prop.model import Box, Capsule, Cylinder, Form, Mesh, Prop, Sphere

SAGITTA_MM = 0.15  # how far a flat facet may lie inside the round form
SMALLEST_MM, LARGEST_MM = 1e-3, 1e9  # float32 holds these with their triangles
FEWEST, MOST = 12, 48  # facets of a full turn; multiples of 4, so that the extreme points are vertices


def surface(prop: Prop, form: Form) -> tuple[Vertices, Faces]:
    """Vertices (V, 3) [mm] in the frame of the form and faces (F, 3), counter-clockwise seen from outside.

    Raises PosekitError for a mesh file that cannot be used and for a form of no size that can be drawn.
    """
    vertices, faces = _triangles(prop, form)
    reach = float(np.abs(vertices).max())
    if not SMALLEST_MM <= reach <= LARGEST_MM:
        sentence = f"reaches {reach:g} mm from its centre; use {SMALLEST_MM:g} to {LARGEST_MM:g} mm"
        raise PosekitError([error("shape-size", place_of(prop, form), sentence)])
    return vertices, faces


def _triangles(prop: Prop, form: Form) -> tuple[Vertices, Faces]:
    match form:
        case Box():
            from trimesh import creation

            box = creation.box(form.size)
            return np.asarray(box.vertices), np.asarray(box.faces)
        case Sphere():
            return _revolved(form.radius, _capped(form.radius, 0.0))
        case Capsule():
            return _revolved(form.radius, _capped(form.radius, form.length))
        case Cylinder():
            end = form.length / 2 / form.radius
            return _revolved(form.radius, np.array([(0.0, -end), (1.0, -end), (1.0, end), (0.0, end)]))
        case Mesh():
            return vertices_and_faces(prop, form)


def facets(radius_mm: float) -> int:
    """Facets of a full turn: their sagitta r (1 - cos(pi / n)) < r (pi / n)^2 / 2 is SAGITTA_MM, within limits."""
    needed = np.pi * np.sqrt(radius_mm / (2 * SAGITTA_MM))
    return 4 * int(np.ceil(np.clip(needed, FEWEST, MOST) / 4))


def _capped(radius_mm: float, length_mm: float) -> Array:
    """Outline of a capsule from the lower pole to the upper one: (radius, height) in units of its radius."""
    angle = np.linspace(0.0, np.pi / 2, facets(radius_mm) // 4 + 1)
    upper = np.column_stack([np.cos(angle), np.sin(angle) + length_mm / 2 / radius_mm])
    upper[-1, 0] = 0.0
    return np.concatenate([upper[::-1] * (1.0, -1.0), upper])


def _revolved(radius_mm: float, outline: Array) -> tuple[Vertices, Faces]:
    """The outline turned about z: at radius 1, as trimesh has absolute limits for small triangles."""
    from trimesh import creation

    turned = creation.revolve(outline, sections=facets(radius_mm))
    return np.asarray(turned.vertices) * radius_mm, np.asarray(turned.faces)
