"""Ground, stump and the owl in its hollow. World frame, up to the waist at z = 430."""

from __future__ import annotations

import numpy as np

from sculpt.bark import furrowed, limb
from sculpt.feather import feather, plumage
from sculpt.loft import Loft, ball, turned
from sculpt.skin import Skin, facing_front, join, shift

# World frame: the stump, up to the waist at z = 430.
STUMP = furrowed(
    Loft(
        (
            (0, 0, 20, 420, 420),
            (0, 0, 60, 372, 372),
            (-4, 0, 130, 322, 316),
            (-4, 4, 240, 292, 280),
            (2, 2, 350, 282, 268),
            (2, 0, 425, 270, 258),
            (2, 0, 446, 236, 226),
        ),
        relief=lambda u, a: 1 + 0.16 * np.maximum(np.cos(3 * a + 0.4), 0) * np.maximum(1 - 2.2 * u, 0),
    ),
    17,
    0.10,
)


def mound() -> Skin:
    around = 72
    profile = ((430, 0), (436, 4), (428, 14), (396, 28), (330, 40), (250, 52), (160, 60))
    skin = turned(profile, around)
    x, y, z = skin.vertices.T
    wave = 1 + 0.03 * np.sin(5 * np.arctan2(y, x)) + 0.02 * np.sin(11 * np.arctan2(y, x) + 1)
    return Skin(np.stack([x * wave, y * wave, z], axis=1), skin.faces)


def litter() -> Skin:
    """Fallen leaves."""
    leaves = []
    for k in range(90):
        angle, radius = 2.399963 * k, 215 + 195 * np.sqrt((k + 0.5) / 90)
        height = np.interp(radius, [160, 250, 330, 396, 428], [60, 52, 40, 28, 14]) + 1.5
        at = np.array([radius * np.cos(angle), radius * np.sin(angle), height])
        along = np.array([np.cos(5.1 * k), np.sin(5.1 * k), 0.06])
        outward = np.array([0.2 * np.cos(k), 0.2 * np.sin(k), 1.0])
        leaves.append(
            feather(
                at,
                along,
                outward,
                42 + 8 * np.sin(2.0 * k),
                22,
                droop=0.12,
                cup=-0.1,
                thick=1.0,
                point=0.7,
                steps=4,
            )
        )
    return join(*leaves)


def roots() -> Skin:
    roots = []
    for k, (degrees, reach) in enumerate(
        ((-24, 330), (28, 300), (78, 340), (128, 290), (182, 330), (232, 300), (284, 340))
    ):
        a = np.radians(degrees)
        c, s = np.cos(a), np.sin(a)
        bend = 0.35 * (-1) ** k
        path = []
        for t, z, r in (
            (0.30, 150, 38),
            (0.44, 96, 50),
            (0.62, 56, 40),
            (0.84, 40, 25),
            (1.06, 20, 13),
            (1.16, 6, 5),
        ):
            swing = bend * max(t - 0.5, 0) ** 2
            path.append((t * reach * (c - swing * s), t * reach * (s + swing * c), z, r))
        roots.append(limb(tuple(path), (-s, c, 0.0), 7, 0.12).skin(22, 18))
    return join(*roots)


def moss() -> Skin:
    """Moss cushions on the roots and the weather side of the stump."""
    tufts = [
        plumage(STUMP, (0.30, 0.74), (2.2, 3.7), 7, 8, 30, 24, lift=0.10, sink=2.0, point=0.1),
        plumage(STUMP, (0.10, 0.36), (4.4, 5.6), 5, 7, 28, 22, lift=0.10, sink=2.0, point=0.1),
    ]
    cushions = [
        ball((r * np.cos(a), r * np.sin(a), z), (s, 0.9 * s, 0.45 * s), 10)
        for a, r, z, s in (
            (0.9, 268, 50, 34),
            (1.2, 312, 42, 24),
            (3.4, 300, 44, 36),
            (4.3, 280, 48, 30),
            (-0.9, 300, 42, 26),
            (5.9, 352, 34, 18),
        )
    ]
    return join(*tufts, *cushions)


def mushrooms() -> tuple[Skin, Skin]:
    caps, stems = [], []
    for x, y, height, wide in (
        (250, 92, 64, 26),
        (276, 120, 46, 20),
        (236, 128, 38, 15),
        (262, -150, 50, 21),
        (286, -172, 36, 15),
    ):
        ground = float(np.interp(np.hypot(x, y), [160, 250, 330, 396], [60, 52, 40, 28])) - 4
        cap = turned(
            (
                (0.3 * wide, -0.25 * wide),
                (0.95 * wide, -0.28 * wide),
                (wide, -0.12 * wide),
                (0.86 * wide, 0.25 * wide),
                (0.55 * wide, 0.5 * wide),
                (0.2 * wide, 0.6 * wide),
            ),
            28,
        )
        caps.append(shift(cap, (x, y, ground + height)))
        stems.append(
            shift(
                turned(((0.26 * wide, 0), (0.2 * wide, 0.5 * height), (0.24 * wide, height)), 14),
                (x, y, ground),
            )
        )
    return join(*caps), join(*stems)


def hollow() -> Skin:
    rim = furrowed(
        Loft(
            (
                (-30, 0, -56, 20, 14),
                (-6, 0, -52, 40, 26),
                (2, 34, -24, 24, 24),
                (2, 44, 14, 24, 24),
                (-2, 26, 48, 24, 22),
                (-6, 0, 58, 24, 22),
                (-2, -26, 48, 24, 22),
                (2, -44, 14, 24, 24),
                (2, -34, -24, 24, 24),
                (-4, -6, -50, 30, 20),
            ),
            side=(1, 0, 0),
        ),
        5,
        0.05,
    )
    return rim.skin(48, 14)


def owl() -> Skin:
    """The joint slides it along x; at 0 it is half out."""
    body = Loft(
        (
            (-34, 0, -34, 30, 40),
            (-30, 0, -26, 44, 50),
            (-14, 0, -8, 62, 72),
            (0, 0, 8, 60, 66),
            (10, 0, 18, 44, 48),
            (14, 0, 21, 16, 18),
        ),
        side=(0, 1, 0),
    )
    tufts = [
        feather(
            np.array([-6.0, 20 * s, 36.0]),
            np.array([0.15, 0.45 * s, 1.0]),
            np.array([1.0, 0.0, 0.0]),
            24,
            11,
            point=0.9,
            steps=5,
        )
        for s in (-1, 1)
    ]
    feathers = plumage(body, (0.34, 0.62), (-np.pi, 0.0), 4, 9, 19, 13, lift=0.10, backward=True)
    return join(body.skin(20, 24), feathers, *tufts)


def owl_face() -> Skin:
    discs = [
        facing_front(turned(((16, 0), (16.5, 2), (14, 4), (5, 3)), 28), (9, 14.5 * s, 18)) for s in (-1, 1)
    ]
    return join(*discs)


def owl_eyes() -> Skin:
    eyes = [ball((13, 14 * s, 18), (4.5, 7, 7), 8) for s in (-1, 1)]
    beak = Loft(((12, 0, 16, 6, 4), (18, 0, 11, 8, 7), (20, 0, 3, 4, 4), (18, 0, -2, 1, 1))).skin(10, 8)
    return join(*eyes, beak)
