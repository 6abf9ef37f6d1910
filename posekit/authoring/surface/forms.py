"""The four surfaces that turned and milled parts are made of, and their fits by least squares of the true distance.

A. B. Forbes, "Least-squares best-fit geometric elements", NPL Report DITC 140/89 (revised 1991): distances, derivatives
and Gauss-Newton steps for plane, sphere, cylinder and cone (from memory); damped as by Levenberg and Marquardt. First
axes come from the face normals, which a cylinder has on a great circle of the unit sphere and a cone on a smaller one.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import cos, hypot, radians, sin, tan
from typing import Literal

import numpy as np

from posekit.arrays import Array

Kind = Literal["plane", "cylinder", "cone", "sphere"]
STEPS = 15  # a good start needs four or five
DONE = 1e-8  # share of the parameters' own size that a last step moves them
STEEPEST_DEG = 85.0  # a cone beyond that is a plane with a dent


@dataclass(frozen=True, slots=True)
class Form:
    """A surface. A plane has a point and its normal as `axis`; a sphere a centre as `point`, and a radius.

    A cylinder has a point of its axis, which lies in the middle of what it was fitted to, and a radius [mm]; a cone
    has them there, and widens along its axis by `slope_deg` to either side.
    """

    kind: Kind
    point: Array
    axis: Array
    radius: float = 0.0
    slope_deg: float = 0.0

    def distances(self, points: Array) -> Array:
        """Signed distance [mm] of points (..., 3), positive outside; (...)."""
        about = points - self.point
        if self.kind == "plane":
            return np.asarray(about @ self.axis)
        if self.kind == "sphere":
            return np.linalg.norm(about, axis=-1) - self.radius
        along = about @ self.axis
        off = np.linalg.norm(about - along[..., None] * self.axis, axis=-1)
        slope = radians(self.slope_deg)
        return np.asarray((off - self.radius) * cos(slope) - along * sin(slope))

    def normals(self, points: Array) -> Array:
        """Unit normals, away from axis or centre, of the surface nearest to points (..., 3)."""
        about = points - self.point
        if self.kind == "plane":
            return np.broadcast_to(self.axis, points.shape)
        if self.kind == "sphere":
            return _unit_or_none(about)
        off = about - (about @ self.axis)[..., None] * self.axis
        slope = radians(self.slope_deg)
        return _unit_or_none(off) * cos(slope) - self.axis * sin(slope)


def fitted(kind: Kind, points: Array, normals: Array, weights: Array) -> Form | None:
    """The surface of a kind that fits points (N, 3) [mm] best, begun from normals (F, 3) of weights (F,).

    None where they do not determine one.
    """
    if kind == "plane":
        return _plane(points)
    if len(points) < 8:
        return None
    start = _first_sphere(points) if kind == "sphere" else _first_round(kind, points, normals, weights)
    return None if start is None else refined(start, points)


def refined(start: Form, points: Array) -> Form | None:
    """The surface near `start` with the least squares of distances from points (N, 3) [mm]."""
    if start.kind == "plane":
        plane = _plane(points)
        if plane is None or plane.axis @ start.axis >= 0:
            return plane
        return replace(plane, axis=-plane.axis)  # the same side of it stays outside
    form, damping, middle = start, 1e-3, points.mean(axis=0)
    residual, slopes = linearised(form, points)
    for _ in range(STEPS):
        normal_matrix, down = slopes.T @ slopes, slopes.T @ residual
        scale = np.diag(normal_matrix) + 1e-300
        try:
            step = np.asarray(-np.linalg.solve(normal_matrix + damping * np.diag(scale), down), float)
        except np.linalg.LinAlgError:
            return None
        moved = stepped(form, step, middle)
        if moved is None:
            damping *= 10.0
            continue
        left, its_slopes = linearised(moved, points)
        if left @ left <= residual @ residual:
            form, residual, slopes, damping = moved, left, its_slopes, damping / 10.0
            if np.abs(step * np.sqrt(scale)).max() < DONE * max(form.radius, 1.0) * np.sqrt(len(points)):
                break
        else:
            damping *= 10.0
    return form if np.isfinite(form.radius) else None


def spread(form: Form, points: Array, noise_mm: float) -> tuple[float, float]:
    """How uncertain the axis of a cylinder is: sideways [mm] at its point, and in direction [deg].

    One standard deviation, from the covariance of the fit to points (N, 3) that lie off by `noise_mm` each.
    """
    _, slopes = linearised(form, points)
    covariance = np.linalg.pinv(slopes.T @ slopes) * noise_mm**2
    return float(np.sqrt(covariance[:2, :2].trace())), float(
        np.degrees(np.sqrt(covariance[2:4, 2:4].trace()))
    )


def linearised(form: Form, points: Array) -> tuple[Array, Array]:
    """Distances (N,) and their derivatives (N, n): for a sphere by centre and radius; else by two shifts across the
    axis, two turns of it, the radius, and for a cone the slope [rad]."""
    about = points - form.point
    ones = -np.ones((len(points), 1))
    if form.kind == "sphere":
        away = np.linalg.norm(about, axis=1)
        return away - form.radius, np.concatenate([-about / np.maximum(away, 1e-300)[:, None], ones], axis=1)
    across = _across(form.axis)
    along = about @ form.axis
    aside = about @ across.T
    off = np.maximum(np.hypot(*aside.T), 1e-300)
    towards = aside / off[:, None]
    slope = radians(form.slope_deg)
    c, s = cos(slope), sin(slope)
    residual = (off - form.radius) * c - along * s
    turns = -along[:, None] * towards * c - aside * s
    slopes = np.concatenate([-towards * c, turns, c * ones], axis=1)
    if form.kind == "cone":
        by_slope = -(off - form.radius) * s - along * c
        slopes = np.concatenate([slopes, by_slope[:, None]], axis=1)
    return residual, slopes


def stepped(form: Form, step: Array, middle: Array) -> Form | None:
    """The surface after a step, its point back beside the middle of the points; None for one that is none any more."""
    if form.kind == "sphere":
        radius = form.radius + step[3]
        return replace(form, point=form.point + step[:3], radius=float(radius)) if radius > 0 else None
    if not np.abs(step[2:4]).max() < 1.0:
        return None
    across = _across(form.axis)
    axis = form.axis + step[2:4] @ across
    axis /= hypot(*axis.tolist())
    slope_deg = form.slope_deg + (float(np.degrees(step[5])) if form.kind == "cone" else 0.0)
    point, radius = form.point + step[:2] @ across, form.radius + step[4]
    along = float((middle - point) @ axis)
    if not abs(slope_deg) < STEEPEST_DEG:
        return None
    radius += along * tan(radians(slope_deg))
    return Form(form.kind, point + along * axis, axis, float(radius), slope_deg) if radius > 0 else None


def _plane(points: Array) -> Form | None:
    """Through the middle of the points, at right angles to the way they spread least."""
    middle = points.mean(axis=0)
    _, _, rows = np.linalg.svd(points - middle, full_matrices=False)
    return Form("plane", middle, rows[-1]) if len(rows) == 3 else None


def _first_sphere(points: Array) -> Form | None:
    """The algebraic fit: |p|² = 2 p·c + k is linear in the centre c and k."""
    middle = points.mean(axis=0)
    about = points - middle
    rows = np.column_stack([2 * about, np.ones(len(about))])
    (x, y, z, k), *_ = np.linalg.lstsq(rows, np.einsum("ni,ni->n", about, about), rcond=None)
    square = k + x * x + y * y + z * z
    if not square > 0:
        return None
    return Form("sphere", middle + np.array([x, y, z]), np.zeros(3), float(np.sqrt(square)))


def _first_round(kind: Kind, points: Array, normals: Array, weights: Array) -> Form | None:
    """The axis to which the normals are at right angles, or for a cone at one angle; then a circle along it.

    (off)² = (radius + along tan slope)² is linear in the place of the axis across and in three more numbers.
    """
    mean = weights @ normals / weights.sum() if kind == "cone" else np.zeros(3)
    _, vectors = np.linalg.eigh((normals - mean).T * weights @ (normals - mean))
    axis = vectors[:, 0]
    across, middle = _across(axis), points.mean(axis=0)
    about = points - middle
    aside, along = about @ across.T, about @ axis
    columns = [2 * aside, np.ones((len(points), 1))]
    if kind == "cone":
        columns += [along[:, None], along[:, None] ** 2]
    found, *_ = np.linalg.lstsq(
        np.concatenate(columns, axis=1), np.einsum("ni,ni->n", aside, aside), rcond=None
    )
    square = found[2] + found[0] ** 2 + found[1] ** 2
    if not square > 0:
        return None
    radius = float(np.sqrt(square))
    slope = float(np.clip(np.degrees(np.arctan(found[3] / (2 * radius))), -80, 80)) if kind == "cone" else 0.0
    return Form(kind, middle + found[:2] @ across, axis, radius, slope)


def _across(axis: Array) -> Array:
    """Two unit vectors (2, 3) at right angles to an axis and to each other. Of numbers alone, for it is asked often."""
    x, y, z = axis.tolist()
    least = min(abs(x), abs(y), abs(z))
    a, b, c = (0.0, -z, y) if abs(x) == least else (z, 0.0, -x) if abs(y) == least else (-y, x, 0.0)
    size = hypot(a, b, c)
    a, b, c = a / size, b / size, c / size
    return np.array([(a, b, c), (y * c - z * b, z * a - x * c, x * b - y * a)])


def _unit_or_none(vectors: Array) -> Array:
    return np.asarray(vectors / np.maximum(np.linalg.norm(vectors, axis=-1, keepdims=True), 1e-300))
