"""What springs between two points do to the bodies of a figure."""

from __future__ import annotations

import numpy as np

from posekit.arrays import Array
from posekit.mechanism.kinematics import forward
from posekit.prop.model import Prop
from posekit.statics.bodies import FORCE, M_PER_MM, MOMENT, PULL, ROOT
from posekit.statics.burden import Burden, Coil
from posekit.statics.vectors import at, cross


def given_by_springs(prop: Prop, burden: Burden, position: Array) -> list[tuple[int, Array]]:
    """What springs give bodies at joint positions (P, J) [deg | mm]: rows of them, with force and moment (6, P)."""
    found: list[tuple[int, Array]] = []
    if not burden.coils:
        return found
    bodies = burden.bodies
    world = forward(prop, position, burden.mechanism.tree).transpose(1, 2, 3, 0)  # (L, 4, 4, P)
    for coil in burden.coils:
        one, other, force = _stretched(coil, world)
        for link, place, push in zip(coil.links.tolist(), (one, other), (force, -force), strict=True):
            if (b := bodies.home[link]) == ROOT:
                continue
            frame = world[bodies.link[b]]
            moment = cross(place - frame[:3, 3], push) * M_PER_MM
            own = np.empty((PULL, len(position)))
            for rows, vector in ((FORCE, push), (MOMENT, moment)):
                own[rows] = bodies.turned[b] @ np.einsum("ijp,ip->jp", frame[:3, :3], vector)
            found.append((b, own))
    return found


def _stretched(coil: Coil, world: Array) -> tuple[Array, Array, Array]:
    """The ends of a spring (3, P) [mm] at links (L, 4, 4, P), and its force (3, P) [N] on the first of them.

    Without length: no force.
    """
    one, other = (at(world[i], end) for i, end in zip(coil.links.tolist(), coil.ends, strict=True))
    apart = other - one
    length = np.sqrt(np.einsum("ip,ip->p", apart, apart))
    share = np.divide(
        coil.rate_n_mm * stretch_mm(coil, length), length, out=np.zeros_like(length), where=length > 0.0
    )
    return one, other, share * apart


def stretch_mm(coil: Coil, length: Array) -> Array:
    """How far a spring of these lengths [mm] is stretched; pressed together only where it pushes."""
    stretch = length - coil.free_mm
    return stretch if coil.pushes else np.maximum(stretch, 0.0)
