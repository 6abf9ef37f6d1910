"""Trunk, legs and plumage."""

from __future__ import annotations

import numpy as np

from sculpt.feather import fan, feather, plumage
from sculpt.loft import Loft
from sculpt.skin import Skin, join

TRUNK = Loft(
    (
        (-205, 0, -62, 18, 14),
        (-160, 0, -44, 62, 52),
        (-95, 0, -18, 108, 104),
        (-20, 0, 6, 136, 150),
        (55, 0, 26, 138, 162),
        (105, 0, 44, 108, 128),
        (140, 0, 62, 70, 78),
        (152, 0, 70, 34, 36),
    )
)

UP = np.array([0.0, 0.0, 1.0])


def leg() -> Skin:
    """Tibia, ankle, shank and four toes; the foot stands at z = -300 in the body frame."""
    shank = Loft(
        (
            (-8, 30, -60, 26, 30),
            (-4, 31, -95, 16, 17),
            (6, 33, -150, 11, 11),
            (8, 33, -166, 15, 15),
            (5, 33, -182, 11, 11),
            (0, 34, -240, 10, 10),
            (-2, 34, -286, 11, 11),
            (2, 34, -298, 9, 9),
        ),
        side=(0, 1, 0),
        relief=lambda u, a: 1 + 0.03 * np.sin(64 * np.pi * u) * (u > 0.35),  # scutes
    )
    toes = []
    for heading, reach in ((-6, 78), (26, 70), (-38, 68), (172, 50)):
        c, s = np.cos(np.radians(heading)), np.sin(np.radians(heading))
        toes.append(
            Loft(
                (
                    (0, 34, -294, 9, 9),
                    (0.3 * reach * c, 34 + 0.3 * reach * s, -293, 8, 7.5),
                    (0.62 * reach * c, 34 + 0.62 * reach * s, -296.5, 8, 7),
                    (0.9 * reach * c, 34 + 0.9 * reach * s, -297, 6, 5),
                    (reach * c, 34 + reach * s, -300, 2, 2),
                ),
                side=(-s, c, 0),
            ).skin(12, 10)
        )
    return join(shank.skin(44, 12), *toes)


def thigh() -> Skin:
    thigh = Loft(
        (
            (-18, 26, -20, 30, 40),
            (-16, 30, -46, 50, 66),
            (-10, 31, -84, 34, 42),
            (-5, 31, -116, 19, 21),
            (-4, 31, -124, 10, 10),
        )
    )
    plumes = plumage(thigh, (0.1, 0.86), (0, 2 * np.pi), 6, 9, 34, 16, lift=0.10)
    return join(thigh.skin(16, 16), plumes)


def mantle() -> Skin:
    """The slate feathers of the back, down to where the wings lie."""
    back = plumage(
        TRUNK, (0.93, 0.12), (0.10, np.pi - 0.10), 14, 10, 54, 34, lift=0.05, backward=True, point=0.3
    )
    plumes = [
        feather(
            TRUNK.surface(np.array(0.72 - 0.05 * k), np.array(np.pi / 2 + s * (0.25 + 0.09 * k))) + 2 * UP,
            np.array([-1.0, 0.10 * s, -0.16]),
            UP,
            150 + 14 * np.sin(2.0 * k),
            9,
            droop=0.05,
            point=1.0,
            steps=7,
        )
        for k in range(6)
        for s in (-1, 1)
    ]
    return join(back, *plumes)


def tail() -> Skin:
    spread = np.radians(np.linspace(-20, 20, 9))
    directions = np.stack([-np.cos(spread), np.sin(spread), np.full(9, -0.30)], axis=1)
    roots = np.array([-165.0, 0.0, -44.0]) + np.stack([np.zeros(9), 14 * np.sin(spread), np.zeros(9)], axis=1)
    order = [0, 8, 1, 7, 2, 6, 3, 5, 4]  # the middle feather lies on top
    return fan(
        roots[order],
        directions[order],
        UP,
        np.full(9, 128.0),
        np.full(9, 27.0),
        layer=0.9,
        droop=0.04,
        point=0.2,
    )


def breast() -> Skin:
    """Long loose plumes that hang from the foot of the neck."""
    plumes = []
    for k in range(22):
        angle = -np.pi / 2 + 1.25 * np.sin(2.399963 * k)
        at = np.array(0.97 - 0.011 * k)
        along, _, outward = TRUNK.tangents(at, np.array(angle))
        root = TRUNK.surface(at, np.array(angle)) - outward
        down = -0.75 * along + 0.22 * outward + np.array([0.0, 0.0, -0.7])
        plumes.append(
            feather(root, down, outward, 92 + 26 * np.sin(1.3 * k), 15, droop=0.16, cup=0.2, point=1.0)
        )
    under = plumage(
        TRUNK, (0.95, 0.12), (-np.pi + 0.15, -0.15), 10, 8, 42, 26, lift=0.04, backward=True, point=0.2
    )
    return join(under, *plumes)
