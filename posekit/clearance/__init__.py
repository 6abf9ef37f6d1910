"""Whether parts of a prop can strike: distances at poses, and what is proved of them.

In reading order, each building on those above it:

    Convex cores        simplex      the point of a simplex nearest to the origin
                        cores        support points, in closed form or of vertices
                        gjk          distance of cores, with the bounds that prove it
                        hull         corners of a hull, found with gjk
    What is measured    solids       all shapes of a prop as cores grown by a radius
                        covers       hulls of points that hold the pieces
                        bounds       spheres first: which pieces can matter
    Neighbours          clip         hulls cut by planes
                        overlap      how far the common part of two pieces reaches
                        zones        where the links of a joint may touch
                        left_out     what is not judged, and why
                        watch        all that is judged of a prop
    At any poses        distance     distance of links, many at once
    In one pose         polytope     depth of two cores that overlap
                        penetration  depth of two links
                        near_pairs   the near pairs told in full
                        end_points   strikes with one drive at an end point
                        beyond       what comes first past an end point
    Meshes into pieces  portions     how much is done between two looks at the clock
                        hollow       what pieces leave free inside their mesh
                        cover        whether pieces cover and fill their mesh
                        decompose    how they are made, once, with a library
    A pair's range      chain        the joints between two links and their coordinates
                        pair_model   all that is needed to judge one pair
                        lever        the proof: how near a part can come while joints move
                        cells        boxes of coordinates, judged by it
    The envelope        verdict      what is said of a pair
                        witness      values that really strike, or are nearest
                        search       branch and bound over one pair
                        jobs         searches cut up for any executor
                        fingerprint  a name for a verdict, to keep it by
                        kept         verdicts of before, believed only as they were written
                        certify      the envelope itself
    What follows        safe_range   how much of one coordinate can stay
                        fixes        end points that make pairs clear
                        slices       maps over two channels
                        moves        strikes on the way from look to look
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from posekit.clearance.distance import Asked, Separation, distances, separation, separations
from posekit.clearance.left_out import LeftOut
from posekit.clearance.near_pairs import Near, near_finding, near_pairs
from posekit.clearance.solids import Solids, solids
from posekit.clearance.watch import Watch, left_out, pairs, watch
from posekit.later import named_later

if TYPE_CHECKING:
    from posekit.clearance.certify import Progress, envelope, envelope_steps
    from posekit.clearance.end_points import end_point_findings
    from posekit.clearance.kept import Cache
    from posekit.clearance.verdict import Envelope, PairVerdict, Suggestion

__all__ = [
    "Asked",
    "Cache",
    "Envelope",
    "LeftOut",
    "Near",
    "PairVerdict",
    "Progress",
    "Separation",
    "Solids",
    "Suggestion",
    "Watch",
    "distances",
    "end_point_findings",
    "envelope",
    "envelope_steps",
    "left_out",
    "near_finding",
    "near_pairs",
    "pairs",
    "separation",
    "separations",
    "solids",
    "watch",
]

# What no single pose needs is imported when it is first named: a page is ready the sooner. Name, and its module.
_LATER = {
    "Cache": ("kept", "Cache"),
    "Envelope": ("verdict", "Envelope"),
    "PairVerdict": ("verdict", "PairVerdict"),
    "Progress": ("certify", "Progress"),
    "Suggestion": ("verdict", "Suggestion"),
    "end_point_findings": ("end_points", "end_point_findings"),
    "envelope": ("certify", "envelope"),
    "envelope_steps": ("certify", "envelope_steps"),
}

__getattr__ = named_later(__name__, _LATER)
