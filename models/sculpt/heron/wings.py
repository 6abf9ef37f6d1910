"""The left wing. Its frame: the hinge line along x through the shoulder, the wrist at z = -130."""

from __future__ import annotations

import numpy as np

from sculpt.feather import fan, plumage
from sculpt.loft import Loft
from sculpt.skin import Points, Skin, join

OUT = np.array([0.0, 1.0, 0.0])

ARM = Loft(
    (
        (4, 2, 4, 14, 10),
        (16, 5, -14, 17, 30),
        (30, 9, -56, 18, 36),
        (32, 9, -100, 17, 34),
        (28, 6, -128, 14, 28),
        (22, 4, -140, 8, 12),
    )
)


def _bow(z: Points) -> Points:
    """How far the wing bellies out to go round the flank."""
    return 9.0 * np.sin(np.pi * np.clip(-z / 150, 0, 1))


def secondaries() -> Skin:
    share = np.linspace(0, 1, 10)
    z = -128 + 112 * share
    roots = np.stack([18 - 34 * share, _bow(z), z], axis=1)
    tilt = np.radians(8 - 25 * share)
    directions = np.stack([-np.cos(tilt), np.full(10, -0.045), np.sin(tilt) - 0.06], axis=1)
    return fan(roots, directions, OUT, 190 + 34 * share, np.full(10, 34.0), layer=0.5, droop=0.03, point=0.15)


def coverts() -> Skin:
    rows = []
    for _row, (length, reach, lift, many) in enumerate(
        ((120, 0, 3.0, 11), (84, 10, 5.0, 11), (54, 20, 7.0, 10))
    ):
        share = np.linspace(0, 1, many)
        z = -132 + 124 * share
        roots = np.stack([22 - 30 * share + 0.3 * reach, _bow(z) + lift, z], axis=1)
        tilt = np.radians(6 - 21 * share)
        directions = np.stack([-np.cos(tilt), np.full(many, -0.06), np.sin(tilt)], axis=1)
        rows.append(
            fan(
                roots,
                directions,
                OUT,
                length + 12 * share,
                np.full(many, 25.0),
                layer=0.3,
                droop=0.05,
                point=0.1,
                steps=5,
            )
        )
    return join(*rows)


def shoulder_tiles() -> Skin:
    """Short feathers along the leading edge, black at the wrist in the living bird."""
    return plumage(ARM, (0.04, 0.86), (-1.4, 1.4), 7, 6, 30, 17, lift=0.08)


def primaries(count: int, first: float, last: float, layer: float) -> Skin:
    """A part of the hand: root at the wrist, feathers to the rear, tucked under the secondaries."""
    share = np.linspace(0, 1, count)
    tilt = np.radians(11 - 15 * share)
    directions = np.stack([-np.cos(tilt), np.full(count, -0.05), np.sin(tilt)], axis=1)
    roots = np.stack([4 + 6 * share, np.full(count, layer), 8 - 14 * share], axis=1)
    lengths = first + (last - first) * share
    return fan(roots, directions, OUT, lengths, np.full(count, 29.0), layer=0.55, droop=0.05, point=0.45)
