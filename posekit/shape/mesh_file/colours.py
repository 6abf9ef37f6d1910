"""The colours of a mesh, and the one that stands for all of them: a part has one, a file may have one a corner.

Shares are red, green and blue, 0 to 1: encoded as a screen takes them, or linear as light adds up (IEC 61966-2-1).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from posekit.arrays import Array, Faces

LEAST = 1 / 512  # shares nearer than that are the same of 256 steps


@dataclass(frozen=True, slots=True)
class Colour:
    """A colour as #rrggbb, None where a file has none to take; `told` is what there is to tell of how it was found."""

    hex: str | None
    told: str = ""


NONE = Colour(None)


def one_colour(shares: Array, weights: Array, what: str) -> Colour:
    """One colour for encoded ones (N, 3) that cover areas (N,); `what` is where the file has them."""
    known = np.isfinite(shares).all(axis=1) & np.isfinite(weights) & (weights > 0.0)
    if not known.any():
        return NONE
    shares, weights = np.clip(shares[known], 0.0, 1.0), weights[known] / weights[known].max()
    if np.ptp(shares, axis=0).max() < LEAST:
        return Colour(_hex(shares[0]))
    mean = encoded(np.average(linear(shares), axis=0, weights=weights))
    told = f"has several colours ({what}), and a part has one: {_hex(mean)}, their mean by area"
    return Colour(_hex(mean), told)


def _hex(shares: Array) -> str:
    """Encoded shares (3,) as #rrggbb."""
    return "#" + "".join(f"{round(255.0 * each):02x}" for each in np.clip(shares, 0.0, 1.0).tolist())


def encoded(shares: Array) -> Array:
    """Linear shares as a screen takes them."""
    return np.where(shares <= 0.0031308, 12.92 * shares, 1.055 * np.maximum(shares, 0.0) ** (1 / 2.4) - 0.055)


def linear(shares: Array) -> Array:
    """Encoded shares as light adds up."""
    return np.where(shares <= 0.04045, shares / 12.92, ((np.maximum(shares, 0.0) + 0.055) / 1.055) ** 2.4)


def areas(vertices: Array, faces: Faces) -> Array:
    """The area of each triangle (F,)."""
    a, b, c = (vertices[faces[:, corner]] for corner in range(3))
    with np.errstate(over="ignore", invalid="ignore"):
        return np.asarray(0.5 * np.linalg.norm(np.cross(b - a, c - a), axis=1))
