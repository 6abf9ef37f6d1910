"""Crank, rod and slide, many at a time.

With the crank a at the angle t, the slide at X + s and the height e, the loop closes where

    (X + s - a cos t)^2 + (e - a sin t)^2 = b^2,

which for wanted ways s is linear in X, e and X^2 + e^2 - b^2 (R. L. Norton, Design of Machinery, ch. 5, from memory):
three positions give all three, and two with the height given leave X.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np

from posekit.arrays import Array, Index, Truth


@dataclass(frozen=True, slots=True, eq=False)
class Slides:
    """N slider-cranks; all (N,). `horn_deg` is the crank's angle at shaft 0, `side` +1 with the slide ahead of it."""

    horn: Array
    rod: Array
    offset: Array
    horn_deg: Array
    side: Array

    def take(self, index: Index | Truth) -> Slides:
        """Those at `index`, or of a mask."""
        return Slides(**{declared.name: getattr(self, declared.name)[index] for declared in fields(self)})

    def motion(self, shafts_deg: Array) -> tuple[Array, Array]:
        """Place of the slide [mm] and transmission angle [deg] at S shaft angles; two (N, S). nan where it is open."""
        along, up = _pin(self.horn, self.horn_deg, shafts_deg)
        rise, rod = up - self.offset[:, None], self.rod[:, None]
        with np.errstate(invalid="ignore"):
            ahead = np.sqrt(rod * rod - rise * rise)
            return along + self.side[:, None] * ahead, np.degrees(np.arcsin(ahead / rod))

    def apart(self, middle_deg: float) -> Array:
        """(N, 5) numbers that differ by 1 or more, one of them at least, where builders would call them different.

        Not so for two that are each other's mirror image, as seen from the middle of the shaft's turn.
        """
        lengths = np.log(np.stack([self.horn, self.rod], axis=-1)) / np.log([1.4, 1.5])
        turn = np.radians(self.horn_deg + middle_deg)
        way = np.abs(np.stack([np.cos(turn), np.sin(turn)], axis=-1)) / (2.0 * np.sin(np.radians(12.5)))
        return np.concatenate([lengths, way, np.abs(self.offset[:, None]) / 8.0], axis=-1)


def joined(found: Sequence[Slides]) -> Slides:
    """All of them, one after the other."""
    names = [declared.name for declared in fields(Slides)]
    return Slides(**{name: np.concatenate([getattr(each, name) for each in found]) for name in names})


def through_two(horn: Array, offset: Array, horn_deg: Array, shafts_deg: Array, joints_mm: Array) -> Slides:
    """Slider-cranks of given height whose slide goes as wanted between two angles of the shaft.

    `horn`, `offset` and `horn_deg` (N,); shafts [deg] and joints [mm] (2,).
    """
    along, up = _pin(horn, horn_deg, shafts_deg)
    left, rise = joints_mm - along, offset[:, None] - up
    apart = left[:, 1] - left[:, 0]
    there = np.abs(apart) > 1e-9
    squares = left**2 + rise**2
    zero = (squares[:, 0] - squares[:, 1]) / (2.0 * np.where(there, apart, 1.0))
    return _closed(horn, offset, horn_deg, zero + left[:, 0], rise[:, 0], there)


def through_all(horn: Array, horn_deg: Array, shafts_deg: Array, joints_mm: Array) -> Slides:
    """Slider-cranks of any height whose slide goes as wanted between n >= 3 angles; exact for three, else nearest.

    `horn` and `horn_deg` (N,); shafts [deg] and joints [mm] (n,).
    """
    along, up = _pin(horn, horn_deg, shafts_deg)
    left = joints_mm - along
    # -left^2 - up^2 = X (2 left) - e (2 up) + constant: taken from their means, the constant drops out.
    a, b, c = (
        each - each.mean(axis=1, keepdims=True) for each in (2.0 * left, -2.0 * up, -(left**2) - up**2)
    )
    aa, ab, bb, ac, bc = ((x * y).sum(axis=1) for x, y in ((a, a), (a, b), (b, b), (a, c), (b, c)))
    determinant = aa * bb - ab * ab
    there = determinant > 1e-9 * (aa + bb) ** 2
    determinant = np.where(there, determinant, 1.0)
    zero, offset = (ac * bb - bc * ab) / determinant, (bc * aa - ac * ab) / determinant
    return _closed(horn, offset, horn_deg, zero + left[:, 0], offset - up[:, 0], there)


def _closed(horn: Array, offset: Array, horn_deg: Array, ahead: Array, rise: Array, there: Truth) -> Slides:
    """Those that close at the first position, where the slide lies so far ahead of the pin and so far above it."""
    found = Slides(horn, np.hypot(ahead, rise), offset, horn_deg, np.sign(ahead))
    return found.take(there & (ahead != 0.0))


def _pin(horn: Array, horn_deg: Array, shafts_deg: Array) -> tuple[Array, Array]:
    """Where the crank's pin is; two (N, S) [mm]."""
    angle = np.radians(horn_deg[:, None] + shafts_deg)
    return horn[:, None] * np.cos(angle), horn[:, None] * np.sin(angle)
