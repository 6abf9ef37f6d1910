"""The skins of the tree figure. Every part in the frame of its link, mm; the left side is y > 0."""

from __future__ import annotations

import numpy as np
from posekit.clearance.pieces import Pieces

from sculpt.bark import Path, foliage, furrowed, limb, twigs
from sculpt.cover import cover
from sculpt.feather import feather, plumage
from sculpt.loft import Loft, ball, turned
from sculpt.skin import Skin, join, mirror, shift, turn

ALONG_Y = (1.0, 0.0, 0.0)  # the side of a limb that runs along y

# World frame: the stump, up to the waist at z = 430.
STUMP = furrowed(
    Loft(
        ((0, 0, 20, 420, 420), (0, 0, 60, 372, 372), (-4, 0, 130, 322, 316), (-4, 4, 240, 292, 280), (2, 2, 350, 282, 268),
         (2, 0, 425, 270, 258), (2, 0, 446, 236, 226)),
        relief=lambda u, a: 1 + 0.16 * np.maximum(np.cos(3 * a + 0.4), 0) * np.maximum(1 - 2.2 * u, 0),
    ),
    17, 0.10,
)  # fmt: skip

# The upper trunk, its frame at the waist.
TRUNK = furrowed(
    Loft(
        ((0, 0, -36, 232, 222), (0, 0, -14, 262, 250), (0, 0, 60, 262, 250), (-4, 0, 170, 262, 246), (-8, 0, 290, 284, 256),
         (-10, 0, 400, 306, 262), (-12, 0, 480, 316, 250), (-16, 0, 560, 250, 220), (-20, 0, 612, 172, 164), (-22, 0, 636, 90, 84))
    ),
    17, 0.10,
)  # fmt: skip

BOUGH: Path = ((0, -24, 4, 46), (0, 0, 4, 54), (2, 70, -4, 46), (8, 150, -24, 39), (10, 222, -48, 36), (10, 236, -54, 28))
FOREARM: Path = ((0, -16, 4, 26), (0, 0, 0, 36), (8, 60, -16, 32), (22, 130, -14, 26), (30, 186, 0, 23), (31, 198, 2, 16))
HAND: Path = ((0, -10, 0, 17), (0, 4, 0, 25), (0, 24, 0, 27), (0, 40, 0, 19), (0, 46, 0, 8))
TWIG: Path = ((0, -4, 0, 9), (0, 10, 0, 10), (4, 60, -10, 7.5), (2, 108, -8, 5), (0, 142, 6, 2.2))
CROWN: Path = ((0, 0, -26, 44), (0, 6, 20, 46), (-6, 40, 110, 34), (4, 62, 200, 24), (-4, 110, 290, 14), (4, 140, 350, 6))
CROWN_BACK: Path = ((0, 0, -30, 46), (-6, 0, 20, 50), (-46, -8, 120, 37), (-62, 10, 230, 26), (-112, 0, 330, 15), (-130, 14, 400, 6))

NOSE = furrowed(
    Loft(((-18, 0, 52, 26, 18), (-8, 0, 44, 34, 30), (14, 0, 14, 44, 42), (30, 0, -14, 58, 46), (26, 0, -34, 50, 34), (14, 0, -42, 20, 14))),
    7, 0.07,
)  # fmt: skip
JAW = furrowed(
    Loft(
        ((14, 0, -24, 132, 26), (40, 0, -30, 172, 52), (64, 0, -44, 164, 64), (82, 0, -60, 120, 62), (92, 0, -70, 64, 38), (95, 0, -73, 18, 12))
    ),
    11, 0.05,
)  # fmt: skip
EYES = (110.0, 57.0, 362.0)


def skins() -> dict[str, Skin]:
    """All skins by file name."""
    shoots = _shoots()
    left = {
        "bough_left": _bark(BOUGH, ALONG_Y, 30, 24),
        "bough_twigs_left": _twigs_skin(shoots["bough"]),
        "bough_leaves_left": foliage(shoots["bough"], 7, 44, 0.3),
        "forearm_left": _bark(FOREARM, ALONG_Y, 28, 20),
        "forearm_leaves_left": join(_twigs_skin(shoots["forearm"]), foliage(shoots["forearm"], 6, 38, 1.1)),
        "hand_left": _bark(HAND, ALONG_Y, 16, 18),
        "twig": _bark(TWIG, ALONG_Y, 18, 10),
        "twig_leaves": foliage([TWIG, *twigs(TWIG, ALONG_Y, 3, 40, 0.6)], 4, 34, 2.0),
        "crown_left": join(_bark(CROWN, (0, 1, 0), 30, 20), _twigs_skin(shoots["crown"])),
        "crown_green_left": foliage(shoots["crown"], 13, 70, 0.0, (0, 2)),
        "crown_gold_left": foliage(shoots["crown"], 13, 70, 0.0, (1, 2)),
        "brow_left": _brow(),
        "brow_moss_left": _brow_moss(),
        "lid_left": _lid(),
    }
    right = {name.replace("left", "right"): mirror(skin) for name, skin in left.items() if "left" in name}
    return {
        "mound": _mound(),
        "litter": _litter(),
        "stump": STUMP.skin(40, 84),
        "roots": _roots(),
        "moss": _moss(),
        "caps": _mushrooms()[0],
        "stems": _mushrooms()[1],
        "hollow": _hollow(),
        "owl": _owl(),
        "owl_face": _owl_face(),
        "owl_eyes": _owl_eyes(),
        "trunk": TRUNK.skin(50, 84),
        "plates": _plates(),
        "stump_plates": _shag(STUMP, (0.30, 0.97), (0.0, 2 * np.pi), 5, 24, 92),
        "cheeks": _cheeks(),
        "knots": _knots(),
        "sockets": _sockets(),
        "ivy": _ivy(),
        "moustache": _moustache(),
        "nose": NOSE.skin(24, 26),
        "jaw": JAW.skin(28, 36),
        "beard": _beard(),
        "mouth": ball((78, 0, 226), (34, 72, 34), 14),
        "eye": ball((0, 0, 0), (27, 27, 27), 16),
        "iris": _front(turned(((14, 0), (14, 2), (11, 4), (3, 4.4)), 30), (23.5, 0, 0)),
        "pupil": _front(turned(((6.5, 0), (6.5, 2), (4, 2.8), (1, 2.8)), 24), (26.4, 0, 0)),
        "crown_back": join(_bark(CROWN_BACK, (0, 1, 0), 32, 20), _twigs_skin(shoots["crown_back"])),
        "crown_green_back": foliage(shoots["crown_back"], 13, 72, 0.7, (0, 2)),
        "crown_gold_back": foliage(shoots["crown_back"], 13, 72, 0.7, (1, 2)),
        **left,
        **right,
    }


def pieces() -> dict[str, Pieces]:
    """Convex pieces of what could strike, by the skin they cover. Leaves, moss and thin shoots are soft."""
    left = {
        "bough_left": cover(*_lengths(BOUGH, ALONG_Y, 2, 30, 24), corners=40),
        "forearm_left": cover(*_lengths(FOREARM, ALONG_Y, 2, 28, 20), corners=36),
        "hand_left": cover(*_lengths(HAND, ALONG_Y, 1, 16, 18), corners=36),
        "crown_left": cover(*_lengths(CROWN, (0, 1, 0), 3, 30, 20), corners=32),
    }
    right = {
        name.replace("left", "right"): Pieces(tuple(hull * [1, -1, 1] for hull in part.hulls), part.skin_mm)
        for name, part in left.items()
    }
    return {
        "stump": cover(*STUMP.lengths(3, 40, 84), corners=64),
        "mound": cover(_mound().vertices, corners=80),
        "trunk": cover(*TRUNK.lengths(4, 50, 84), corners=64),
        "nose": cover(NOSE.skin(24, 26).vertices, corners=40),
        "jaw": cover(JAW.skin(28, 36).vertices, corners=48),
        "owl": cover(_owl().vertices, corners=48),
        "twig": cover(*_lengths(TWIG, ALONG_Y, 2, 18, 10), corners=24),
        "crown_back": cover(*_lengths(CROWN_BACK, (0, 1, 0), 3, 32, 20), corners=32),
        **left,
        **right,
    }


def _bark(path: Path, side: tuple[float, float, float], steps: int, around: int) -> Skin:
    return limb(path, side).skin(steps, around)


def _lengths(path: Path, side: tuple[float, float, float], count: int, steps: int, around: int) -> list[np.ndarray]:
    return limb(path, side).lengths(count, steps, around)


def _shoots() -> dict[str, list[Path]]:
    return {
        "bough": twigs(BOUGH, ALONG_Y, 4, 120, 0.8),
        "forearm": twigs(FOREARM, ALONG_Y, 4, 84, 2.2),
        "crown": twigs(CROWN, (0, 1, 0), 9, 165, 0.4) + [CROWN],
        "crown_back": twigs(CROWN_BACK, (0, 1, 0), 10, 175, 1.7) + [CROWN_BACK],
    }


def _twigs_skin(shoots: list[Path]) -> Skin:
    thin = [Loft(tuple((x, y, z, 2 * r, 2 * r) for x, y, z, r in path), (0.6, 0.8, 0.0)) for path in shoots if path[0][3] < 20]
    return join(*[shoot.skin(8, 7) for shoot in thin])


def _front(skin: Skin, at: tuple[float, float, float]) -> Skin:
    """A piece turned about z, laid so that its z looks to +x."""
    return shift(turn(skin, (0, 1, 0), 90), at)


# ---- the ground and the stump ---------------------------------------------------------------------


def _mound() -> Skin:
    around = 72
    profile = ((430, 0), (436, 4), (428, 14), (396, 28), (330, 40), (250, 52), (160, 60))
    skin = turned(profile, around)
    x, y, z = skin.vertices.T
    wave = 1 + 0.03 * np.sin(5 * np.arctan2(y, x)) + 0.02 * np.sin(11 * np.arctan2(y, x) + 1)
    return Skin(np.stack([x * wave, y * wave, z], axis=1), skin.faces)


def _litter() -> Skin:
    """Fallen leaves."""
    leaves = []
    for k in range(90):
        angle, radius = 2.399963 * k, 215 + 195 * np.sqrt((k + 0.5) / 90)
        height = np.interp(radius, [160, 250, 330, 396, 428], [60, 52, 40, 28, 14]) + 1.5
        at = np.array([radius * np.cos(angle), radius * np.sin(angle), height])
        along = np.array([np.cos(5.1 * k), np.sin(5.1 * k), 0.06])
        outward = np.array([0.2 * np.cos(k), 0.2 * np.sin(k), 1.0])
        leaves.append(feather(at, along, outward, 42 + 8 * np.sin(2.0 * k), 22, droop=0.12, cup=-0.1, thick=1.0, point=0.7, steps=4))
    return join(*leaves)


def _roots() -> Skin:
    roots = []
    for k, (degrees, reach) in enumerate(((-24, 330), (28, 300), (78, 340), (128, 290), (182, 330), (232, 300), (284, 340))):
        a = np.radians(degrees)
        c, s = np.cos(a), np.sin(a)
        bend = 0.35 * (-1) ** k
        path = []
        for t, z, r in ((0.30, 150, 38), (0.44, 96, 50), (0.62, 56, 40), (0.84, 40, 25), (1.06, 20, 13), (1.16, 6, 5)):
            swing = bend * max(t - 0.5, 0) ** 2
            path.append((t * reach * (c - swing * s), t * reach * (s + swing * c), z, r))
        roots.append(limb(tuple(path), (-s, c, 0.0), 7, 0.12).skin(22, 18))
    return join(*roots)


def _moss() -> Skin:
    """Moss cushions on the roots and the weather side of the stump."""
    tufts = [
        plumage(STUMP, (0.30, 0.74), (2.2, 3.7), 7, 8, 30, 24, lift=0.10, sink=2.0, point=0.1),
        plumage(STUMP, (0.10, 0.36), (4.4, 5.6), 5, 7, 28, 22, lift=0.10, sink=2.0, point=0.1),
    ]
    cushions = [
        ball((r * np.cos(a), r * np.sin(a), z), (s, 0.9 * s, 0.45 * s), 10)
        for a, r, z, s in ((0.9, 268, 50, 34), (1.2, 312, 42, 24), (3.4, 300, 44, 36), (4.3, 280, 48, 30), (-0.9, 300, 42, 26), (5.9, 352, 34, 18))
    ]
    return join(*tufts, *cushions)


def _mushrooms() -> tuple[Skin, Skin]:
    caps, stems = [], []
    for x, y, height, wide in ((250, 92, 64, 26), (276, 120, 46, 20), (236, 128, 38, 15), (262, -150, 50, 21), (286, -172, 36, 15)):
        ground = float(np.interp(np.hypot(x, y), [160, 250, 330, 396], [60, 52, 40, 28])) - 4
        cap = turned(((0.3 * wide, -0.25 * wide), (0.95 * wide, -0.28 * wide), (wide, -0.12 * wide), (0.86 * wide, 0.25 * wide),
                      (0.55 * wide, 0.5 * wide), (0.2 * wide, 0.6 * wide)), 28)  # fmt: skip
        caps.append(shift(cap, (x, y, ground + height)))
        stems.append(shift(turned(((0.26 * wide, 0), (0.2 * wide, 0.5 * height), (0.24 * wide, height)), 14), (x, y, ground)))
    return join(*caps), join(*stems)


# The hollow looks out to the front and the figure's right; frame: x out of the hole.


def _hollow() -> Skin:
    rim = furrowed(Loft(((-30, 0, -56, 20, 14), (-6, 0, -52, 40, 26), (2, 34, -24, 24, 24), (2, 44, 14, 24, 24), (-2, 26, 48, 24, 22),
                         (-6, 0, 58, 24, 22), (-2, -26, 48, 24, 22), (2, -44, 14, 24, 24), (2, -34, -24, 24, 24), (-4, -6, -50, 30, 20)),
                        side=(1, 0, 0)), 5, 0.05)  # fmt: skip
    return rim.skin(48, 14)


def _owl() -> Skin:
    """The joint slides it along x; at 0 it is half out."""
    body = Loft(((-34, 0, -34, 30, 40), (-30, 0, -26, 44, 50), (-14, 0, -8, 62, 72), (0, 0, 8, 60, 66), (10, 0, 18, 44, 48), (14, 0, 21, 16, 18)), side=(0, 1, 0))
    tufts = [
        feather(np.array([-6.0, 20 * s, 36.0]), np.array([0.15, 0.45 * s, 1.0]), np.array([1.0, 0.0, 0.0]), 24, 11, point=0.9, steps=5)
        for s in (-1, 1)
    ]
    feathers = plumage(body, (0.34, 0.62), (-np.pi, 0.0), 4, 9, 19, 13, lift=0.10, backward=True)
    return join(body.skin(20, 24), feathers, *tufts)


def _owl_face() -> Skin:
    discs = [_front(turned(((16, 0), (16.5, 2), (14, 4), (5, 3)), 28), (9, 14.5 * s, 18)) for s in (-1, 1)]
    return join(*discs)


def _owl_eyes() -> Skin:
    eyes = [ball((13, 14 * s, 18), (4.5, 7, 7), 8) for s in (-1, 1)]
    beak = Loft(((12, 0, 16, 6, 4), (18, 0, 11, 8, 7), (20, 0, 3, 4, 4), (18, 0, -2, 1, 1))).skin(10, 8)
    return join(*eyes, beak)


# ---- the trunk and its face -----------------------------------------------------------------------


def _knots() -> Skin:
    """Burls on the trunk, and the stubs that the boughs grow from."""
    burls = [
        furrowed(Loft(((-30, 0, 0, 30, 30), (-12, 0, 0, 66, 62), (8, 0, 0, 60, 56), (20, 0, 0, 30, 28)), side=(0, 1, 0)), 7, 0.06).skin(14, 20)
    ]
    placed = [
        shift(turn(burls[0], (0, 0, 1), degrees), (114 * np.cos(np.radians(degrees)), 122 * np.sin(np.radians(degrees)), z))
        for degrees, z in ((58, 120), (-70, 176), (150, 240), (-140, 110))
    ]
    shoulders = [
        limb(((-6, 70, 440, 60), (-6, 100, 444, 74), (-4, 128, 446, 66), (-2, 146, 447, 40)), ALONG_Y, 9, 0.08).skin(16, 26)
    ]
    stubs = [
        limb(((0, 40 * s, 560, 40), (-2, 62 * s, 588, 52), (-2, 72 * s, 606, 40)), (1, 0, 0), 7, 0.08).skin(12, 20) for s in (-1, 1)
    ]
    return join(*placed, shoulders[0], mirror(shoulders[0]), *stubs)


def _plates() -> Skin:
    """Shaggy bark: long plates in staggered rows, none over the face."""
    ring = (-np.pi / 2, 3 * np.pi / 2)
    behind = (-np.pi / 2 + 0.85, 3 * np.pi / 2 - 0.85)
    return join(
        _shag(TRUNK, (0.03, 0.20), ring, 3, 22, 84),
        _shag(TRUNK, (0.27, 0.62), behind, 5, 16, 88),
        _shag(TRUNK, (0.70, 0.90), ring, 3, 20, 76),
    )


def _shag(loft: Loft, u: tuple[float, float], angle: tuple[float, float], rows: int, columns: int, length: float) -> Skin:
    return plumage(loft, u, angle, rows, columns, length, 23, lift=0.05, sink=3.0, backward=True, point=0.35)


def _cheeks() -> Skin:
    """The bulges over the corners of the mouth."""
    cheek = furrowed(
        Loft(((80, 40, 304, 30, 24), (98, 54, 294, 58, 50), (102, 70, 282, 52, 44), (86, 92, 268, 22, 20)), ALONG_Y), 7, 0.07
    )
    return join(cheek.skin(14, 18), mirror(cheek.skin(14, 18)))


def _sockets() -> Skin:
    """The dark hollows that the eyes sit in."""
    x, y, z = EYES
    return join(ball((x - 18, y, z), (31, 43, 40), 14), ball((x - 18, -y, z), (31, 43, 40), 14))


def _lid() -> Skin:
    """A half shell of bark over the eye; at 0 it lies above and behind."""
    whole = ball((0, 0, 0), (31.0, 31.0, 31.0), 18)
    forward = np.array([0.80, 0.0, -0.60])
    vertices = whole.vertices - np.maximum(whole.vertices @ forward - 1.0, 0)[:, None] * forward
    return Skin(vertices, whole.faces)


def _brow() -> Skin:
    """Frame: the pivot at the inner end; the brow runs out along y."""
    return limb(((4, -20, -4, 8), (10, -10, 0, 15), (12, 20, 8, 18), (4, 52, 4, 15), (-10, 74, -10, 8)), ALONG_Y, 5, 0.14).skin(24, 16)


def _brow_moss() -> Skin:
    tufts = []
    for k in range(26):
        t = k / 25
        root = np.array([16 - 16 * t**3, -10 + 78 * t, 4 + 9 * np.sin(2.6 * t) - 8 * t])
        along = np.array([0.55 + 0.2 * np.sin(3.0 * k), 0.35 + 0.5 * t, -0.55 + 0.25 * np.sin(5.0 * k)])
        tufts.append(feather(root, along, np.array([0.8, 0.0, 0.6]), 24 + 7 * np.sin(2.0 * k), 8, droop=0.3, point=0.9, steps=5))
    return join(*tufts)


def _moustache() -> Skin:
    tufts = []
    for s in (-1, 1):
        for k in range(20):
            t = k / 19
            u, angle = np.array(0.462 - 0.012 * t), np.array(-np.pi / 2 + s * (0.05 + 0.62 * t))
            _, _, outward = TRUNK.tangents(u, angle)
            root = TRUNK.surface(u, angle) + 3 * outward
            along = 0.45 * outward + np.array([0.0, s * (0.5 + 0.5 * t), -0.9 + 0.35 * t])
            tufts.append(feather(root, along, outward + np.array([0, 0, 0.6]), 62 + 12 * np.sin(2.3 * k), 17, droop=0.30, point=1.0, steps=6))
    return join(*tufts)


def _beard() -> Skin:
    """Hangs from the underside of the chin, longest in the middle; its frame is the hinge under the chin."""
    tufts = []
    for k in range(54):
        across = ((k * 0.618034) % 1) * 2 - 1
        u, angle = np.array(0.70 + 0.26 * (k % 5) / 4), np.array(-np.pi / 2 + 1.25 * across)
        _, _, outward = JAW.tangents(u, angle)
        root = JAW.surface(u, angle) - 3 * outward + np.array([6.0 + 16.0 * (1 - abs(across)), 0.0, 2.0])
        along = np.array([0.10 + 0.14 * (k % 5) / 4, 0.15 * across, -1.0])
        length = (150 - 75 * abs(across)) * (0.85 + 0.15 * np.sin(2.0 * k))
        tufts.append(feather(root, along, np.array([1.0, 0.5 * across, 0.2]), length, 17, droop=0.06, point=1.0, steps=7))
    return shift(join(*tufts), (-84, 0, 76))


def _ivy() -> Skin:
    """A strand of ivy that climbs round the trunk."""
    leaves = []
    for k in range(54):
        u, angle = np.array(0.10 + 0.0148 * k), np.array(5.5 + 0.068 * k)
        along, around, outward = TRUNK.tangents(u, angle)
        root = TRUNK.surface(u, angle)
        heading = 0.6 * along + (1 if k % 2 else -1) * around + 0.12 * outward
        leaves.append(feather(root, heading, outward, 36 + 6 * np.sin(1.9 * k), 25, droop=0.15, cup=0.1, point=0.7, steps=4))
    return join(*leaves)
