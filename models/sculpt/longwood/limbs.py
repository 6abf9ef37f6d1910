"""Boughs, twigs and crown as (x, y, z, radius) points, each in the frame of its link."""

from __future__ import annotations

import numpy as np

from sculpt.bark import Path, limb, twigs
from sculpt.loft import Loft
from sculpt.skin import Skin, join

ALONG_Y = (1.0, 0.0, 0.0)  # the side of a limb that runs along y

BOUGH: Path = (
    (0, -24, 4, 46),
    (0, 0, 4, 54),
    (2, 70, -4, 46),
    (8, 150, -24, 39),
    (10, 222, -48, 36),
    (10, 236, -54, 28),
)

FOREARM: Path = (
    (0, -16, 4, 26),
    (0, 0, 0, 36),
    (8, 60, -16, 32),
    (22, 130, -14, 26),
    (30, 186, 0, 23),
    (31, 198, 2, 16),
)

HAND: Path = ((0, -10, 0, 17), (0, 4, 0, 25), (0, 24, 0, 27), (0, 40, 0, 19), (0, 46, 0, 8))

TWIG: Path = ((0, -4, 0, 9), (0, 10, 0, 10), (4, 60, -10, 7.5), (2, 108, -8, 5), (0, 142, 6, 2.2))

CROWN: Path = (
    (0, 0, -26, 44),
    (0, 6, 20, 46),
    (-6, 40, 110, 34),
    (4, 62, 200, 24),
    (-4, 110, 290, 14),
    (4, 140, 350, 6),
)

CROWN_BACK: Path = (
    (0, 0, -30, 46),
    (-6, 0, 20, 50),
    (-46, -8, 120, 37),
    (-62, 10, 230, 26),
    (-112, 0, 330, 15),
    (-130, 14, 400, 6),
)


def bark(path: Path, side: tuple[float, float, float], steps: int, around: int) -> Skin:
    return limb(path, side).skin(steps, around)


def lengths(
    path: Path, side: tuple[float, float, float], count: int, steps: int, around: int
) -> list[np.ndarray]:
    return limb(path, side).lengths(count, steps, around)


def shoots() -> dict[str, list[Path]]:
    return {
        "bough": twigs(BOUGH, ALONG_Y, 4, 120, 0.8),
        "forearm": twigs(FOREARM, ALONG_Y, 4, 84, 2.2),
        "crown": [*twigs(CROWN, (0, 1, 0), 9, 165, 0.4), CROWN],
        "crown_back": [*twigs(CROWN_BACK, (0, 1, 0), 10, 175, 1.7), CROWN_BACK],
    }


def twigs_skin(shoots: list[Path]) -> Skin:
    thin = [
        Loft(tuple((x, y, z, 2 * r, 2 * r) for x, y, z, r in path), (0.6, 0.8, 0.0))
        for path in shoots
        if path[0][3] < 20
    ]
    return join(*[shoot.skin(8, 7) for shoot in thin])
