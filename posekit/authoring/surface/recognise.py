"""The largest plain surface about a face of a mesh, or why none is told.

Of the surfaces that are sound the simplest is told that explains as much as any and as well: a plane before a cylinder,
that before a cone, and a sphere last. What is known of it is that of its whole region, and not of a sample.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import radians, tan
from typing import Literal

import numpy as np

from posekit.arrays import Array, Index
from posekit.authoring.surface.forms import Form, Kind, refined, spread
from posekit.authoring.surface.grow import (
    Grown,
    best_grown,
    corners_of,
    explained,
    explains_all,
    is_smooth,
    median,
    sample_of,
    smooth_region,
)
from posekit.authoring.surface.mesh import Walk, joined
from posekit.transforms import unit

KINDS: tuple[Kind, ...] = ("plane", "cylinder", "cone", "sphere")  # the simplest first
ALIKE = 0.9  # share of the largest surface that a simpler one must explain
CLOSE, NEGLIGIBLE_MM = 1.3, 0.002  # times the least distances, and what more, that a simpler one may leave
TAPER_DEG = 1.0  # up to here a cone is a cylinder with the draft of a mould
FLATS = 3.0  # two flats lie on any cylinder
LEAST_SHARE = 1 / 24  # of a full turn: 15 degrees
UNCERTAIN_SHARE, UNCERTAIN_DEG = 0.1, 3.0  # of the radius: what is told of an axis is meant to be built by
GOES_ON = (
    0.5  # share of a region's area that faces right beyond its smooth ends have if it is a strip of more
)
ALONG = 0.7  # cosine between an axis and an edge that ends no wall: the sides of a slot go on smoothly
PLENTY = 20_000  # points in a last fit
FREELY_BENT = "the surface there is bent freely: no plane, cylinder, cone or sphere fits it"

Told = Literal["plane", "cylinder", "cone", "sphere", "none"]


@dataclass(frozen=True, slots=True)
class Surface:
    """The surface of a mesh about a face of it.

    `kind` is "none" where nothing fits, and `why` then says so. `point` (3,) [mm] is the middle of the region on a
    plane or on the axis of a cylinder or cone, or the centre of a sphere; `direction` (3,) the normal or axis, or
    None; `radius` [mm] that at the point. `is_hole` tells a surface that is seen from its hollow side. `length` [mm]
    is the region's along the axis, `share` of the full turn goes around it. `rms` and `worst` [mm] are distances of
    the mesh's corners; `uncertain_mm` and `uncertain_deg` what noise leaves open of a cylinder's axis, one standard
    deviation. `faces` (n,) are those of the region.
    """

    kind: Told
    why: str
    point: Array
    direction: Array | None
    radius: float
    slope_deg: float
    is_hole: bool
    length: float
    share: float
    rms: float
    worst: float
    uncertain_mm: float
    uncertain_deg: float
    faces: Index


def surface_about(walk: Walk, seed: int) -> Surface:
    """The largest plain surface about a face of a mesh; of kind "none" where no one fits."""
    region = smooth_region(walk, seed)
    sample = sample_of(walk, region)
    sound: list[Grown] = []
    for kind in KINDS:
        best = best_grown(kind, walk, sample)
        if best is not None and best.is_sound:
            sound.append(best)
            if explains_all(best, sample):
                break
    if not sound:
        nowhere = np.full(3, np.nan)
        return Surface("none", FREELY_BENT, nowhere, None, 0, 0, False, 0, 0, 0, 0, 0, 0, region)
    most = max(each.area for each in sound)
    alike = [each for each in sound if each.area >= ALIKE * most]
    least = min(each.rms for each in alike)
    chosen = next(each for each in alike if each.rms <= CLOSE * least + NEGLIGIBLE_MM)
    return _told(walk, seed, region, chosen)


def _told(walk: Walk, seed: int, region: Index, chosen: Grown) -> Surface:
    """The surface over all of the mesh that is joined to the face, and not only of the sample."""
    form, side = chosen.form, chosen.side
    held = explained(form, walk, np.arange(len(walk.areas)), chosen.tolerance, side)
    held[seed] = True
    whole = held.sum() == len(region) and held[region].all()
    faces = region if whole else joined(walk, seed, held[walk.beside] & (walk.beside >= 0))
    points = corners_of(walk, faces, PLENTY)
    # Fewer faces may be joined than looked at: the fit is that of these alone.
    form = refined(form, points) or form
    kind: Told = form.kind
    if form.kind == "cone" and abs(form.slope_deg) <= TAPER_DEG:
        kind = "cylinder"
    distances = form.distances(points)
    rms = float(np.sqrt((distances**2).mean()))
    share, flat = _around(form, walk, faces)
    uncertain = (0.0, 0.0)
    why = ""
    if form.kind in ("cylinder", "cone"):
        uncertain = spread(form, points, max(rms, NEGLIGIBLE_MM))
        why = _too_little(form, share, flat, uncertain)
    if form.kind != "sphere" and _goes_on(walk, faces, form):
        why = FREELY_BENT
    along = (points - form.point) @ form.axis
    ends = (float(along.min()), float(along.max())) if form.kind != "sphere" else (0.0, 0.0)
    middle = form.point + (ends[0] + ends[1]) / 2 * form.axis if form.kind != "plane" else form.point
    radius = form.radius + (ends[0] + ends[1]) / 2 * tan(radians(form.slope_deg))
    return Surface(
        kind="none" if why else kind,
        why=why,
        point=middle,
        direction=None
        if why or form.kind == "sphere"
        else _same_way(form.axis, walk.normals[seed], form.kind),
        radius=float(radius),
        slope_deg=abs(form.slope_deg),
        is_hole=side < 0 and form.kind != "plane",
        length=0.0 if form.kind in ("plane", "sphere") else ends[1] - ends[0],
        share=share,
        rms=rms,
        worst=float(np.abs(distances).max()),
        uncertain_mm=uncertain[0],
        uncertain_deg=uncertain[1],
        faces=faces,
    )


def _goes_on(walk: Walk, faces: Index, form: Form) -> bool:
    """Whether a region is a strip of a bent surface: what follows smoothly beyond its ends is as large as itself."""
    inside = np.zeros(len(walk.areas), bool)
    inside[faces] = True
    beside = walk.beside[faces]
    leads_out = is_smooth(walk)[faces] & ~inside[beside]
    if form.kind != "plane":
        edges = np.roll(walk.corners[faces], -1, axis=1) - walk.corners[faces]
        length = np.linalg.norm(edges, axis=2)
        leads_out &= np.abs(edges @ form.axis) < ALONG * length
    beyond = np.unique(beside[leads_out])
    return bool(walk.areas[beyond].sum() > GOES_ON * walk.areas[faces].sum())


def _around(form: Form, walk: Walk, faces: Index) -> tuple[float, float]:
    """The share of the full turn that faces take about an axis, and the angle [deg] that a face takes mostly."""
    if form.kind in ("plane", "sphere"):
        return 0.0, 0.0
    first = unit(np.cross(form.axis, np.eye(3)[int(np.argmin(np.abs(form.axis)))]))
    about = walk.vertices - form.point
    angle = np.degrees(np.arctan2(about @ np.cross(form.axis, first), about @ first))
    begin, one, two = angle[walk.faces[faces]].T
    one, two = ((each - begin + 180.0) % 360.0 - 180.0 for each in (one, two))
    back = np.minimum(np.minimum(one, two), 0.0)
    low, high = (begin + back) % 360.0, np.maximum(np.maximum(one, two), 0.0) - back
    # The union of the spans, those over the end of the turn also from before its beginning.
    begins = np.concatenate([low, low - 360.0])
    ends = begins + np.tile(high, 2)
    order = np.argsort(begins)
    begins, ends = np.clip(begins[order], 0.0, 360.0), np.clip(ends[order], 0.0, 360.0)
    before = np.concatenate([[0.0], np.maximum.accumulate(ends)[:-1]])
    covered = np.maximum(ends - np.maximum(begins, before), 0.0).sum()
    return float(covered) / 360.0, median(high)


def _too_little(form: Form, share: float, flat_deg: float, uncertain: tuple[float, float]) -> str:
    """Why the axis of a cylinder is better not told; empty where it is known well."""
    if share * 360.0 < (FLATS - 0.5) * flat_deg or share < LEAST_SHARE:
        return f"only {360 * share:.0f} degrees of a round wall are there, too little to tell its axis by"
    if uncertain[0] > UNCERTAIN_SHARE * form.radius or uncertain[1] > UNCERTAIN_DEG:
        return (
            f"a round wall of radius {form.radius:.1f} mm may be there, but its axis is only known to "
            f"{uncertain[0]:.2f} mm and {uncertain[1]:.1f} degrees"
        )
    return ""


def _same_way(axis: Array, normal: Array, kind: Kind) -> Array:
    """A normal as its faces look; an axis with its largest part positive, so that it does not depend on the mesh."""
    turned = axis @ normal if kind == "plane" else axis[int(np.argmax(np.abs(np.round(axis, 6))))]
    return np.asarray(axis if turned >= 0 else -axis)
