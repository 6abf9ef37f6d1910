"""The skins of the breathing shop-window robot. Every part in the frame of its link, mm; the left side is y > 0."""

from __future__ import annotations

import numpy as np
from posekit.clearance.pieces import Pieces

from sculpt.cover import cover
from sculpt.loft import Loft, ball, turned
from sculpt.skin import Skin, join, mirror, shift, turn

Y = (0.0, 1.0, 0.0)

# The arm hangs from the shoulder and hovers over the rim of the cabinet. Frame: the dome's.
UPPER_ARM = Loft(((0, 112, 34, 26, 26), (0, 132, 26, 40, 40), (4, 152, 2, 34, 34), (8, 168, -32, 28, 28), (10, 172, -44, 20, 20)))
FOREARM = Loft(((4, 170, -34, 22, 22), (12, 172, -42, 34, 32), (44, 164, -57, 30, 27), (80, 146, -66, 24, 21), (88, 142, -68, 16, 14)))
HAND = Loft(((82, 145, -67, 16, 14), (92, 139, -68, 30, 17), (110, 126, -69, 36, 18), (130, 111, -73, 26, 13), (138, 105, -76, 8, 6)),
            side=(0.6, 0.8, 0.0))  # fmt: skip
HEAD = Loft(
    ((-92, 0, 74, 30, 30), (-84, 0, 74, 92, 92), (-48, 0, 76, 148, 146), (0, 0, 78, 166, 160), (44, 0, 76, 150, 142),
     (76, 0, 72, 108, 100), (88, 0, 70, 66, 62), (90, 0, 70, 20, 20))
)  # fmt: skip


def skins() -> dict[str, Skin]:
    """All skins by file name."""
    arm = {
        "arm_left": join(UPPER_ARM.skin(18, 18), FOREARM.skin(18, 18)),
        "cuffs_left": _cuffs(),
        "hand_left": _hand(),
        "horn_left": _horn(),
        "eye_left": _eye(),
        "bezel_left": _bezel(),
        "iris_left": _iris(),
        "shutter_left": _shutter(),
    }
    return {
        "cabinet": _cabinet(),
        "bands": _bands(),
        "lung": turned(((70, 176), (80, 180), (80, 262), (70, 266)), 40),
        "gauge": _gauge(),
        "dial": _facing_front(turned(((0.5, 0), (27, 0), (27, 2.4), (0.5, 2.4)), 40), (168.5, 0, 96)),
        "ticks": _ticks(),
        "needle": _needle(),
        "pleat": turned(((74, -12), (84, -11), (104, -3.2), (111, -1.8), (111, 1.8), (104, 3.2), (84, 11), (74, 12)), 64),
        "hoop": _ring(111.5, 3.0, 64),
        "dome": _dome(),
        "collar": _collar(),
        "medal": _medal(),
        "neck": _neck(),
        "head": HEAD.skin(34, 40),
        "seams": _seams(),
        "face": _face(),
        "mouth": _mouth(),
        "key": _key(),
        **arm,
        **{name.replace("left", "right"): mirror(skin) for name, skin in arm.items()},
    }


def pieces() -> dict[str, Pieces]:
    """Convex pieces of what could strike, by the skin they cover."""
    left = {
        "arm_left": cover(*UPPER_ARM.lengths(2, 18, 18), *FOREARM.lengths(1, 18, 18), corners=32),
        "hand_left": cover(_hand().vertices, corners=32),
        "horn_left": cover(_horn().vertices, corners=40),
    }
    right = {
        name.replace("left", "right"): Pieces(tuple(hull * [1, -1, 1] for hull in part.hulls), part.skin_mm)
        for name, part in left.items()
    }
    return {
        "dome": cover(_dome().vertices, corners=96),
        "head": cover(HEAD.skin(34, 40).vertices, corners=80),
        "cabinet": cover(turned(((172, 0), (172, 182)), 24).vertices),
        **left,
        **right,
    }


# ---- cabinet --------------------------------------------------------------------------------------


def _ring(radius: float, half: float, around: int = 48) -> Skin:
    """A hoop of round section about z, as a closed ring of four-sided section with rounded shoulders."""
    angle = np.arange(around) * 2 * np.pi / around
    section = np.arange(8) * np.pi / 4
    r = radius + half * np.cos(section)
    z = half * np.sin(section)
    rings = np.stack(
        [r[None] * np.cos(angle)[:, None], r[None] * np.sin(angle)[:, None], np.broadcast_to(z, (around, 8))], axis=-1
    )
    index = np.arange(around * 8).reshape(around, 8)
    a, b = index.ravel(), np.roll(index, -1, axis=0).ravel()
    c, d = np.roll(index, -1, axis=1).ravel(), np.roll(np.roll(index, -1, axis=0), -1, axis=1).ravel()
    return Skin(rings.reshape(-1, 3), np.vstack([np.stack([a, b, c], axis=1), np.stack([c, b, d], axis=1)]))


def _cabinet() -> Skin:
    body = turned(
        ((150, 0), (166, 0), (170, 4), (170, 16), (165, 22), (158, 25), (155, 30), (158, 40), (161, 70), (161, 120),
         (157, 150), (154, 158), (158, 164), (166, 167), (171, 171), (171, 177), (166, 181), (150, 181.5), (120, 180)), 96
    )  # fmt: skip
    staves = [
        shift(turn(_stave(), (0, 0, 1), 360 / 24 * k), (0, 0, 0)) for k in range(24) if k not in (0, 1, 23)
    ]
    return join(body, *staves)


def _stave() -> Skin:
    """A half-round rib on the cabinet wall."""
    return Loft(((156.5, 0, 34, 6, 3), (160, 0, 50, 12, 6), (162, 0, 95, 13, 6), (159, 0, 140, 12, 6), (155, 0, 154, 5, 3))).skin(10, 10)


def _bands() -> Skin:
    hoops = [shift(_ring(radius, 2.6, 96), (0, 0, z)) for radius, z in ((171, 10), (156.5, 30), (155.5, 157), (171.5, 174))]
    feet = [ball((138 * np.cos(a), 138 * np.sin(a), 2), (20, 20, 9), 8) for a in np.radians([45, 135, 225, 315])]
    return join(*hoops, *[Skin(np.maximum(foot.vertices, [-1e9, -1e9, 0.0]), foot.faces) for foot in feet])


def _facing_front(skin: Skin, at: tuple[float, float, float]) -> Skin:
    """A piece turned about z, laid so that its z looks to +x."""
    return shift(turn(skin, Y, 90), at)


def _gauge() -> Skin:
    """The pressure gauge on the cabinet's front: a brass case."""
    case = _facing_front(turned(((30, -14), (34, -12), (34, 4), (33, 7)), 48), (161, 0, 96))
    rim = _facing_front(_ring(31, 3.4, 48), (170, 0, 96))
    return join(case, rim)


def _ticks() -> Skin:
    marks = []
    for degrees in range(-120, 121, 30):
        mark = Loft(((0, 0, 19, 1.2, 1.2), (0, 0, 20, 2.2, 1.4), (0, 0, 24, 2.2, 1.4), (0, 0, 25, 1.2, 1.2)), side=(1, 0, 0)).skin(5, 6)
        marks.append(shift(turn(mark, (1, 0, 0), -degrees), (171.2, 0, 96)))
    return join(*marks)


def _needle() -> Skin:
    """Its joint turns about +x; at 0 it points straight up."""
    blade = Loft(((0, 0, -9, 3, 1.4), (0, 0, -2, 4, 1.6), (0, 0, 10, 3, 1.6), (0, 0, 22, 0.8, 1))).skin(10, 8)
    return join(blade, turn(turned(((3.6, -1), (4, 0), (3.6, 1.6), (2, 2.2)), 20), Y, 90))


# ---- dome and arms --------------------------------------------------------------------------------


def _dome() -> Skin:
    """The shoulders; the frame lies at the upper end of the bellows."""
    return turned(
        ((96, 0), (116, 0), (121, 3), (122, 10), (120, 24), (113, 46), (100, 66), (82, 82), (64, 92), (50, 97), (44, 101), (40, 104)), 72
    )


def _collar() -> Skin:
    rivets = [
        ball((121.5 * np.cos(a), 121.5 * np.sin(a), 9), (3.2, 3.2, 3.2), 6) for a in np.arange(24) * np.pi / 12
    ]
    caps = [ball((0, s * 118, 30), (24, 16, 24), 12) for s in (-1, 1)]
    return join(shift(_ring(120.5, 3.4, 72), (0, 0, 1)), shift(_ring(46, 5, 48), (0, 0, 101)), *rivets, *caps)


def _medal() -> Skin:
    """A speaking rose on the breast: petals around a boss."""
    petals = []
    for k in range(8):
        petal = Loft(((0, 0, 3, 3, 3), (0, 0, 7, 7, 4), (0, 0, 14, 8, 4), (0, 0, 18, 2, 2))).skin(8, 8)
        petals.append(turn(petal, (1, 0, 0), 45.0 * k))
    rose = join(ball((1, 0, 0), (5, 5.5, 5.5), 8), *petals)
    return shift(turn(rose, Y, -28), (113, 0, 50))


def _cuffs() -> Skin:
    elbow = ball((9, 171, -38), (21, 20, 20), 12)
    wrist = shift(turn(turn(_ring(11.5, 3.6, 28), Y, 72), (0, 0, 1), -26), (82, 145, -67))
    return join(elbow, wrist)


def _hand() -> Skin:
    thumb = Loft(((94, 128, -67, 10, 9), (104, 112, -65, 11, 10), (114, 106, -67, 10, 9), (120, 104, -70, 4, 4)), side=(0, 0, 1))
    return join(HAND.skin(18, 16), thumb.skin(12, 10))


# ---- neck and head --------------------------------------------------------------------------------


def _neck() -> Skin:
    """A ribbed boot over the differential; the frame lies where its two axes cross."""
    profile = [(30.0, -13.0)]
    for k in range(6):
        z = -10 + 7 * k
        profile += [(35.0 - 1.2 * k, z), (28.5 - 0.8 * k, z + 3.5)]
    return turned((*profile, (20.0, 33.0)), 40)


def _seams() -> Skin:
    """Brass straps over the head."""
    lengthwise = []
    for degrees in (0, 62, 118):
        a = np.radians(degrees)
        path = []
        for u in np.linspace(0.06, 0.82, 12):
            p = HEAD.surface(np.array(u), np.array(np.pi / 2 - a if degrees else np.pi / 2))
            path.append((*p, 7.0, 3.6))
        side = (0.0, np.cos(a), -np.sin(a)) if degrees else Y
        lengthwise.append(Loft(tuple(path), side=side).skin(26, 8))
    flipped = [mirror(strap) for strap in lengthwise[1:]]
    return join(*lengthwise, *flipped)


def _face() -> Skin:
    """The plate that carries the eyes, proud of the head."""
    return Loft(
        ((62, 0, 74, 100, 50), (72, 0, 75, 132, 78), (82, 0, 75, 130, 76), (92, 0, 74, 116, 62), (95, 0, 74, 60, 24)),
    ).skin(14, 48)


def _mouth() -> Skin:
    """A grille of five bars."""
    bars = [
        Loft(((78, -24 + abs(k) * 4, 30 + 5 * k, 3, 3), (88 - abs(k), -14, 30 + 5 * k, 4.5, 4), (92 - abs(k), 0, 30 + 5 * k, 4.5, 4),
              (88 - abs(k), 14, 30 + 5 * k, 4.5, 4), (78, 24 - abs(k) * 4, 30 + 5 * k, 3, 3)), side=(0, 0, 1)).skin(14, 8)
        for k in (-1, 0, 1)
    ]  # fmt: skip
    return join(*[shift(bar, (-6, 0, 6)) for bar in bars])


def _key() -> Skin:
    """The winding key on the back of the head."""
    stem = turn(turned(((7, 0), (7, 30), (5, 32)), 20), Y, -90)
    bow = [shift(turn(_ring(17, 4.2, 36), (1, 0, 0), 90), (0, 0, z)) for z in (-16.3, 16.3)]
    return join(shift(stem, (-84, 0, 74)), *[shift(turn(wing, (0, 0, 1), 0), (-122, 0, 74)) for wing in bow])


def _horn() -> Skin:
    """The listening horn on the side of the head."""
    flare = turned(
        ((6, 0), (10, 2), (9, 14), (11, 24), (16, 33), (25, 40), (33, 43.5), (34.5, 45), (33, 45.5), (24, 43), (14, 36), (6, 30)), 40
    )
    return shift(turn(turn(flare, (1, 0, 0), -90), (0, 0, 1), -18), (-12, 78, 84))


EYE = (86.0, 33.0, 82.0)


def _eye() -> Skin:
    return ball(EYE, (17, 19, 19), 16)


def _iris() -> Skin:
    disc = turned(((8.5, 0), (8.5, 1.6), (6.5, 2.4), (2, 2.4)), 28)
    return _facing_front(disc, (EYE[0] + 15.6, EYE[1], EYE[2]))


def _bezel() -> Skin:
    return _facing_front(_ring(24, 4.2, 44), (EYE[0] + 4, EYE[1], EYE[2]))


def _shutter() -> Skin:
    """A half shell round the eye's centre, thick enough to make; at 0 it lies above and behind."""
    whole = ball((0, 0, 0), (21.4, 21.4, 21.4), 18)
    forward = np.array([0.80, 0.0, -0.60])
    vertices = whole.vertices - np.maximum(whole.vertices @ forward - 1.0, 0)[:, None] * forward
    return Skin(vertices, whole.faces)
