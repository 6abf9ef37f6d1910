"""Neck, head and beak."""

from __future__ import annotations

import numpy as np

from sculpt.feather import feather
from sculpt.loft import Loft, ball
from sculpt.skin import Skin, join

NECK_LOW = Loft(
    (
        (-14, 0, -20, 52, 58),
        (0, 0, -6, 62, 70),
        (28, 0, 36, 54, 60),
        (41, 0, 84, 43, 48),
        (36, 0, 124, 38, 42),
        (25, 0, 152, 37, 39),
        (22, 0, 161, 26, 28),
    )
)

NECK_HIGH = Loft(
    (
        (4, 0, -12, 24, 26),
        (0, 0, 0, 36, 38),
        (-24, 0, 50, 34, 36),
        (-30, 0, 95, 32, 34),
        (-20, 0, 138, 32, 34),
        (0, 0, 166, 33, 36),
        (6, 0, 174, 22, 24),
    )
)

NAPE = Loft(
    ((-6, 0, -9, 22, 24), (0, 0, 0, 33, 36), (8, 0, 14, 35, 38), (17, 0, 27, 34, 34), (22, 0, 33, 18, 18))
)

SKULL = Loft(
    (
        (-15, 0, 13, 14, 16),
        (-8, 0, 14, 32, 34),
        (14, 0, 19, 43, 46),
        (36, 0, 19, 42, 42),
        (58, 0, 16, 31, 30),
        (76, 0, 13, 22, 21),
        (84, 0, 12, 12, 12),
    )
)

BEAK = Loft(
    (
        (52, 0, 15, 20, 12),
        (62, 0, 17, 24, 19),
        (100, 0, 15, 16.5, 14.5),
        (150, 0, 11, 10.5, 10),
        (200, 0, 7.5, 5, 5.5),
        (214, 0, 6.2, 1.2, 1.5),
    ),
    relief=lambda u, angle: 1 + 0.10 * np.maximum(np.sin(angle), 0) ** 6 * (1 - u),  # the keel on top
)

JAW = Loft(
    (
        (2, 0, 0, 14, 8),
        (14, 0, -2, 22, 12),
        (54, 0, -2.5, 15.5, 10),
        (104, 0, -3.5, 10, 7),
        (156, 0, -4, 4.5, 4),
        (167, 0, -4, 1.2, 1.4),
    )
)


def streaks(loft: Loft, start: float, end: float, rows: int, length: float) -> Skin:
    """Two broken lines of dark feathers down the throat."""
    laid = []
    for k, at in enumerate(np.linspace(end, start, rows)):
        for angle in (-np.pi / 2 - 0.34, -np.pi / 2 + 0.34):
            u, a = np.array(at), np.array(angle + 0.05 * np.sin(4.0 * k))
            along, _, outward = loft.tangents(u, a)
            laid.append(
                feather(
                    loft.surface(u, a) - 0.6 * outward,
                    -along + 0.07 * outward,
                    outward,
                    length,
                    5.5,
                    droop=0.05,
                    cup=0.1,
                    thick=1.0,
                    point=0.9,
                    steps=4,
                )
            )
    return join(*laid)


def crest() -> Skin:
    """The black brow, and the two long plumes it runs out into."""
    laid = []
    for s in (-1.0, 1.0):
        for k, (u, angle, length) in enumerate(
            ((0.66, 0.86, 30), (0.54, 0.92, 34), (0.42, 0.98, 36), (0.30, 1.05, 36))
        ):
            at, turned_to = np.array(u), np.array(np.pi / 2 - s * (np.pi / 2 - angle))
            along, _, outward = SKULL.tangents(at, turned_to)
            laid.append(
                feather(
                    SKULL.surface(at, turned_to) - outward,
                    -along + 0.05 * outward,
                    outward,
                    length,
                    17 - k,
                    droop=0.08,
                    cup=0.25,
                    point=0.5,
                    steps=5,
                )
            )
        laid.append(
            feather(
                np.array([2, 9 * s, 34.0]),
                np.array([-1.0, 0.10 * s, -0.02]),
                np.array([0.0, 0.3 * s, 1.0]),
                128,
                8,
                droop=0.28,
                point=1.0,
                steps=10,
            )
        )
        laid.append(
            feather(
                np.array([0, 12 * s, 31.0]),
                np.array([-1.0, 0.22 * s, -0.12]),
                np.array([0.0, 0.4 * s, 1.0]),
                86,
                8,
                droop=0.30,
                point=1.0,
                steps=8,
            )
        )
    return join(*laid)


def lid() -> Skin:
    """Half a shell over the eye; at 0 it lies behind and above, at 80 degrees it covers the eye."""
    outer = ball((0, 0, 0), (8.6, 7.0, 8.6), 12)
    # Squeeze the front half of the ball flat behind a slanting plane: a closed shell, thick enough to make.
    v = outer.vertices.copy()
    forward = v @ np.array([0.62, 0.0, -0.785])
    v -= np.maximum(forward - 0.4, 0)[:, None] * np.array([0.62, 0.0, -0.785])
    return Skin(v, outer.faces)
