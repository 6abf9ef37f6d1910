"""The upper trunk and its face, in a frame at the waist."""

from __future__ import annotations

import numpy as np

from sculpt.bark import furrowed, limb
from sculpt.feather import feather, plumage
from sculpt.loft import Loft, ball
from sculpt.longwood.limbs import ALONG_Y
from sculpt.skin import Skin, join, mirror, shift, turn

# The upper trunk, its frame at the waist.
TRUNK = furrowed(
    Loft(
        (
            (0, 0, -36, 232, 222),
            (0, 0, -14, 262, 250),
            (0, 0, 60, 262, 250),
            (-4, 0, 170, 262, 246),
            (-8, 0, 290, 284, 256),
            (-10, 0, 400, 306, 262),
            (-12, 0, 480, 316, 250),
            (-16, 0, 560, 250, 220),
            (-20, 0, 612, 172, 164),
            (-22, 0, 636, 90, 84),
        )
    ),
    17,
    0.10,
)

NOSE = furrowed(
    Loft(
        (
            (-18, 0, 52, 26, 18),
            (-8, 0, 44, 34, 30),
            (14, 0, 14, 44, 42),
            (30, 0, -14, 58, 46),
            (26, 0, -34, 50, 34),
            (14, 0, -42, 20, 14),
        )
    ),
    7,
    0.07,
)

JAW = furrowed(
    Loft(
        (
            (14, 0, -24, 132, 26),
            (40, 0, -30, 172, 52),
            (64, 0, -44, 164, 64),
            (82, 0, -60, 120, 62),
            (92, 0, -70, 64, 38),
            (95, 0, -73, 18, 12),
        )
    ),
    11,
    0.05,
)

EYES = (110.0, 57.0, 362.0)


def knots() -> Skin:
    """Burls on the trunk, and the stubs that the boughs grow from."""
    burls = [
        furrowed(
            Loft(
                ((-30, 0, 0, 30, 30), (-12, 0, 0, 66, 62), (8, 0, 0, 60, 56), (20, 0, 0, 30, 28)),
                side=(0, 1, 0),
            ),
            7,
            0.06,
        ).skin(14, 20)
    ]
    placed = [
        shift(
            turn(burls[0], (0, 0, 1), degrees),
            (114 * np.cos(np.radians(degrees)), 122 * np.sin(np.radians(degrees)), z),
        )
        for degrees, z in ((58, 120), (-70, 176), (150, 240), (-140, 110))
    ]
    shoulders = [
        limb(
            ((-6, 70, 440, 60), (-6, 100, 444, 74), (-4, 128, 446, 66), (-2, 146, 447, 40)), ALONG_Y, 9, 0.08
        ).skin(16, 26)
    ]
    stubs = [
        limb(((0, 40 * s, 560, 40), (-2, 62 * s, 588, 52), (-2, 72 * s, 606, 40)), (1, 0, 0), 7, 0.08).skin(
            12, 20
        )
        for s in (-1, 1)
    ]
    return join(*placed, shoulders[0], mirror(shoulders[0]), *stubs)


def plates() -> Skin:
    """Shaggy bark: long plates in staggered rows, none over the face."""
    ring = (-np.pi / 2, 3 * np.pi / 2)
    behind = (-np.pi / 2 + 0.85, 3 * np.pi / 2 - 0.85)
    return join(
        shag(TRUNK, (0.03, 0.20), ring, 3, 22, 84),
        shag(TRUNK, (0.27, 0.62), behind, 5, 16, 88),
        shag(TRUNK, (0.70, 0.90), ring, 3, 20, 76),
    )


def shag(
    loft: Loft, u: tuple[float, float], angle: tuple[float, float], rows: int, columns: int, length: float
) -> Skin:
    return plumage(loft, u, angle, rows, columns, length, 23, lift=0.05, sink=3.0, backward=True, point=0.35)


def cheeks() -> Skin:
    """The bulges over the corners of the mouth."""
    cheek = furrowed(
        Loft(
            ((80, 40, 304, 30, 24), (98, 54, 294, 58, 50), (102, 70, 282, 52, 44), (86, 92, 268, 22, 20)),
            ALONG_Y,
        ),
        7,
        0.07,
    )
    return join(cheek.skin(14, 18), mirror(cheek.skin(14, 18)))


def sockets() -> Skin:
    """The dark hollows that the eyes sit in."""
    x, y, z = EYES
    return join(ball((x - 18, y, z), (31, 43, 40), 14), ball((x - 18, -y, z), (31, 43, 40), 14))


def lid() -> Skin:
    """A half shell of bark over the eye; at 0 it lies above and behind."""
    whole = ball((0, 0, 0), (31.0, 31.0, 31.0), 18)
    forward = np.array([0.80, 0.0, -0.60])
    vertices = whole.vertices - np.maximum(whole.vertices @ forward - 1.0, 0)[:, None] * forward
    return Skin(vertices, whole.faces)


def brow() -> Skin:
    """Frame: the pivot at the inner end; the brow runs out along y."""
    return limb(
        ((4, -20, -4, 8), (10, -10, 0, 15), (12, 20, 8, 18), (4, 52, 4, 15), (-10, 74, -10, 8)),
        ALONG_Y,
        5,
        0.14,
    ).skin(24, 16)


def brow_moss() -> Skin:
    tufts = []
    for k in range(26):
        t = k / 25
        root = np.array([16 - 16 * t**3, -10 + 78 * t, 4 + 9 * np.sin(2.6 * t) - 8 * t])
        along = np.array([0.55 + 0.2 * np.sin(3.0 * k), 0.35 + 0.5 * t, -0.55 + 0.25 * np.sin(5.0 * k)])
        tufts.append(
            feather(
                root,
                along,
                np.array([0.8, 0.0, 0.6]),
                24 + 7 * np.sin(2.0 * k),
                8,
                droop=0.3,
                point=0.9,
                steps=5,
            )
        )
    return join(*tufts)


def moustache() -> Skin:
    tufts = []
    for s in (-1, 1):
        for k in range(20):
            t = k / 19
            u, angle = np.array(0.462 - 0.012 * t), np.array(-np.pi / 2 + s * (0.05 + 0.62 * t))
            _, _, outward = TRUNK.tangents(u, angle)
            root = TRUNK.surface(u, angle) + 3 * outward
            along = 0.45 * outward + np.array([0.0, s * (0.5 + 0.5 * t), -0.9 + 0.35 * t])
            tufts.append(
                feather(
                    root,
                    along,
                    outward + np.array([0, 0, 0.6]),
                    62 + 12 * np.sin(2.3 * k),
                    17,
                    droop=0.30,
                    point=1.0,
                    steps=6,
                )
            )
    return join(*tufts)


def beard() -> Skin:
    """Hangs from the underside of the chin, longest in the middle; its frame is the hinge under the chin."""
    tufts = []
    for k in range(54):
        across = ((k * 0.618034) % 1) * 2 - 1
        u, angle = np.array(0.70 + 0.26 * (k % 5) / 4), np.array(-np.pi / 2 + 1.25 * across)
        _, _, outward = JAW.tangents(u, angle)
        root = JAW.surface(u, angle) - 3 * outward + np.array([6.0 + 16.0 * (1 - abs(across)), 0.0, 2.0])
        along = np.array([0.10 + 0.14 * (k % 5) / 4, 0.15 * across, -1.0])
        length = (150 - 75 * abs(across)) * (0.85 + 0.15 * np.sin(2.0 * k))
        tufts.append(
            feather(
                root, along, np.array([1.0, 0.5 * across, 0.2]), length, 17, droop=0.06, point=1.0, steps=7
            )
        )
    return shift(join(*tufts), (-84, 0, 76))


def ivy() -> Skin:
    """A strand of ivy that climbs round the trunk."""
    leaves = []
    for k in range(54):
        u, angle = np.array(0.10 + 0.0148 * k), np.array(5.5 + 0.068 * k)
        along, around, outward = TRUNK.tangents(u, angle)
        root = TRUNK.surface(u, angle)
        heading = 0.6 * along + (1 if k % 2 else -1) * around + 0.12 * outward
        leaves.append(
            feather(
                root, heading, outward, 36 + 6 * np.sin(1.9 * k), 25, droop=0.15, cup=0.1, point=0.7, steps=4
            )
        )
    return join(*leaves)
