"""The walnut cabinet with its gauge."""

from __future__ import annotations

import numpy as np

from sculpt.loft import Loft, ball, ring, turned
from sculpt.skin import Skin, facing_front, join, shift, turn


def cabinet() -> Skin:
    body = turned(
        (
            (150, 0),
            (166, 0),
            (170, 4),
            (170, 16),
            (165, 22),
            (158, 25),
            (155, 30),
            (158, 40),
            (161, 70),
            (161, 120),
            (157, 150),
            (154, 158),
            (158, 164),
            (166, 167),
            (171, 171),
            (171, 177),
            (166, 181),
            (150, 181.5),
            (120, 180),
        ),
        96,
    )
    staves = [
        shift(turn(_stave(), (0, 0, 1), 360 / 24 * k), (0, 0, 0)) for k in range(24) if k not in (0, 1, 23)
    ]
    return join(body, *staves)


def _stave() -> Skin:
    """A half-round rib on the cabinet wall."""
    return Loft(
        (
            (156.5, 0, 34, 6, 3),
            (160, 0, 50, 12, 6),
            (162, 0, 95, 13, 6),
            (159, 0, 140, 12, 6),
            (155, 0, 154, 5, 3),
        )
    ).skin(10, 10)


def bands() -> Skin:
    hoops = [
        shift(ring(radius, 2.6, 96), (0, 0, z))
        for radius, z in ((171, 10), (156.5, 30), (155.5, 157), (171.5, 174))
    ]
    feet = [
        ball((138 * np.cos(a), 138 * np.sin(a), 2), (20, 20, 9), 8) for a in np.radians([45, 135, 225, 315])
    ]
    return join(*hoops, *[Skin(np.maximum(foot.vertices, [-1e9, -1e9, 0.0]), foot.faces) for foot in feet])


def gauge() -> Skin:
    """The pressure gauge on the cabinet's front: a brass case."""
    case = facing_front(turned(((30, -14), (34, -12), (34, 4), (33, 7)), 48), (161, 0, 96))
    rim = facing_front(ring(31, 3.4, 48), (170, 0, 96))
    return join(case, rim)


def ticks() -> Skin:
    marks = []
    for degrees in range(-120, 121, 30):
        mark = Loft(
            ((0, 0, 19, 1.2, 1.2), (0, 0, 20, 2.2, 1.4), (0, 0, 24, 2.2, 1.4), (0, 0, 25, 1.2, 1.2)),
            side=(1, 0, 0),
        ).skin(5, 6)
        marks.append(shift(turn(mark, (1, 0, 0), -degrees), (171.2, 0, 96)))
    return join(*marks)


def needle() -> Skin:
    """Its joint turns about +x; at 0 it points straight up."""
    blade = Loft(((0, 0, -9, 3, 1.4), (0, 0, -2, 4, 1.6), (0, 0, 10, 3, 1.6), (0, 0, 22, 0.8, 1))).skin(10, 8)
    return join(blade, turn(turned(((3.6, -1), (4, 0), (3.6, 1.6), (2, 2.2)), 20), (0, 1, 0), 90))
