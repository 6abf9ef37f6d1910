"""The skins of the tree figure. Every part in the frame of its link, mm; the left side is y > 0."""

from __future__ import annotations

import numpy as np

from posekit.shape.piece_file import Pieces
from sculpt.bark import foliage, twigs
from sculpt.cover import cover
from sculpt.loft import ball, turned
from sculpt.longwood.limbs import (
    ALONG_Y,
    BOUGH,
    CROWN,
    CROWN_BACK,
    FOREARM,
    HAND,
    TWIG,
    bark,
    lengths,
    shoots,
    twigs_skin,
)
from sculpt.longwood.stump import (
    STUMP,
    hollow,
    litter,
    moss,
    mound,
    mushrooms,
    owl,
    owl_eyes,
    owl_face,
    roots,
)
from sculpt.longwood.trunk import (
    JAW,
    NOSE,
    TRUNK,
    beard,
    brow,
    brow_moss,
    cheeks,
    ivy,
    knots,
    lid,
    moustache,
    plates,
    shag,
    sockets,
)
from sculpt.skin import Skin, facing_front, join, mirror


def skins() -> dict[str, Skin]:
    """All skins by file name."""
    grown = shoots()
    left = {
        "bough_left": bark(BOUGH, ALONG_Y, 30, 24),
        "bough_twigs_left": twigs_skin(grown["bough"]),
        "bough_leaves_left": foliage(grown["bough"], 7, 44, 0.3),
        "forearm_left": bark(FOREARM, ALONG_Y, 28, 20),
        "forearm_leaves_left": join(twigs_skin(grown["forearm"]), foliage(grown["forearm"], 6, 38, 1.1)),
        "hand_left": bark(HAND, ALONG_Y, 16, 18),
        "twig": bark(TWIG, ALONG_Y, 18, 10),
        "twig_leaves": foliage([TWIG, *twigs(TWIG, ALONG_Y, 3, 40, 0.6)], 4, 34, 2.0),
        "crown_left": bark(CROWN, (0, 1, 0), 30, 20),
        "crown_shoots_left": twigs_skin(grown["crown"]),
        "crown_green_left": foliage(grown["crown"], 13, 70, 0.0, (0, 2)),
        "crown_gold_left": foliage(grown["crown"], 13, 70, 0.0, (1, 2)),
        "brow_left": brow(),
        "brow_moss_left": brow_moss(),
        "lid_left": lid(),
    }
    right = {name.replace("left", "right"): mirror(skin) for name, skin in left.items() if "left" in name}
    return {
        "mound": mound(),
        "litter": litter(),
        "stump": STUMP.skin(40, 84),
        "roots": roots(),
        "moss": moss(),
        "caps": mushrooms()[0],
        "stems": mushrooms()[1],
        "hollow": hollow(),
        "owl": owl(),
        "owl_face": owl_face(),
        "owl_eyes": owl_eyes(),
        "trunk": TRUNK.skin(50, 84),
        "plates": plates(),
        "stump_plates": shag(STUMP, (0.30, 0.97), (0.0, 2 * np.pi), 5, 24, 92),
        "cheeks": cheeks(),
        "knots": knots(),
        "sockets": sockets(),
        "ivy": ivy(),
        "moustache": moustache(),
        "nose": NOSE.skin(24, 26),
        "jaw": JAW.skin(28, 36),
        "beard": beard(),
        "mouth": ball((78, 0, 226), (34, 72, 34), 14),
        "eye": ball((0, 0, 0), (27, 27, 27), 16),
        "iris": facing_front(turned(((14, 0), (14, 2), (11, 4), (3, 4.4)), 30), (23.5, 0, 0)),
        "pupil": facing_front(turned(((6.5, 0), (6.5, 2), (4, 2.8), (1, 2.8)), 24), (26.4, 0, 0)),
        "crown_back": bark(CROWN_BACK, (0, 1, 0), 32, 20),
        "crown_shoots_back": twigs_skin(grown["crown_back"]),
        "crown_green_back": foliage(grown["crown_back"], 13, 72, 0.7, (0, 2)),
        "crown_gold_back": foliage(grown["crown_back"], 13, 72, 0.7, (1, 2)),
        **left,
        **right,
    }


def pieces() -> dict[str, Pieces]:
    """Convex pieces of what could strike, by the skin they cover. Leaves, moss and thin shoots are soft."""
    left = {
        "bough_left": cover(*lengths(BOUGH, ALONG_Y, 2, 30, 24), corners=40),
        "forearm_left": cover(*lengths(FOREARM, ALONG_Y, 2, 28, 20), corners=36),
        "hand_left": cover(*lengths(HAND, ALONG_Y, 1, 16, 18), corners=36),
        "crown_left": cover(*lengths(CROWN, (0, 1, 0), 3, 30, 20), corners=32),
    }
    right = {
        name.replace("left", "right"): Pieces(tuple(hull * [1, -1, 1] for hull in part.hulls), part.skin_mm)
        for name, part in left.items()
    }
    return {
        "stump": cover(*STUMP.lengths(3, 40, 84), corners=64),
        "mound": cover(mound().vertices, corners=128),
        "trunk": cover(*TRUNK.lengths(4, 50, 84), corners=80),
        "nose": cover(NOSE.skin(24, 26).vertices, corners=40),
        "jaw": cover(JAW.skin(28, 36).vertices, corners=48),
        "owl": cover(owl().vertices, corners=48),
        "twig": cover(*lengths(TWIG, ALONG_Y, 2, 18, 10), corners=24),
        "crown_back": cover(*lengths(CROWN_BACK, (0, 1, 0), 3, 32, 20), corners=32),
        **left,
        **right,
    }
