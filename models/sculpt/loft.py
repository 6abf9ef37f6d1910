"""Lofts: a round section carried along a curve, with its width and height given at a few stations."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from sculpt.skin import Faces, Points, Skin

Relief = Callable[[Points, Points], Points]  # (u, angle) -> factor on the section


@dataclass(frozen=True)
class Loft:
    """A body from station to station. Each station is (x, y, z, width, height) in mm.

    Width lies along `side`, height across it and across the curve. `relief` swells or grooves the
    section: a factor over u (0 at the first station, 1 at the last) and the angle in radians
    (0 along `side`, pi/2 on top).
    """

    stations: tuple[tuple[float, float, float, float, float], ...]
    side: tuple[float, float, float] = (0.0, 1.0, 0.0)
    relief: Relief | None = None

    def surface(self, u: Points, angle: Points) -> Points:
        """Points on the surface; u and angle (...) to (..., 3)."""
        centre, across, upward, half = self._section(u)
        swell = 1.0 if self.relief is None else self.relief(u, angle)[..., None]
        return centre + swell * (
            half[..., :1] * np.cos(angle)[..., None] * across
            + half[..., 1:] * np.sin(angle)[..., None] * upward
        )

    def tangents(self, u: Points, angle: Points) -> tuple[Points, Points, Points]:
        """Unit vectors on the surface: along the loft, around it, and outwards; each (..., 3)."""
        step = 1e-3
        along = self.surface(np.minimum(u + step, 1), angle) - self.surface(np.maximum(u - step, 0), angle)
        around = self.surface(u, angle + step) - self.surface(u, angle - step)
        outward = np.cross(around, along)
        return _unit(along), _unit(np.cross(outward, along)), _unit(outward)

    def skin(self, steps: int = 32, around: int = 24) -> Skin:
        """The closed skin: rings of `around` vertices, `steps` rings, a pole at each end."""
        angle = np.arange(around) * 2 * np.pi / around
        rings = self.surface(*np.meshgrid(_spacing(steps), angle, indexing="ij"))
        poles = self._section(np.array([0.0, 1.0]))[0]
        return Skin(np.vstack([rings.reshape(-1, 3), poles]), _tube_faces(steps, around))

    def lengths(self, count: int, steps: int, around: int) -> list[Points]:
        """The vertices of `skin(steps, around)` in `count` lengths; neighbours share the ring where they meet."""
        vertices = self.skin(steps, around).vertices
        rings, poles = vertices[:-2].reshape(steps, around, 3), vertices[-2:]
        parts = [rings[a : b + 1].reshape(-1, 3) for a, b in _cuts(count, steps)]
        parts[0] = np.vstack([parts[0], poles[:1]])
        parts[-1] = np.vstack([parts[-1], poles[1:]])
        return parts

    def _section(self, u: Points) -> tuple[Points, Points, Points, Points]:
        stations = np.array(self.stations)
        at = spline(stations, u)
        step = 1e-4
        tangent = spline(stations[:, :3], np.minimum(u + step, 1)) - spline(
            stations[:, :3], np.maximum(u - step, 0)
        )
        tangent = _unit(tangent)
        upward = _unit(np.cross(tangent, np.array(self.side)))
        return at[..., :3], np.cross(upward, tangent), upward, np.maximum(at[..., 3:] / 2, 1e-3)


def _spacing(steps: int) -> Points:
    """Where the rings stand: closer towards the ends, where a loft rounds off."""
    return 0.5 - 0.5 * np.cos(np.pi * (np.arange(steps) + 0.35) / (steps - 0.3))


def _cuts(count: int, steps: int) -> list[tuple[int, int]]:
    cuts = np.linspace(0, steps - 1, count + 1).round().astype(int).tolist()
    return list(itertools.pairwise(cuts))


def spline(stations: Points, u: Points) -> Points:
    """Smooth curve through all stations, u in 0..1 by length of chord; (n, c), (...) to (..., c).

    Cubic Hermite. The path (first three columns) takes the tangents of a parabola through each station
    and its neighbours; widths and heights take the harmonic mean of the slopes, or 0 at a turn, so
    that they never swing below the stations (Fritsch and Carlson's monotone cubic).
    """
    chord = np.linalg.norm(np.diff(stations[:, :3], axis=0), axis=1)
    knot = np.concatenate([[0.0], np.cumsum(chord)]) / chord.sum()
    gap = np.diff(knot)[:, None]
    slope = np.diff(stations, axis=0) / gap
    before, after = slope[:-1], slope[1:]
    smooth = (gap[1:] * before + gap[:-1] * after) / (gap[1:] + gap[:-1])
    product = before * after
    monotone = np.where(product > 0, 2 * product / np.where(product > 0, before + after, 1.0), 0.0)
    inner = np.hstack([smooth[:, :3], monotone[:, 3:]])
    tangent = np.vstack([slope[:1], inner, slope[-1:]])
    k = np.clip(np.searchsorted(knot, u, side="right") - 1, 0, len(knot) - 2)
    width = gap[k]
    t = (np.asarray(u) - knot[k])[..., None] / width
    return (
        (1 + 2 * t) * (1 - t) ** 2 * stations[k]
        + t * (1 - t) ** 2 * width * tangent[k]
        + t**2 * (3 - 2 * t) * stations[k + 1]
        + t**2 * (t - 1) * width * tangent[k + 1]
    )


def ball(centre: tuple[float, float, float], radii: tuple[float, float, float], steps: int = 14) -> Skin:
    """An ellipsoid."""
    polar = np.pi * np.arange(1, steps) / steps
    angle = np.arange(2 * steps) * np.pi / steps
    polar, angle = np.meshgrid(polar, angle, indexing="ij")
    rings = np.stack([np.sin(polar) * np.cos(angle), np.sin(polar) * np.sin(angle), -np.cos(polar)], axis=-1)
    poles = np.array([[0.0, 0.0, -1.0], [0.0, 0.0, 1.0]])
    unit = np.vstack([rings.reshape(-1, 3), poles])
    return Skin(unit * np.array(radii) + np.array(centre), _tube_faces(steps - 1, 2 * steps))


def turned(profile: tuple[tuple[float, float], ...], around: int = 48, stretch: float = 1.0) -> Skin:
    """A turned piece: (radius, z) pairs from the bottom up, round the z axis; `stretch` widens it along x."""
    radius, height = np.array(profile).T
    angle = np.arange(around) * 2 * np.pi / around
    rings = np.stack(
        [
            stretch * radius[:, None] * np.cos(angle),
            radius[:, None] * np.sin(angle),
            np.broadcast_to(height[:, None], (len(radius), around)),
        ],
        axis=-1,
    )
    poles = np.array([[0.0, 0.0, height[0]], [0.0, 0.0, height[-1]]])
    return Skin(np.vstack([rings.reshape(-1, 3), poles]), _tube_faces(len(radius), around))


def ring(radius: float, half: float, around: int = 48) -> Skin:
    """A hoop of round section about z, as a closed ring of four-sided section with rounded shoulders."""
    angle = np.arange(around) * 2 * np.pi / around
    section = np.arange(8) * np.pi / 4
    r = radius + half * np.cos(section)
    z = half * np.sin(section)
    rings = np.stack(
        [r[None] * np.cos(angle)[:, None], r[None] * np.sin(angle)[:, None], np.broadcast_to(z, (around, 8))],
        axis=-1,
    )
    index = np.arange(around * 8).reshape(around, 8)
    a, b = index.ravel(), np.roll(index, -1, axis=0).ravel()
    c, d = np.roll(index, -1, axis=1).ravel(), np.roll(np.roll(index, -1, axis=0), -1, axis=1).ravel()
    return Skin(rings.reshape(-1, 3), np.vstack([np.stack([a, b, c], axis=1), np.stack([c, b, d], axis=1)]))


def _tube_faces(steps: int, around: int) -> Faces:
    ring = np.arange(steps * around).reshape(steps, around)
    a, b = ring[:-1].ravel(), ring[1:].ravel()
    c, d = np.roll(ring, -1, axis=1)[:-1].ravel(), np.roll(ring, -1, axis=1)[1:].ravel()
    first, last = steps * around, steps * around + 1
    start = np.stack([np.roll(ring[0], -1), ring[0], np.full(around, first)], axis=1)
    end = np.stack([ring[-1], np.roll(ring[-1], -1), np.full(around, last)], axis=1)
    return np.vstack([np.stack([a, c, b], axis=1), np.stack([b, c, d], axis=1), start, end])


def _unit(vectors: Points) -> Points:
    return vectors / np.maximum(np.linalg.norm(vectors, axis=-1, keepdims=True), 1e-12)
