"""The skins of the marsh heron. Every part in the frame of its link, mm; the left side is y > 0."""

from __future__ import annotations

import numpy as np

from posekit.clearance.pieces import Pieces

from sculpt.cover import cover
from sculpt.feather import fan, feather, plumage
from sculpt.loft import Loft, ball, turned
from sculpt.skin import Points, Skin, join, mirror, shift, turn

UP = np.array([0.0, 0.0, 1.0])
OUT = np.array([0.0, 1.0, 0.0])

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
NAPE = Loft(((-6, 0, -9, 22, 24), (0, 0, 0, 33, 36), (8, 0, 14, 35, 38), (17, 0, 27, 34, 34), (22, 0, 33, 18, 18)))
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

ARM = Loft(
    ((4, 2, 4, 14, 10), (16, 5, -14, 17, 30), (30, 9, -56, 18, 36),
     (32, 9, -100, 17, 34), (28, 6, -128, 14, 28), (22, 4, -140, 8, 12))
)  # fmt: skip


def skins() -> dict[str, Skin]:
    """All skins by file name."""
    left = {
        "wing_left": _secondaries(),
        "coverts_left": _coverts(),
        "shoulder_left": _shoulder(),
        "hand_left": _primaries(6, 250, 292, 0.0),
        "tip_left": _primaries(5, 296, 268, -6.0),
        "lid_left": _lid(),
    }
    right = {name.replace("left", "right"): mirror(skin) for name, skin in left.items()}
    return {
        "plinth": _plinth(),
        "water": _water(),
        "moss": _moss(),
        "stones": _stones(),
        "reeds": _reeds(),
        "cattails": _cattails(),
        "fish": _fish(),
        "legs": join(_leg(), mirror(_leg())),
        "trunk": TRUNK.skin(40, 28),
        "mantle": _mantle(),
        "tail": _tail(),
        "thighs": join(_thigh(), mirror(_thigh())),
        "breast": _breast(),
        "neck_low": NECK_LOW.skin(26, 22),
        "streaks_low": _streaks(NECK_LOW, 0.16, 0.90, 9, 17.0),
        "neck_high": NECK_HIGH.skin(26, 22),
        "streaks_high": _streaks(NECK_HIGH, 0.08, 0.84, 9, 15.0),
        "nape": NAPE.skin(14, 20),
        "skull": SKULL.skin(26, 22),
        "crest": _crest(),
        "eyes": join(ball((36, 17.0, 24), (6.4, 5.2, 6.4), 10), ball((36, -17.0, 24), (6.4, 5.2, 6.4), 10)),
        "pupils": join(ball((37.2, 20.4, 24.2), (3, 2.6, 3), 8), ball((37.2, -20.4, 24.2), (3, 2.6, 3), 8)),
        "beak": BEAK.skin(20, 16),
        "jaw": JAW.skin(18, 14),
        **left,
        **right,
    }


def pieces() -> dict[str, Pieces]:
    """Convex pieces of what could strike, by the skin they cover. Plumage is soft and left out."""
    left = {
        "wing_left": cover(_secondaries().vertices),
        "shoulder_left": cover(*ARM.lengths(2, 18, 16)),
        "hand_left": cover(skins()["hand_left"].vertices),
        "tip_left": cover(skins()["tip_left"].vertices),
    }
    right = {
        name.replace("left", "right"): Pieces(tuple(hull * [1, -1, 1] for hull in part.hulls), part.skin_mm)
        for name, part in left.items()
    }
    return {
        "plinth": cover(turned(((325, 0), (325, 39.5)), 24, 1.18).vertices + [70, 0, 0]),
        "stones": cover(*_stones().vertices.reshape(7, -1, 3)[:3]),
        "trunk": cover(*TRUNK.lengths(3, 40, 28), corners=64),
        "neck_low": cover(*NECK_LOW.lengths(3, 26, 22)),
        "neck_high": cover(*NECK_HIGH.lengths(3, 26, 22)),
        "nape": cover(*NAPE.lengths(1, 14, 20)),
        "skull": cover(*SKULL.lengths(1, 26, 22)),
        "beak": cover(*BEAK.lengths(1, 20, 16)),
        "jaw": cover(*JAW.lengths(1, 18, 14)),
        **left,
        **right,
    }


# ---- the ground -----------------------------------------------------------------------------------


def _plinth() -> Skin:
    edge = ((318, 0), (322, 2), (322, 20), (316, 24), (308, 27), (308, 36), (304, 39), (296, 39.5), (290, 36))
    return shift(turned(edge, 96, 1.18), (70, 0, 0))


def _water() -> Skin:
    """Ripples run out from where the beak meets the water."""
    radius = np.concatenate([np.linspace(2, 285, 40), [291.0]])
    swell = 38.2 + 0.9 * np.cos(radius / 9.0) * np.exp(-radius / 150)
    swell[-1] = 36.5
    profile = ((291.0, 34.0), *((float(r), float(z)) for r, z in zip(radius[::-1], swell[::-1], strict=True)))
    return shift(turned(profile, 56, 1.18), (70, 0, 0))


def _mound(at: tuple[float, float], radius: float, height: float, seed: float) -> Skin:
    rough = Loft(
        ((0, 0, 0, 2 * radius, 2 * radius), (0, 0, 0.55 * height, 1.7 * radius, 1.6 * radius),
         (0, 0, 0.9 * height, 0.9 * radius, 0.9 * radius), (0, 0, height, 0.2 * radius, 0.2 * radius)),
        relief=lambda u, a: 1 + 0.10 * np.sin(3 * a + seed) + 0.06 * np.sin(7 * a + 2 * seed + 6 * u),
    )  # fmt: skip
    return shift(rough.skin(12, 26), (*at, 34.0))


def _moss() -> Skin:
    return join(
        _mound((-180, 110), 95, 34, 0.4), _mound((-225, 10), 78, 26, 1.9), _mound((-110, 170), 66, 20, 3.1),
        _mound((-170, -95), 70, 22, 4.4), _mound((330, 110), 55, 16, 5.2),
    )  # fmt: skip


def _stones() -> Skin:
    places = ((96, -150, 44, 30, 20), (140, -178, 30, 24, 15), (60, -186, 26, 20, 13), (300, 150, 34, 26, 17),
              (-60, -150, 22, 16, 10), (356, 60, 20, 17, 10), (14, 186, 28, 20, 14))  # fmt: skip
    stones = []
    for k, (x, y, a, b, c) in enumerate(places):
        stone = ball((0, 0, 0), (a, b, c), 12)
        wave = 1 + 0.07 * np.sin(stone.vertices / 9.0 + k) @ np.array([1.0, 0.8, 0.6])
        stones.append(shift(turn(Skin(stone.vertices * wave[:, None], stone.faces), (0, 0, 1), 37.0 * k), (x, y, 40)))
    return join(*stones)


def _blade(at: tuple[float, float], height: float, lean: tuple[float, float], width: float) -> Skin:
    """A reed leaf that bows over at the top."""
    root = np.array([*at, 36.0])
    heading = np.array([*lean, 1.0])
    outward = np.array([lean[0], lean[1], -0.15])
    outward = -outward / np.linalg.norm(outward) if np.linalg.norm(lean) > 0 else np.array([1.0, 0.0, 0.0])
    return feather(root, heading, outward, height, width, droop=0.22, cup=0.2, thick=1.2, point=1.0, steps=9)


def _reeds() -> Skin:
    blades = []
    for k in range(30):
        clump = ((-205, 120), (-245, 30), (-165, 165))[k % 3]
        angle = 2.399963 * k  # golden angle: even, never in line
        reach = 9 * np.sqrt(k)
        at = (clump[0] + reach * np.cos(angle), clump[1] + 0.7 * reach * np.sin(angle))
        lean = (0.16 * np.cos(angle) - 0.05, 0.14 * np.sin(angle) + 0.04)
        blades.append(_blade(at, 300 + 190 * (0.5 + 0.5 * np.sin(1.9 * k)), lean, 12 + 4 * np.sin(3.1 * k)))
    return join(*blades)


def _cattails() -> Skin:
    heads = []
    for x, y, height, lean in ((-205, 128, 560, 0.03), (-172, 160, 500, -0.04), (-240, 60, 470, 0.05), (-150, 180, 420, 0.04)):
        top = (x - lean * height, y + 0.5 * lean * height, height)
        stem = Loft(((x, y, 34, 6, 6), ((x + top[0]) / 2 + 4, (y + top[1]) / 2, height / 2, 5, 5), (*top, 4, 4)))
        head = Loft(
            ((top[0], top[1], height - 4, 5, 5), (top[0], top[1], height + 4, 17, 17),
             (top[0] - lean * 40, top[1], height + 44, 19, 19), (top[0] - lean * 84, top[1], height + 86, 16, 16),
             (top[0] - lean * 92, top[1], height + 92, 4, 4), (top[0] - lean * 130, top[1], height + 128, 2, 2))
        )  # fmt: skip
        heads += [stem.skin(8, 8), head.skin(20, 14)]
    return join(*heads)


def _fish() -> Skin:
    body = Loft(((-40, 0, 0, 3, 4), (-28, 2, 0, 5, 7), (-4, 0, 0, 12, 17), (18, -1, 0, 13, 17), (34, 0, 0, 8, 10), (40, 0, 0, 2, 3)))
    tail = Loft(((-36, 0, 0, 3, 5), (-48, -2, 0, 2.5, 17), (-58, -5, 0, 1.5, 26), (-60, -6, 0, 1, 20)))
    return shift(turn(join(body.skin(18, 14), tail.skin(8, 10)), (0, 0, 1), 205), (372, -40, 37.5))


# ---- body -----------------------------------------------------------------------------------------


def _leg() -> Skin:
    """Tibia, ankle, shank and four toes; the foot stands at z = -300 in the body frame."""
    shank = Loft(
        ((-8, 30, -60, 26, 30), (-4, 31, -95, 16, 17), (6, 33, -150, 11, 11), (8, 33, -166, 15, 15),
         (5, 33, -182, 11, 11), (0, 34, -240, 10, 10), (-2, 34, -286, 11, 11), (2, 34, -298, 9, 9)),
        side=(0, 1, 0),
        relief=lambda u, a: 1 + 0.03 * np.sin(64 * np.pi * u) * (u > 0.35),  # scutes
    )  # fmt: skip
    toes = []
    for heading, reach in ((-6, 78), (26, 70), (-38, 68), (172, 50)):
        c, s = np.cos(np.radians(heading)), np.sin(np.radians(heading))
        toes.append(
            Loft(
                ((0, 34, -294, 9, 9), (0.3 * reach * c, 34 + 0.3 * reach * s, -293, 8, 7.5),
                 (0.62 * reach * c, 34 + 0.62 * reach * s, -296.5, 8, 7),
                 (0.9 * reach * c, 34 + 0.9 * reach * s, -297, 6, 5), (reach * c, 34 + reach * s, -300, 2, 2)),
                side=(-s, c, 0),
            ).skin(12, 10)
        )  # fmt: skip
    return join(shank.skin(44, 12), *toes)


def _thigh() -> Skin:
    thigh = Loft(((-18, 26, -20, 30, 40), (-16, 30, -46, 50, 66), (-10, 31, -84, 34, 42), (-5, 31, -116, 19, 21), (-4, 31, -124, 10, 10)))
    plumes = plumage(thigh, (0.1, 0.86), (0, 2 * np.pi), 6, 9, 34, 16, lift=0.10)
    return join(thigh.skin(16, 16), plumes)


def _mantle() -> Skin:
    """The slate feathers of the back, down to where the wings lie."""
    back = plumage(TRUNK, (0.93, 0.12), (0.10, np.pi - 0.10), 14, 10, 54, 34, lift=0.05, backward=True, point=0.3)
    plumes = [
        feather(TRUNK.surface(np.array(0.72 - 0.05 * k), np.array(np.pi / 2 + s * (0.25 + 0.09 * k))) + 2 * UP,
                np.array([-1.0, 0.10 * s, -0.16]), UP, 150 + 14 * np.sin(2.0 * k), 9, droop=0.05, point=1.0, steps=7)
        for k in range(6) for s in (-1, 1)
    ]  # fmt: skip
    return join(back, *plumes)


def _tail() -> Skin:
    spread = np.radians(np.linspace(-20, 20, 9))
    directions = np.stack([-np.cos(spread), np.sin(spread), np.full(9, -0.30)], axis=1)
    roots = np.array([-165.0, 0.0, -44.0]) + np.stack([np.zeros(9), 14 * np.sin(spread), np.zeros(9)], axis=1)
    order = [0, 8, 1, 7, 2, 6, 3, 5, 4]  # the middle feather lies on top
    return fan(roots[order], directions[order], UP, np.full(9, 128.0), np.full(9, 27.0), layer=0.9, droop=0.04, point=0.2)


def _breast() -> Skin:
    """Long loose plumes that hang from the foot of the neck."""
    plumes = []
    for k in range(22):
        angle = -np.pi / 2 + 1.25 * np.sin(2.399963 * k)
        at = np.array(0.97 - 0.011 * k)
        along, _, outward = TRUNK.tangents(at, np.array(angle))
        root = TRUNK.surface(at, np.array(angle)) - outward
        down = -0.75 * along + 0.22 * outward + np.array([0.0, 0.0, -0.7])
        plumes.append(feather(root, down, outward, 92 + 26 * np.sin(1.3 * k), 15, droop=0.16, cup=0.2, point=1.0))
    under = plumage(TRUNK, (0.95, 0.12), (-np.pi + 0.15, -0.15), 10, 8, 42, 26, lift=0.04, backward=True, point=0.2)
    return join(under, *plumes)


# ---- neck and head --------------------------------------------------------------------------------


def _streaks(loft: Loft, start: float, end: float, rows: int, length: float) -> Skin:
    """Two broken lines of dark feathers down the throat."""
    laid = []
    for k, at in enumerate(np.linspace(end, start, rows)):
        for angle in (-np.pi / 2 - 0.34, -np.pi / 2 + 0.34):
            u, a = np.array(at), np.array(angle + 0.05 * np.sin(4.0 * k))
            along, _, outward = loft.tangents(u, a)
            laid.append(
                feather(loft.surface(u, a) - 0.6 * outward, -along + 0.07 * outward, outward, length, 5.5,
                        droop=0.05, cup=0.1, thick=1.0, point=0.9, steps=4)
            )  # fmt: skip
    return join(*laid)


def _crest() -> Skin:
    """The black brow, and the two long plumes it runs out into."""
    laid = []
    for s in (-1.0, 1.0):
        for k, (u, angle, length) in enumerate(((0.66, 0.86, 30), (0.54, 0.92, 34), (0.42, 0.98, 36), (0.30, 1.05, 36))):
            at, turned_to = np.array(u), np.array(np.pi / 2 - s * (np.pi / 2 - angle))
            along, _, outward = SKULL.tangents(at, turned_to)
            laid.append(
                feather(SKULL.surface(at, turned_to) - outward, -along + 0.05 * outward, outward, length, 17 - k,
                        droop=0.08, cup=0.25, point=0.5, steps=5)
            )  # fmt: skip
        laid.append(
            feather(np.array([2, 9 * s, 34.0]), np.array([-1.0, 0.10 * s, -0.02]), np.array([0.0, 0.3 * s, 1.0]),
                    128, 8, droop=0.28, point=1.0, steps=10)
        )  # fmt: skip
        laid.append(
            feather(np.array([0, 12 * s, 31.0]), np.array([-1.0, 0.22 * s, -0.12]), np.array([0.0, 0.4 * s, 1.0]),
                    86, 8, droop=0.30, point=1.0, steps=8)
        )  # fmt: skip
    return join(*laid)


def _lid() -> Skin:
    """Half a shell over the eye; at 0 it lies behind and above, at 80 degrees it covers the eye."""
    outer = ball((0, 0, 0), (8.6, 7.0, 8.6), 12)
    # Squeeze the front half of the ball flat behind a slanting plane: a closed shell, thick enough to make.
    v = outer.vertices.copy()
    forward = v @ np.array([0.62, 0.0, -0.785])
    v -= np.maximum(forward - 0.4, 0)[:, None] * np.array([0.62, 0.0, -0.785])
    return Skin(v, outer.faces)


# ---- wings ----------------------------------------------------------------------------------------
# A wing frame: hinge line along x through the shoulder, the arm hangs down to the wrist at z = -130.


def _bow(z: Points) -> Points:
    """How far the wing bellies out to go round the flank."""
    return 9.0 * np.sin(np.pi * np.clip(-z / 150, 0, 1))


def _secondaries() -> Skin:
    share = np.linspace(0, 1, 10)
    z = -128 + 112 * share
    roots = np.stack([18 - 34 * share, _bow(z), z], axis=1)
    tilt = np.radians(8 - 25 * share)
    directions = np.stack([-np.cos(tilt), np.full(10, -0.045), np.sin(tilt) - 0.06], axis=1)
    return fan(roots, directions, OUT, 190 + 34 * share, np.full(10, 34.0), layer=0.5, droop=0.03, point=0.15)


def _coverts() -> Skin:
    rows = []
    for row, (length, reach, lift, many) in enumerate(((120, 0, 3.0, 11), (84, 10, 5.0, 11), (54, 20, 7.0, 10))):
        share = np.linspace(0, 1, many)
        z = -132 + 124 * share
        roots = np.stack([22 - 30 * share + 0.3 * reach, _bow(z) + lift, z], axis=1)
        tilt = np.radians(6 - 21 * share)
        directions = np.stack([-np.cos(tilt), np.full(many, -0.06), np.sin(tilt)], axis=1)
        rows.append(fan(roots, directions, OUT, length + 12 * share, np.full(many, 25.0), layer=0.3, droop=0.05, point=0.1, steps=5))
    return join(*rows)


def _shoulder() -> Skin:
    """The leading edge, black at the wrist in the living bird."""
    tiles = plumage(ARM, (0.04, 0.86), (-1.4, 1.4), 7, 6, 30, 17, lift=0.08)
    return join(ARM.skin(18, 16), tiles)


def _primaries(count: int, first: float, last: float, layer: float) -> Skin:
    """A part of the hand: root at the wrist, feathers to the rear, tucked under the secondaries."""
    share = np.linspace(0, 1, count)
    tilt = np.radians(11 - 15 * share)
    directions = np.stack([-np.cos(tilt), np.full(count, -0.05), np.sin(tilt)], axis=1)
    roots = np.stack([4 + 6 * share, np.full(count, layer), 8 - 14 * share], axis=1)
    lengths = first + (last - first) * share
    return fan(roots, directions, OUT, lengths, np.full(count, 29.0), layer=0.55, droop=0.05, point=0.45)
