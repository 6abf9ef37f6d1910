"""The dome and the arms that hover over the cabinet's rim, in the dome's frame."""

from __future__ import annotations

import numpy as np

from sculpt.loft import Loft, ball, ring, turned
from sculpt.skin import Skin, join, shift, turn

# The arm hangs from the shoulder and hovers over the rim of the cabinet. Frame: the dome's.
UPPER_ARM = Loft(
    (
        (0, 112, 34, 26, 26),
        (0, 132, 26, 40, 40),
        (4, 152, 2, 34, 34),
        (8, 168, -32, 28, 28),
        (10, 172, -44, 20, 20),
    )
)

FOREARM = Loft(
    (
        (4, 170, -34, 22, 22),
        (12, 172, -42, 34, 32),
        (44, 164, -57, 30, 27),
        (80, 146, -66, 24, 21),
        (88, 142, -68, 16, 14),
    )
)

HAND = Loft(
    (
        (82, 145, -67, 16, 14),
        (92, 139, -68, 30, 17),
        (110, 126, -69, 36, 18),
        (130, 111, -73, 26, 13),
        (138, 105, -76, 8, 6),
    ),
    side=(0.6, 0.8, 0.0),
)


def dome() -> Skin:
    """The shoulders; the frame lies at the upper end of the bellows."""
    return turned(
        (
            (96, 0),
            (116, 0),
            (121, 3),
            (122, 10),
            (120, 24),
            (113, 46),
            (100, 66),
            (82, 82),
            (64, 92),
            (50, 97),
            (44, 101),
            (40, 104),
        ),
        72,
    )


def collar() -> Skin:
    rivets = [
        ball((121.5 * np.cos(a), 121.5 * np.sin(a), 9), (3.2, 3.2, 3.2), 6)
        for a in np.arange(24) * np.pi / 12
    ]
    caps = [ball((0, s * 118, 30), (24, 16, 24), 12) for s in (-1, 1)]
    return join(shift(ring(120.5, 3.4, 72), (0, 0, 1)), shift(ring(46, 5, 48), (0, 0, 101)), *rivets, *caps)


def medal() -> Skin:
    """A speaking rose on the breast: petals around a boss."""
    petals = []
    for k in range(8):
        petal = Loft(((0, 0, 3, 3, 3), (0, 0, 7, 7, 4), (0, 0, 14, 8, 4), (0, 0, 18, 2, 2))).skin(8, 8)
        petals.append(turn(petal, (1, 0, 0), 45.0 * k))
    rose = join(ball((1, 0, 0), (5, 5.5, 5.5), 8), *petals)
    return shift(turn(rose, (0, 1, 0), -28), (113, 0, 50))


def cuffs() -> Skin:
    elbow = ball((9, 171, -38), (21, 20, 20), 12)
    wrist = shift(turn(turn(ring(11.5, 3.6, 28), (0, 1, 0), 72), (0, 0, 1), -26), (82, 145, -67))
    return join(elbow, wrist)


def hand() -> Skin:
    thumb = Loft(
        ((94, 128, -67, 10, 9), (104, 112, -65, 11, 10), (114, 106, -67, 10, 9), (120, 104, -70, 4, 4)),
        side=(0, 0, 1),
    )
    return join(HAND.skin(18, 16), thumb.skin(12, 10))
