"""Feathers: thin blades with a raised shaft, single, in fans and laid over a loft like tiles."""

from __future__ import annotations

import numpy as np

from sculpt.loft import Loft
from sculpt.skin import Points, Skin, join


def feather(
    root: Points,
    along: Points,
    outward: Points,
    length: float,
    width: float,
    *,
    droop: float = 0.0,
    cup: float = 0.15,
    thick: float = 1.6,
    point: float = 0.5,
    steps: int = 6,
) -> Skin:
    """One feather from `root` along `along`, its upper face towards `outward`.

    `droop` bends the tip away from `outward` by this part of the length, `cup` lowers the two edges
    by this part of the width, `point` sharpens the tip (0 round, 1 pointed).
    """
    along = along / np.linalg.norm(along)
    across = np.cross(outward, along)
    across /= np.linalg.norm(across)
    outward = np.cross(along, across)
    t = (np.arange(steps) + 0.5) / steps
    outline = np.sin(np.pi * np.minimum(t * 0.62 + 0.12, 1)) ** 0.7 * (1 - t ** (6 - 4 * point)) ** 0.55
    half = 0.5 * width * np.maximum(outline, 0.06)
    spine = root + length * t[:, None] * along - (droop * length * t**2)[:, None] * outward
    edge = half[:, None] * across
    hollow = (cup * 2 * half)[:, None] * outward
    shaft = (thick * (1.2 - 0.8 * t))[:, None] * outward
    rings = np.stack(
        [spine + edge - hollow, spine + shaft, spine - edge - hollow, spine - 0.4 * shaft], axis=1
    )
    poles = np.stack([root, root + length * along - droop * length * outward])
    return Skin(np.vstack([rings.reshape(-1, 3), poles]), _blade_faces(steps))


def fan(
    roots: Points,
    directions: Points,
    outward: Points,
    lengths: Points,
    widths: Points,
    *,
    layer: float = 0.8,
    droop: float = 0.0,
    point: float = 0.5,
    steps: int = 7,
) -> Skin:
    """Feathers side by side, each lying `layer` mm above the one before."""
    return join(
        *[
            feather(
                root + k * layer * outward,
                direction,
                outward,
                length,
                width,
                droop=droop,
                point=point,
                steps=steps,
            )
            for k, (root, direction, length, width) in enumerate(
                zip(roots, directions, lengths, widths, strict=True)
            )
        ]
    )


def plumage(
    loft: Loft,
    u: tuple[float, float],
    angle: tuple[float, float],
    rows: int,
    columns: int,
    length: float,
    width: float,
    *,
    lift: float = 0.10,
    sink: float = 1.0,
    backward: bool = False,
    point: float = 0.2,
) -> Skin:
    """Contour feathers on a loft, in staggered rows like tiles, each tip over the next row's roots.

    Rows run from u[0] to u[1], columns over the angles (radians); the feathers point to greater u,
    or to smaller u if `backward`. `lift` raises the tips by this part of the length.
    """
    laid = []
    for row, at in enumerate(np.linspace(*u, rows)):
        shift = 0.5 * (row % 2) / columns
        for column in range(columns):
            share = (column + 0.25) / columns + shift
            turn = angle[0] + (angle[1] - angle[0]) * share
            here, there = np.array(at), np.array(turn)
            along, _, outward = loft.tangents(here, there)
            along = -along if backward else along
            root = loft.surface(here, there) - sink * outward
            # No two feathers quite alike: a slow wave over row and column, not chance.
            size = 1 + 0.12 * np.sin(2.3 * row + 1.7 * column)
            laid.append(
                feather(
                    root,
                    along + lift * outward,
                    outward,
                    length * size,
                    width,
                    droop=0.6 * lift,
                    cup=0.22,
                    point=point,
                    steps=4,
                )
            )
    return join(*laid)


def _blade_faces(steps: int) -> np.ndarray:
    faces = []
    for k in range(steps - 1):
        for side in range(4):
            a, b = 4 * k + side, 4 * k + (side + 1) % 4
            faces += [(a, b, a + 4), (b, b + 4, a + 4)]
    first, last, end = 4 * steps, 4 * steps + 1, 4 * (steps - 1)
    for side in range(4):
        faces.append(((side + 1) % 4, side, first))
        faces.append((end + side, end + (side + 1) % 4, last))
    return np.array(faces)
