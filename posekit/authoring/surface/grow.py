"""Regions of a mesh that one surface explains: fitted to a patch about a face, then to all that lies on it.

P. J. Besl and R. C. Jain, "Segmentation through variable-order surface fitting", IEEE PAMI 10 (1988) (from memory):
patches of several sizes, surfaces of growing freedom, refitted to what they explain until that stays the same. A
region counts as sound if it ends at edges: a patch of a freely bent surface fits many things, but grows with whatever
tolerance it is given.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians

import numpy as np

from posekit.arrays import Array, Index, Truth
from posekit.authoring.surface.forms import Form, Kind, fitted, refined
from posekit.authoring.surface.mesh import Walk, joined

SMOOTH_DEG = 40.0  # between faces of one surface: a hole of 12 flats has 30, a chamfer 45
FEW, ASKEW_DEG = 48, 75.0  # faces in a region that noise may have cut off, and what it makes of a smooth edge
FACING_DEG = 60.0  # between a face and the surface it is of: fine faces lie askew where the mesh is noisy
TIGHT_MM = 0.01  # what lies nearer is on the surface: exact meshes have the digits of float32
LOOSE_MM = 0.3  # and farther off never, however noisy: printed and scanned parts are off by 0.05
LOOSE_SHARE = 0.2  # nor farther than this share of the radius
SIGMAS = 4.0
NOISY = 0.28  # share of the loosest tolerance at which all of it is filled
WIDER = 2.5  # times the tolerance, within which a region that ends at edges stays the same
GROWN = 1.35  # share by which it may grow then all the same: fillets, and slots whose sides go on
WHOLE = 0.98  # share of a region at which no other surface need be tried
ROUNDS = 10
OCTAVE = 128  # faces looked at of each doubling of the distance
FIRST, TIMES = 12, 4  # faces in the smallest patch, one for a plane, and from one size to the next
ENOUGH = 600  # points in a fit: more make it no better


@dataclass(frozen=True, slots=True)
class Sample:
    """Some `faces` (n,) of a region, the nearest first, and how much area (n,) [mm2] each of them stands for."""

    faces: Index
    area: Array


@dataclass(frozen=True, slots=True)
class Grown:
    """A form, the tolerance [mm] and side (1, or -1 of a hollow) at which it was grown, and what it explains.

    `area` [mm2] and `rms` [mm] are those of the sample.
    """

    form: Form
    tolerance: float
    side: float
    area: float
    rms: float
    is_sound: bool


def is_smooth(walk: Walk, most_deg: float = SMOOTH_DEG) -> Truth:
    """The edges (F, 3) across which the face beside is turned by so much at most."""
    turn = np.einsum("fi,fei->fe", walk.normals, walk.normals[walk.beside])
    return np.asarray((turn >= cos(radians(most_deg))) & (walk.beside >= 0))


def smooth_region(walk: Walk, seed: int) -> Index:
    """The faces to which a surface goes on from a seed, the nearest first."""
    region = joined(walk, seed, is_smooth(walk))
    if len(region) < FEW:
        # A few that lie in no plane may be cut off by noise alone, and not by edges.
        flat = fitted("plane", corners_of(walk, region), walk.normals, walk.areas)
        if (
            len(region) == 1
            or flat is None
            or np.abs(flat.distances(corners_of(walk, region))).max() > TIGHT_MM
        ):
            return joined(walk, seed, is_smooth(walk, ASKEW_DEG))
    return region


def sample_of(walk: Walk, region: Index) -> Sample:
    """Faces near the first one of a region, and ever fewer farther away."""
    rows, areas = [], []
    low, high = 0, OCTAVE
    # Ends: each span is as long as all before it.
    while low < len(region):
        high = min(high, len(region))
        some = region[np.unique(np.linspace(low, high - 1, min(OCTAVE, high - low)).astype(np.intp))]
        rows.append(some)
        areas.append(walk.areas[some] * ((high - low) / len(some)))
        low, high = high, 2 * high
    return Sample(np.concatenate(rows), np.concatenate(areas))


def best_grown(kind: Kind, walk: Walk, sample: Sample) -> Grown | None:
    """The surface of a kind that explains most of a sample about its first face, begun at several sizes."""
    sizes, size = [len(sample.faces)], 1 if kind == "plane" else FIRST
    # Ends: each is larger than the one before.
    while size < len(sample.faces):
        sizes.append(size)
        size *= TIMES
    best: Grown | None = None
    for size in sorted(sizes, reverse=True):
        grown = _grown(kind, walk, sample, sample.faces[:size])
        if grown is not None and (best is None or (grown.is_sound, grown.area) > (best.is_sound, best.area)):
            best = grown
            if explains_all(best, sample):
                break
    return best


def explains_all(grown: Grown, sample: Sample) -> bool:
    """Whether it is sound and leaves nothing of the region to others."""
    return grown.is_sound and grown.area > WHOLE * float(sample.area.sum())


def _grown(kind: Kind, walk: Walk, sample: Sample, patch: Index) -> Grown | None:
    """A surface fitted to a patch of faces, then to what it explains of the sample, until that stays the same."""
    points = corners_of(walk, patch)
    form = fitted(kind, points, walk.normals[patch], walk.areas[patch])
    if form is None:
        return None
    side, distances = _side(form, walk, patch), form.distances(points)
    if median(np.abs(distances)) > _loosest(form):  # of several surfaces; a smaller patch is tried as well
        return None
    tolerance = _tolerance(form, distances)
    held = np.zeros(len(sample.faces), bool)
    for _ in range(ROUNDS):
        now = explained(form, walk, sample.faces, tolerance, side)
        if now.sum() < 2 or (now == held).all():
            break
        held = now
        points = corners_of(walk, sample.faces[held])
        again = refined(form, points)
        if again is None:
            return None
        form, distances = again, again.distances(points)
        tolerance = _tolerance(form, distances)
        if tolerance == _loosest(form) and np.sqrt((distances**2).mean()) > NOISY * tolerance:
            return None  # it fills whatever tolerance it is given
    held = explained(form, walk, sample.faces, tolerance, side)
    if not held[:3].any():  # what is asked about is no part of it
        return None
    rms = float(np.sqrt((form.distances(corners_of(walk, sample.faces[held])) ** 2).mean()))
    area = float(sample.area[held].sum())
    wider = float(sample.area[explained(form, walk, sample.faces, WIDER * tolerance, side)].sum())
    # A few faces that noise has moved lie on anything.
    is_sound = rms <= NOISY * _loosest(form) and wider <= GROWN * area
    is_sound &= rms <= TIGHT_MM or bool(held.sum() >= FIRST)
    return Grown(form, tolerance, side, area, rms, is_sound)


def corners_of(walk: Walk, faces: Index, most: int = ENOUGH) -> Array:
    """The corners of some faces (N, 3), each once, and about `most` of them where there are more."""
    corners = np.unique(walk.faces[faces])
    return walk.vertices[corners[:: 1 + len(corners) // most]]


def median(numbers: Array) -> float:
    """The number (n,) in the middle; the upper one of two. NumPy's own needs what a page only fetches later."""
    return float(np.partition(numbers, len(numbers) // 2)[len(numbers) // 2])


def _side(form: Form, walk: Walk, faces: Index) -> float:
    """1 for faces that look away from the axis or centre, -1 for those of a hole."""
    facing = np.einsum("fi,fi->f", walk.normals[faces], form.normals(walk.corners[faces].mean(axis=1)))
    return 1.0 if facing @ walk.areas[faces] >= 0 else -1.0


def _loosest(form: Form) -> float:
    return LOOSE_MM if form.kind == "plane" else min(LOOSE_MM, LOOSE_SHARE * form.radius)


def _tolerance(form: Form, distances: Array) -> float:
    """What counts as on the surface [mm]: a few times the spread of distances, by their median, within limits."""
    spread_mm = 1.4826 * median(np.abs(distances))  # of a normal distribution
    return max(min(SIGMAS * spread_mm, _loosest(form)), TIGHT_MM)


def explained(form: Form, walk: Walk, faces: Index, tolerance: float, side: float) -> Truth:
    """Which faces (n,) lie on a surface: all three corners, and they look its way."""
    corners = walk.faces[faces]
    named, place = (
        np.unique(corners, return_inverse=True) if len(faces) < len(walk.faces) else (slice(None), corners)
    )
    close = np.abs(form.distances(walk.vertices[named])) <= tolerance
    one, two, three = place.reshape(-1, 3).T
    held = close[one] & close[two] & close[three]
    near = faces[held]
    facing = np.einsum("fi,fi->f", walk.normals[near], form.normals(walk.corners[near].mean(axis=1)))
    held[held] = side * facing >= cos(radians(FACING_DEG))
    return np.asarray(held)
