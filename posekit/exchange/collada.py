"""Collada meshes (.dae), which packages of URDF often have: their surfaces, one for each colour.

Read by pycollada, of the extra `posekit[urdf]`, once it is plain that the file is XML within its budgets. The unit that
the file states is taken; its up_axis is not, and every coordinate stays as it stands, because that is how the tools do
it that URDFs are made and looked at with (ros-visualization/rviz, issue 1045).
"""

from __future__ import annotations

import warnings
from collections.abc import Iterator
from importlib.util import find_spec
from io import BytesIO
from typing import Any
from xml.etree import ElementTree

import numpy as np

from posekit.arrays import Array
from posekit.budgets import IMPORT_TRIANGLES, MESH_NODES, VALUE_LETTERS
from posekit.errors import PosekitError, error
from posekit.exchange.surfaces import Surface
from posekit.exchange.xmltree import Element, xml_tree
from posekit.shape.mesh_file import checked, merged
from posekit.shape.mesh_file.colours import Colour
from posekit.text import decimal, printable

_OF_MATERIALS = ("library_images", "library_effects", "library_materials", "bind_material")
_ZIP_END = b"PK\x05\x06"  # with it, anywhere near its end, pycollada would take the file for a zip


def collada_surfaces(content: bytes, name: str) -> list[Surface]:
    """The surfaces of a Collada file in metres, every node in its place; triangles of one colour are one surface.

    `name` is how messages call the file. Raises PosekitError for a file that cannot be read, that holds no triangle or
    more than posekit takes, and where pycollada is not there.
    """
    root = xml_tree(content, name)
    if find_spec("collada") is None:
        sentence = (
            "is Collada, which needs `pip install 'posekit[urdf]'`; or export it as STL, OBJ, PLY or GLB"
        )
        raise PosekitError([error("needs-extra", "", sentence, file=name)])
    try:
        if _ZIP_END in content:
            raise ValueError("it holds a zip file")
        with warnings.catch_warnings(action="ignore"):  # of dates and such, which nothing here asks for
            warnings.filterwarnings("error", message=".*could not be read to its end")
            loaded = _loaded(content)
        unit_m = _unit_m(root)
        by_colour: dict[str | None, list[Array]] = {}
        total = 0
        for corners, frame, colour in _drawn(loaded):
            if (total := total + len(corners)) > IMPORT_TRIANGLES:
                raise ValueError(f"more than {IMPORT_TRIANGLES} triangles; thin it out")
            with np.errstate(over="ignore", invalid="ignore"):
                by_colour.setdefault(colour, []).append((corners @ frame[:3, :3].T + frame[:3, 3]) * unit_m)
        surfaces = [_surface(name, np.concatenate(found), colour) for colour, found in by_colour.items()]
        if not any(len(surface.faces) for surface in surfaces):
            raise ValueError("it holds no triangle with an area")
        return [surface for surface in surfaces if len(surface.faces)]
    except MemoryError:
        raise
    except Exception as problem:  # a parser fed with any bytes can raise anything
        sentence = f"cannot be read as Collada ({type(problem).__name__}: {problem}); export it again"
        raise PosekitError([error("mesh-unusable", "", sentence, file=name)]) from problem


def _unit_m(root: Element) -> float:
    """What one unit of the file is in metres. Raises ValueError for what is no number."""
    asset = _named(root, "asset")
    unit = asset and _named(asset, "unit")
    meter = unit.attributes.get("meter", "1") if unit else "1"
    if (found := decimal(meter.strip())) is None:
        raise ValueError(f"its unit is '{printable(meter, VALUE_LETTERS)}' m, which is no number")
    return found


def _named(element: Element, tag: str) -> Element | None:
    """The first child of this name, whatever prefix it has."""
    return next((child for child in element.children if child.tag.rpartition(":")[2] == tag), None)


def _loaded(content: bytes) -> Any:
    """The file by pycollada; without its materials if these name pictures that are not there, as many do."""
    import collada

    try:
        return collada.Collada(BytesIO(content))
    except collada.common.DaeBrokenRefError:
        root = ElementTree.fromstring(content)
        for holder in list(root.iter()):
            for child in list(holder):
                if child.tag.rpartition("}")[2] in _OF_MATERIALS:
                    holder.remove(child)
        return collada.Collada(BytesIO(ElementTree.tostring(root)))


def _drawn(loaded: Any) -> Iterator[tuple[Array, Array, str | None]]:
    """Corners (F, 3, 3), frame (4, 4) in the scene and colour of each part of each mesh that the scene shows."""
    import collada

    waiting = [(node, np.eye(4)) for node in (loaded.scene.nodes if loaded.scene else ())]
    count = 0
    # Ends: nodes may show each other many times over, so all that are met count against MESH_NODES.
    while waiting:
        if (count := count + 1) > MESH_NODES:
            raise ValueError(f"more than {MESH_NODES} nodes; export it as one mesh")
        node, frame = waiting.pop()
        if isinstance(node, collada.scene.GeometryNode):
            colours = {each.symbol: _colour(each.target.effect) for each in node.materials}
            for primitive in node.geometry.primitives:
                if isinstance(primitive, collada.polylist.Polylist):
                    primitive = primitive.triangleset()
                if isinstance(primitive, collada.triangleset.TriangleSet) and primitive.vertex is not None:
                    corners = np.asarray(primitive.vertex, float)[primitive.vertex_index].reshape(-1, 3, 3)
                    yield corners, frame, colours.get(primitive.material)
        elif isinstance(node, collada.scene.Node):
            waiting += [(child, frame @ np.asarray(node.matrix, float)) for child in node.children]


def _colour(effect: Any) -> str | None:
    """The plain colour of a material; None where it is a picture."""
    diffuse = effect.diffuse
    if not isinstance(diffuse, tuple | list | np.ndarray) or len(diffuse) < 3:
        return None
    red, green, blue = (round(255 * min(max(float(value), 0.0), 1.0)) for value in diffuse[:3])
    return f"#{red:02x}{green:02x}{blue:02x}"


def _surface(name: str, corners: Array, colour: str | None) -> Surface:
    """Triangles (F, 3, 3) [m] as a surface. Raises ValueError for what is no mesh."""
    points, rows = corners.reshape(-1, 3), np.arange(3 * len(corners)).reshape(-1, 3)
    vertices, faces = merged(*checked(points, rows, 1.0, IMPORT_TRIANGLES, least=0.0))
    return Surface("", name, vertices, faces, len(corners) - len(faces), Colour(colour), False)
