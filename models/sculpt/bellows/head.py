"""Neck boot and head."""

from __future__ import annotations

import numpy as np

from sculpt.loft import Loft, ball, ring, turned
from sculpt.skin import Skin, facing_front, join, mirror, shift, turn

HEAD = Loft(
    (
        (-92, 0, 74, 30, 30),
        (-84, 0, 74, 92, 92),
        (-48, 0, 76, 148, 146),
        (0, 0, 78, 166, 160),
        (44, 0, 76, 150, 142),
        (76, 0, 72, 108, 100),
        (88, 0, 70, 66, 62),
        (90, 0, 70, 20, 20),
    )
)

EYE = (86.0, 33.0, 82.0)


def neck() -> Skin:
    """A ribbed boot over the differential; the frame lies where its two axes cross."""
    profile = [(30.0, -13.0)]
    for k in range(6):
        z = -10 + 7 * k
        profile += [(35.0 - 1.2 * k, z), (28.5 - 0.8 * k, z + 3.5)]
    return turned((*profile, (20.0, 33.0)), 40)


def seams() -> Skin:
    """Brass straps over the head."""
    lengthwise = []
    for degrees in (0, 62, 118):
        a = np.radians(degrees)
        path = []
        for u in np.linspace(0.06, 0.82, 12):
            p = HEAD.surface(np.array(u), np.array(np.pi / 2 - a if degrees else np.pi / 2))
            path.append((*p, 7.0, 3.6))
        side = (0.0, np.cos(a), -np.sin(a)) if degrees else (0.0, 1.0, 0.0)
        lengthwise.append(Loft(tuple(path), side=side).skin(26, 8))
    flipped = [mirror(strap) for strap in lengthwise[1:]]
    return join(*lengthwise, *flipped)


def face() -> Skin:
    """The plate that carries the eyes, proud of the head."""
    return Loft(
        (
            (62, 0, 74, 100, 50),
            (72, 0, 75, 132, 78),
            (82, 0, 75, 130, 76),
            (92, 0, 74, 116, 62),
            (95, 0, 74, 60, 24),
        ),
    ).skin(14, 48)


def mouth() -> Skin:
    """A grille of five bars."""
    bars = [
        Loft(
            (
                (78, -24 + abs(k) * 4, 30 + 5 * k, 3, 3),
                (88 - abs(k), -14, 30 + 5 * k, 4.5, 4),
                (92 - abs(k), 0, 30 + 5 * k, 4.5, 4),
                (88 - abs(k), 14, 30 + 5 * k, 4.5, 4),
                (78, 24 - abs(k) * 4, 30 + 5 * k, 3, 3),
            ),
            side=(0, 0, 1),
        ).skin(14, 8)
        for k in (-1, 0, 1)
    ]
    return join(*[shift(bar, (-6, 0, 6)) for bar in bars])


def key() -> Skin:
    """The winding key on the back of the head."""
    stem = turn(turned(((7, 0), (7, 30), (5, 32)), 20), (0, 1, 0), -90)
    bow = [shift(turn(ring(17, 4.2, 36), (1, 0, 0), 90), (0, 0, z)) for z in (-16.3, 16.3)]
    return join(shift(stem, (-84, 0, 74)), *[shift(turn(wing, (0, 0, 1), 0), (-122, 0, 74)) for wing in bow])


def horn() -> Skin:
    """The listening horn on the side of the head."""
    flare = turned(
        (
            (6, 0),
            (10, 2),
            (9, 14),
            (11, 24),
            (16, 33),
            (25, 40),
            (33, 43.5),
            (34.5, 45),
            (33, 45.5),
            (24, 43),
            (14, 36),
            (6, 30),
        ),
        40,
    )
    return shift(turn(turn(flare, (1, 0, 0), -90), (0, 0, 1), -18), (-12, 78, 84))


def eye() -> Skin:
    return ball(EYE, (17, 19, 19), 16)


def iris() -> Skin:
    disc = turned(((8.5, 0), (8.5, 1.6), (6.5, 2.4), (2, 2.4)), 28)
    return facing_front(disc, (EYE[0] + 15.6, EYE[1], EYE[2]))


def bezel() -> Skin:
    return facing_front(ring(24, 4.2, 44), (EYE[0] + 4, EYE[1], EYE[2]))


def shutter() -> Skin:
    """A half shell round the eye's centre, thick enough to make; at 0 it lies above and behind."""
    whole = ball((0, 0, 0), (21.4, 21.4, 21.4), 18)
    forward = np.array([0.80, 0.0, -0.60])
    vertices = whole.vertices - np.maximum(whole.vertices @ forward - 1.0, 0)[:, None] * forward
    return Skin(vertices, whole.faces)
