"""Bark, limbs and leaves."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from sculpt.feather import feather
from sculpt.loft import Loft, spline
from sculpt.skin import Points, Skin, join

Path = tuple[tuple[float, float, float, float], ...]  # (x, y, z, radius)


def furrowed(loft: Loft, ridges: int, depth: float, twist: float = 0.8) -> Loft:
    """The loft with ridged bark: furrows that wander, split and wind round the trunk."""

    def relief(u: Points, angle: Points) -> Points:
        wander = angle + twist * u + 0.20 * np.sin(9 * u + 2 * angle) + 0.07 * np.sin(23 * u + 5 * angle)
        coarse = np.abs(np.sin(ridges / 2 * wander)) ** 0.4
        fine = np.sin(ridges * 1.5 * wander + 31 * u + 3 * np.sin(3 * angle))
        swell = 0.5 * np.sin(3 * angle + 5 * u) + 0.4 * np.sin(2 * angle - 8 * u)
        base = 1.0 if loft.relief is None else loft.relief(u, angle)
        return base + depth * (coarse - 0.7 + 0.16 * fine + 0.5 * swell)

    return replace(loft, relief=relief)


def limb(path: Path, side: tuple[float, float, float], ridges: int = 7, depth: float = 0.10) -> Loft:
    """A branch of round section along (x, y, z, radius) points."""
    stations = tuple((x, y, z, 2 * r, 2 * r) for x, y, z, r in path)
    return furrowed(Loft(stations, side), ridges, depth, twist=2.0)


def twigs(path: Path, side: tuple[float, float, float], count: int, length: float, seed: float) -> list[Path]:
    """Thin side shoots along the outer part of a limb, turned by the golden angle one from the next."""
    stations = np.array(path)
    shoots = []
    for k in range(count):
        u = 0.35 + 0.6 * (k + 0.5) / count
        here, ahead = spline(stations, np.array(u)), spline(stations, np.array(min(u + 0.02, 1.0)))
        along = (ahead - here)[:3] / max(np.linalg.norm((ahead - here)[:3]), 1e-9)
        across = np.cross(along, np.array(side))
        across /= np.linalg.norm(across)
        angle = 2.399963 * k + seed
        away = np.cos(angle) * across + np.sin(angle) * np.cross(along, across)
        reach = length * (1 - 0.35 * k / count) * (1 + 0.2 * np.sin(3.0 * k + seed))
        heading = 0.75 * along + 0.8 * away + np.array([0.0, 0.0, 0.15])
        radius = min(0.55 * here[3], 0.045 * length + 2)
        points = [
            here[:3] + t * reach * heading + t * t * reach * np.array([0.0, 0.0, 0.18]) for t in (0, 0.5, 1)
        ]
        shoots.append(
            tuple((*p, r) for p, r in zip(points, (radius, 0.6 * radius, 0.25 * radius), strict=True))
        )
    return shoots


def foliage(
    shoots: list[Path], per_shoot: int, length: float, seed: float, share: tuple[int, int] = (0, 1)
) -> Skin:
    """Leaves on the shoots. With `share` (i, n) only every n-th leaf from the i-th, to colour them apart."""
    leaves = []
    number = 0
    for s, shoot in enumerate(shoots):
        stations = np.array(shoot)
        for k in range(per_shoot):
            number += 1
            if number % share[1] != share[0]:
                continue
            root = spline(stations, np.array(0.25 + 0.75 * (k + 1) / per_shoot))[:3]
            along = stations[-1, :3] - stations[0, :3]
            along = along / np.linalg.norm(along)
            angle = 2.399963 * number + seed
            away = np.array([np.cos(angle), np.sin(angle), 0.25 * np.sin(2.0 * angle)])
            outward = np.array([0.3 * np.cos(angle + 1), 0.3 * np.sin(angle + 1), 1.0])
            size = length * (1 + 0.22 * np.sin(1.7 * number + s))
            leaves.append(
                feather(
                    root,
                    0.5 * along + away,
                    outward,
                    size,
                    0.52 * size,
                    droop=0.22,
                    cup=0.16,
                    thick=0.9,
                    point=0.75,
                    steps=4,
                )
            )
    return join(*leaves)
