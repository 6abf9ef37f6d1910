"""The skins of the marsh heron. Every part in the frame of its link, mm; the left side is y > 0."""

from __future__ import annotations

from posekit.shape.piece_file import Pieces
from sculpt.cover import cover
from sculpt.heron.body import TRUNK, breast, leg, mantle, tail, thigh
from sculpt.heron.marsh import cattails, fish, moss, pebbles, plinth, reeds, stones, water
from sculpt.heron.neck import BEAK, JAW, NAPE, NECK_HIGH, NECK_LOW, SKULL, crest, lid, streaks
from sculpt.heron.wings import ARM, coverts, primaries, secondaries, shoulder_tiles
from sculpt.loft import ball, turned
from sculpt.skin import Skin, join, mirror, shift


def skins() -> dict[str, Skin]:
    """All skins by file name."""
    left = {
        "wing_left": secondaries(),
        "coverts_left": coverts(),
        "shoulder_left": ARM.skin(18, 16),
        "tiles_left": shoulder_tiles(),
        "hand_left": primaries(6, 250, 292, 0.0),
        "tip_left": primaries(5, 296, 268, -6.0),
        "lid_left": lid(),
    }
    right = {name.replace("left", "right"): mirror(skin) for name, skin in left.items()}
    return {
        "plinth": plinth(),
        "water": water(),
        "moss": moss(),
        "stones": join(*stones()),
        "pebbles": pebbles(),
        "reeds": reeds(),
        "cattails": cattails(),
        "fish": fish(),
        "legs": join(leg(), mirror(leg())),
        "trunk": TRUNK.skin(40, 28),
        "mantle": mantle(),
        "tail": tail(),
        "thighs": join(thigh(), mirror(thigh())),
        "breast": breast(),
        "neck_low": NECK_LOW.skin(26, 22),
        "streaks_low": streaks(NECK_LOW, 0.16, 0.90, 9, 17.0),
        "neck_high": NECK_HIGH.skin(26, 22),
        "streaks_high": streaks(NECK_HIGH, 0.08, 0.84, 9, 15.0),
        "nape": NAPE.skin(14, 20),
        "skull": SKULL.skin(26, 22),
        "crest": crest(),
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
        "wing_left": cover(secondaries().vertices),
        "shoulder_left": cover(*ARM.lengths(3, 18, 16)),
        "hand_left": cover(skins()["hand_left"].vertices),
        "tip_left": cover(skins()["tip_left"].vertices),
    }
    right = {
        name.replace("left", "right"): Pieces(tuple(hull * [1, -1, 1] for hull in part.hulls), part.skin_mm)
        for name, part in left.items()
    }
    return {
        "plinth": cover(shift(turned(((325, 0), (325, 39.5)), 24, 1.18), (70, 0, 0)).vertices),
        "stones": cover(*[stone.vertices for stone in stones()]),
        "trunk": cover(*TRUNK.lengths(5, 40, 28), corners=96),
        "neck_low": cover(*NECK_LOW.lengths(3, 26, 22)),
        "neck_high": cover(*NECK_HIGH.lengths(3, 26, 22)),
        "nape": cover(*NAPE.lengths(1, 14, 20)),
        "skull": cover(*SKULL.lengths(1, 26, 22)),
        "beak": cover(*BEAK.lengths(1, 20, 16)),
        "jaw": cover(*JAW.lengths(1, 18, 14)),
        **left,
        **right,
    }
