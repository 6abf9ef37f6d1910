"""The skins of the breathing shop-window robot. Every part in the frame of its link, mm; the left side is y > 0."""

from __future__ import annotations

from posekit.shape.piece_file import Pieces
from sculpt.bellows.cabinet import bands, cabinet, facing_front, gauge, needle, ring, ticks
from sculpt.bellows.head import HEAD, bezel, eye, face, horn, iris, key, mouth, neck, seams, shutter
from sculpt.bellows.shoulders import FOREARM, UPPER_ARM, collar, cuffs, dome, hand, medal
from sculpt.cover import cover
from sculpt.loft import turned
from sculpt.skin import Skin, join, mirror


def skins() -> dict[str, Skin]:
    """All skins by file name."""
    arm = {
        "arm_left": join(UPPER_ARM.skin(18, 18), FOREARM.skin(18, 18)),
        "cuffs_left": cuffs(),
        "hand_left": hand(),
        "horn_left": horn(),
        "eye_left": eye(),
        "bezel_left": bezel(),
        "iris_left": iris(),
        "shutter_left": shutter(),
    }
    return {
        "cabinet": cabinet(),
        "bands": bands(),
        "lung": turned(((70, 176), (80, 180), (80, 262), (70, 266)), 40),
        "gauge": gauge(),
        "dial": facing_front(turned(((0.5, 0), (27, 0), (27, 2.4), (0.5, 2.4)), 40), (168.5, 0, 96)),
        "ticks": ticks(),
        "needle": needle(),
        "pleat": turned(
            ((74, -12), (84, -11), (104, -3.2), (111, -1.8), (111, 1.8), (104, 3.2), (84, 11), (74, 12)), 64
        ),
        "hoop": ring(111.5, 3.0, 64),
        "dome": dome(),
        "collar": collar(),
        "medal": medal(),
        "neck": neck(),
        "head": HEAD.skin(34, 40),
        "seams": seams(),
        "face": face(),
        "mouth": mouth(),
        "key": key(),
        **arm,
        **{name.replace("left", "right"): mirror(skin) for name, skin in arm.items()},
    }


def pieces() -> dict[str, Pieces]:
    """Convex pieces of what could strike, by the skin they cover."""
    left = {
        "arm_left": cover(*UPPER_ARM.lengths(2, 18, 18), *FOREARM.lengths(1, 18, 18), corners=32),
        "hand_left": cover(hand().vertices, corners=32),
        "horn_left": cover(horn().vertices, corners=40),
    }
    right = {
        name.replace("left", "right"): Pieces(tuple(hull * [1, -1, 1] for hull in part.hulls), part.skin_mm)
        for name, part in left.items()
    }
    return {
        "dome": cover(dome().vertices, corners=96),
        "head": cover(HEAD.skin(34, 40).vertices, corners=80),
        "cabinet": cover(turned(((174, 0), (174, 182)), 24).vertices),
        **left,
        **right,
    }
