"""Mass, centre of mass and inertia of each link, from the solid shapes it is made of.

Shapes that are not solid are for the eye: they count neither here nor in clearance. Shapes that overlap
count twice where they do, and hollow parts count as full; where that matters, the prop file gives `mass`.
"""

from __future__ import annotations

from collections.abc import Generator, Iterator
from dataclasses import dataclass, replace

import numpy as np

from posekit.arrays import Array
from posekit.errors import Finding, warning
from posekit.prop.model import Link, Prop, Shape
from posekit.prop.shapes import sources, sources_of
from posekit.shape import Bulk
from posekit.shape.bulk import about
from posekit.stepwise import finished
from posekit.text import exact
from posekit.toml.places import dotted
from posekit.transforms import rotation_rpy

MM3_PER_CM3 = 1000.0


@dataclass(frozen=True, slots=True)
class LinkMass:
    """A link's mass [g], centre of mass (3,) [mm, link frame] and volume [cm3] of its solid shapes.

    `inertia_gmm2` (3, 3) [g mm2] is about the centre of mass, along the axes of the link frame.
    """

    mass_g: float
    centre_mm: Array
    volume_cm3: float
    inertia_gmm2: Array


def masses(prop: Prop) -> tuple[LinkMass, ...]:
    """Mass, centre, volume and inertia of every link, in the order of `prop.links`.

    A mass in the prop file holds as it is; otherwise it is density times volume. The shapes of a link
    share its mass by their volumes. Without volume the centre is the origin of the link frame.
    Raises PosekitError for a mesh that cannot be read.
    """
    return finished(mass_steps(prop))


def mass_steps(prop: Prop) -> Generator[None, None, tuple[LinkMass, ...]]:
    """`masses` in small steps of a link each, for callers with other work to do."""
    found = []
    for link in prop.links:
        found.append(mass_of(prop, link))
        yield
    return tuple(found)


def mass_of(prop: Prop, link: Link) -> LinkMass:
    """The same of one link of the prop."""
    solid = ((shape, source) for shape, source in sources_of(prop, link) if shape.solid)
    return _link_mass(link, [_placed(shape, shape.form.bulk(source)) for shape, source in solid])


def mass_findings(prop: Prop) -> list[Finding]:
    """What makes the masses of a prop doubtful: meshes that are not closed, mass without a solid shape."""
    open_: list[list[Finding]] = [[] for _ in prop.links]
    for row, shape, source in sources(prop):
        if shape.solid and not shape.form.bulk(source).is_closed:
            path = dict(shape.form.names())["mesh"]
            said = (
                "is not a closed surface, so its volume and centre may be wrong; "
                "close the mesh, or give the part a mass"
            )
            open_[row].append(warning("mesh-open", f"{source.place}.mesh", f"= '{path}': {said}"))
    return [
        finding
        for link, told in zip(prop.links, open_, strict=True)
        for finding in (*_without_volume(link), *told)
    ]


def _link_mass(link: Link, bulks: list[Bulk]) -> LinkMass:
    volume_mm3 = sum(bulk.volume_mm3 for bulk in bulks)
    centre = np.zeros(3)
    if volume_mm3 > 0.0:
        centre = sum((bulk.centre_mm * (bulk.volume_mm3 / volume_mm3) for bulk in bulks), centre)
    volume_cm3 = volume_mm3 / MM3_PER_CM3
    mass_g = link.density * volume_cm3 if link.mass is None else link.mass
    inertia = np.zeros((3, 3))
    for bulk in bulks if volume_mm3 > 0.0 else ():
        off = bulk.centre_mm - centre
        # Huygens and Steiner: what lies aside turns with its whole mass about the common centre.
        inertia += (bulk.inertia_mm5 + bulk.volume_mm3 * about(np.outer(off, off))) * (mass_g / volume_mm3)
    return LinkMass(mass_g, centre, volume_cm3, inertia)


def _placed(shape: Shape, bulk: Bulk) -> Bulk:
    turn = rotation_rpy(shape.turn)
    return replace(
        bulk, centre_mm=shape.at + turn @ bulk.centre_mm, inertia_mm5=turn @ bulk.inertia_mm5 @ turn.T
    )


def _without_volume(link: Link) -> Iterator[Finding]:
    if link.mass and not any(shape.solid for shape in link.shapes):
        said = (
            f"mass {exact(link.mass)} g, but no solid shape, so its mass is taken at the origin of the part; "
            "give it a solid shape"
        )
        yield warning("no-volume", dotted(("links", link.name)), said)
