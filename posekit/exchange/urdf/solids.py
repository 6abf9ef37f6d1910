"""The visuals and collisions of a URDF's links: their geometry, place and colour."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from posekit.exchange.urdf.attributes import Attributes
from posekit.exchange.urdf.model import Box, Capsule, Cylinder, Geometry, Mesh, Solid, Sphere
from posekit.exchange.xmltree import Element
from posekit.text import listed

Colours = Mapping[str, str]  # #rrggbb of each material that has a name


def colours_of(root: Element, read: Attributes) -> Colours:
    """The colour of each material that has a name: those of the robot first, then those within its links."""
    inner = [each for link in root.every("link") for each in link.walk() if each.tag == "material"]
    found: dict[str, str] = {}
    for material in (*root.every("material"), *inner):
        if (colour := _colour(material, read)) is not None:
            found.setdefault(material.attributes.get("name", ""), colour)
    return found


def solid_of(element: Element, subject: str, colours: Colours, read: Attributes) -> Solid:
    """A visual or a collision."""
    colour = None
    if (material := element.one("material")) is not None:
        name = material.attributes.get("name", "")
        colour = _colour(material, read) or colours.get(name)
        if colour is None and material.one("texture") is None:
            said = f"material '{name}' has no colour anywhere in the file, so posekit chooses one"
            read.mention(material, "colour", subject, said)
    return Solid(_geometry(element, subject, read), read.pose(element, subject), element.line, colour)


def _colour(material: Element, read: Attributes) -> str | None:
    """Red, green and blue, each 0 to 1 in the file and without its alpha, as #rrggbb."""
    if (element := material.one("color")) is None:
        return None
    channels = [
        round(255 * min(max(value, 0.0), 1.0)) for value in read.four(element, "rgba", "material")[:3]
    ]
    return "#" + "".join(f"{channel:02x}" for channel in channels)


def _geometry(element: Element, subject: str, read: Attributes) -> Geometry:
    """The one shape in a <geometry>."""
    holder = element.one("geometry")
    there = holder.children if holder else []
    found = [each for each in there if each.tag in _SHAPES]
    if len(found) == 1:
        return _SHAPES[found[0].tag](found[0], subject, read)
    sentence = (
        f"needs a <geometry> with one of {', '.join(_SHAPES)}; found {listed(each.tag for each in there)}"
    )
    read.tell(holder or element, subject, sentence)
    return Sphere(0.0)


def _box(element: Element, subject: str, read: Attributes) -> Geometry:
    x, y, z = (read.checked(element, "size", edge, subject) for edge in read.triple(element, "size", subject))
    return Box((x, y, z))


def _sphere(element: Element, subject: str, read: Attributes) -> Geometry:
    return Sphere(read.length(element, "radius", subject))


def _cylinder(element: Element, subject: str, read: Attributes) -> Geometry:
    return Cylinder(read.length(element, "radius", subject), read.length(element, "length", subject))


def _capsule(element: Element, subject: str, read: Attributes) -> Geometry:
    return Capsule(read.length(element, "radius", subject), read.length(element, "length", subject))


def _mesh(element: Element, subject: str, read: Attributes) -> Geometry:
    """A mesh; its scale may mirror it, but not flatten it."""
    scale = read.triple(element, "scale", subject, (1.0, 1.0, 1.0))
    if not all(1e-9 < abs(factor) < 1e9 for factor in scale):
        read.tell(
            element, subject, f"scale = {list(scale)}: use factors other than 0, such as 0.001 0.001 0.001"
        )
    return Mesh(read.text(element, "filename", subject), scale)


_SHAPES: Mapping[str, Callable[[Element, str, Attributes], Geometry]] = {
    "box": _box,
    "sphere": _sphere,
    "cylinder": _cylinder,
    "capsule": _capsule,
    "mesh": _mesh,
}
