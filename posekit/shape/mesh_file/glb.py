"""GLB (glTF 2.0, ISO/IEC 12113): the triangles of each node that has a mesh, where it stands, with name and colour.

Read by hand, because a node's place in the tree and its own name tell what part it is, and because what a file says
of its sizes is looked at before any of it is believed.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from posekit.arrays import Array, Faces
from posekit.budgets import CORNERS_OF_TRIANGLE, GLB_JSON_BYTES, LINE_BYTES, MESH_NODES, MESH_TRIANGLES
from posekit.shape.mesh_file.colours import NONE, Colour
from posekit.shape.mesh_file.glb_colour import Picture, surface_colour
from posekit.shape.protocol import Triangles
from posekit.textfile import json_value

HEAD = struct.Struct("<4sIII4s")
CHUNK = struct.Struct("<I4s")
TRIANGLES, STRIP, FAN = 4, 5, 6  # primitive modes; the lower ones are points and lines, which are passed over
NUMBERS = {5121: "<u1", 5123: "<u2", 5125: "<u4", 5126: "<f4"}  # component types
WIDE = {"SCALAR": 1, "VEC2": 2, "VEC3": 3, "VEC4": 4}  # numbers of a row


@dataclass(frozen=True, slots=True, eq=False)
class Node:
    """A surface of a GLB in the frame of its scene, in the units of the file.

    `path` has the names of the nodes from the root to it, empty where one has none. `colour` is what was found of it
    where colours are asked for. A node of several surfaces gives as many of these, of one `index`.
    """

    index: int
    path: tuple[str, ...]
    vertices: Array
    faces: Faces
    colour: Colour = NONE


def read_glb(content: bytes, most: int = MESH_TRIANGLES) -> Triangles:
    """The triangles of a GLB file, every node in its place. Raises ValueError, as `triangles_in` does."""
    found = nodes_in(content, most)
    starts = np.cumsum([0, *(len(node.vertices) for node in found)])
    faces = [node.faces + start for node, start in zip(found, starts, strict=False)]
    return (
        np.concatenate([np.empty((0, 3)), *(node.vertices for node in found)]),
        np.concatenate([np.empty((0, 3), np.int64), *faces]),
    )


def nodes_in(content: bytes, most: int = MESH_TRIANGLES, picture: Picture | None = None) -> list[Node]:
    """The surfaces of a GLB file, of `most` triangles together, in the order of its nodes.

    With `picture`, which reads the pictures in it, their colours are looked for.
    Raises ValueError as `triangles_in` does.
    """
    described, binary = _chunks(content)
    try:
        if wanted := described.get("extensionsRequired"):
            names = ", ".join(map(str, wanted))
            raise ValueError(f"needs {names[:LINE_BYTES]}; export it as plain glTF 2.0")
        _refuse_large(described, most)
        return list(_nodes(described, binary, picture))
    except (KeyError, TypeError, AttributeError, IndexError, OverflowError) as reason:
        raise ValueError(f"has a description that is no glTF ({reason!r}); export it again") from reason


def _chunks(content: bytes) -> tuple[Any, bytes]:
    if len(content) < HEAD.size or content[:4] != b"glTF":
        raise ValueError("is no GLB file, which begins with glTF; export it again")
    _, _, length, json_length, kind = HEAD.unpack_from(content)
    end = HEAD.size + json_length
    if kind != b"JSON" or length > len(content) or end > len(content):
        raise ValueError(f"is cut short: it tells of {length} bytes and has {len(content)}; export it again")
    if json_length > GLB_JSON_BYTES:
        raise ValueError(f"has a description of {json_length} bytes; {GLB_JSON_BYTES} are the most")
    described = json_value(content[HEAD.size : end])
    if end + CHUNK.size > len(content):
        return described, b""
    size, kind = CHUNK.unpack_from(content, end)
    if kind != b"BIN\0" or end + CHUNK.size + size > len(content):
        raise ValueError(f"has no whole second part at byte {end} of {len(content)}; export it again")
    return described, content[end + CHUNK.size : end + CHUNK.size + size]


def _refuse_large(described: dict[str, Any], most: int) -> None:
    """Raise ValueError for a GLB that asks for more than a mesh may be, node by node."""
    accessors, nodes = described.get("accessors", []), described.get("nodes", [])
    counts = [_count(accessor["count"]) for accessor in accessors]
    if any("bufferView" not in accessor or "sparse" in accessor for accessor in accessors):
        raise ValueError("has values that stand in no buffer, or few of them; export it as plain glTF 2.0")
    if len(nodes) > MESH_NODES:
        raise ValueError(f"has {len(nodes)} nodes; use {MESH_NODES} or fewer")
    if len(accessors) > 8 * MESH_NODES or sum(counts) > 5 * CORNERS_OF_TRIANGLE * most:
        raise ValueError(f"holds {sum(counts)} values; a mesh of {most} triangles needs fewer")
    children = [child for node in nodes for child in node.get("children", ())]
    if len(set(children)) < len(children):
        raise ValueError("has a node that hangs on two others; export it again")
    corners = [
        sum(max(counts[at] for at in _named(part)) for part in mesh["primitives"])
        for mesh in described.get("meshes", [])
    ]
    there = sum(corners[node["mesh"]] for node in nodes if "mesh" in node)
    if there > CORNERS_OF_TRIANGLE * most:
        raise ValueError(f"has {there // 3} triangles in all its nodes; use {most} or fewer")


def _named(part: dict[str, Any]) -> list[int]:
    """The accessors that make the triangles of a part: of its vertices, and of the rows that name them."""
    return [part["attributes"]["POSITION"], *([part["indices"]] if "indices" in part else [])]


def _count(found: Any) -> int:
    if isinstance(found, bool) or not isinstance(found, int) or found < 0:
        raise ValueError(f"has {str(found)[:40]!r} where a count is needed; export it again")
    return found


def _nodes(described: dict[str, Any], binary: bytes, picture: Picture | None) -> Iterator[Node]:
    nodes = described.get("nodes", [])
    parent = {child: index for index, node in enumerate(nodes) for child in node.get("children", ())}
    if not set(parent) <= set(range(len(nodes))):
        raise ValueError("has a node below another that is not there; export it again")
    for index, node in enumerate(nodes):
        if "mesh" not in node:
            continue
        line = _line(index, parent, len(nodes))
        scene_from_node = np.eye(4)
        for each in line:
            scene_from_node = scene_from_node @ _placed(nodes[each])
        path = tuple(str(nodes[each].get("name", "")) for each in line)
        for part in described["meshes"][node["mesh"]]["primitives"]:
            if part.get("mode", TRIANGLES) >= TRIANGLES:
                # What is not finite is told by who takes the mesh.
                with np.errstate(over="ignore", invalid="ignore"):
                    vertices = _values(described, binary, part["attributes"]["POSITION"], "VEC3").astype(
                        float
                    )
                    faces = _faces(described, binary, part, len(vertices))
                    placed = vertices @ scene_from_node[:3, :3].T + scene_from_node[:3, 3]
                    if np.linalg.det(scene_from_node[:3, :3]) < 0.0:  # a mirror turns the faces round
                        faces = faces[:, ::-1]
                colour = _colour(described, binary, part, (placed, faces), picture) if picture else NONE
                yield Node(index, path, placed, faces, colour)


def _line(index: int, parent: dict[int, int], count: int) -> list[int]:
    """The nodes from the root to one. Raises ValueError if they go in a circle."""
    line = [index]
    # Ends: more nodes in the line than there are is a circle, and told.
    while line[-1] in parent:
        line.append(parent[line[-1]])
        if len(line) > count:
            raise ValueError("has a node that hangs on itself; export it again")
    return line[::-1]


def _placed(node: dict[str, Any]) -> Array:
    """The matrix (4, 4) to the parent of a node from it."""
    if "matrix" in node:
        return np.array(node["matrix"], float).reshape(4, 4).T  # stored by columns
    x, y, z, w = map(float, node.get("rotation", (0, 0, 0, 1)))
    placed = np.eye(4)
    # Rotation of a unit quaternion (any text on them).
    placed[:3, :3] = np.array(
        [
            [1 - 2 * (y * y + z * z), 2 * (x * y - z * w), 2 * (x * z + y * w)],
            [2 * (x * y + z * w), 1 - 2 * (x * x + z * z), 2 * (y * z - x * w)],
            [2 * (x * z - y * w), 2 * (y * z + x * w), 1 - 2 * (x * x + y * y)],
        ]
    ) * np.array(node.get("scale", (1, 1, 1)), float)
    placed[:3, 3] = np.array(node.get("translation", (0, 0, 0)), float)
    return placed


def _values(described: dict[str, Any], binary: bytes, index: int, kind: str) -> Any:
    """The rows of an accessor, one number to four each."""
    accessor = described["accessors"][index]
    view = described["bufferViews"][accessor["bufferView"]]
    number = np.dtype(NUMBERS.get(accessor["componentType"], "<f4"))
    wide = WIDE[kind]
    if accessor["type"] != kind or accessor["componentType"] not in NUMBERS or view.get("buffer", 0) != 0:
        raise ValueError("has values of a kind that a mesh does not need; export it as plain glTF 2.0")
    count, size = _count(accessor["count"]), number.itemsize * wide
    stride = _count(view.get("byteStride", 0)) or size
    start = _count(view.get("byteOffset", 0)) + _count(accessor.get("byteOffset", 0))
    if count and (stride < size or start + stride * (count - 1) + size > len(binary)):
        raise ValueError(f"names bytes from {start} on that its {len(binary)} do not hold; export it again")
    return (
        np.ndarray((count, wide), number, binary, start, (stride, number.itemsize))
        if count
        else np.empty((0, wide))
    )


def _faces(described: dict[str, Any], binary: bytes, part: dict[str, Any], count: int) -> Faces:
    if "indices" in part:
        rows = _values(described, binary, part["indices"], "SCALAR")[:, 0].astype(np.int64)
    else:
        rows = np.arange(count)
    mode = part.get("mode", TRIANGLES)
    if mode == TRIANGLES:
        return np.asarray(rows[: len(rows) // 3 * 3].reshape(-1, 3))
    if len(rows) < 3 or mode not in (STRIP, FAN):
        return np.empty((0, 3), np.int64)
    if mode == FAN:
        return np.column_stack([np.full(len(rows) - 2, rows[0]), rows[1:-1], rows[2:]])
    strip = np.column_stack([rows[:-2], rows[1:-1], rows[2:]])
    strip[1::2] = strip[1::2][:, [1, 0, 2]]  # each second one would face the other way
    return strip


def _colour(
    described: dict[str, Any],
    binary: bytes,
    part: dict[str, Any],
    mesh: tuple[Array, Faces],
    picture: Picture,
) -> Colour:
    def values(index: int, kind: str) -> Array:
        found = _values(described, binary, index, kind)
        # Whole numbers stand for 0 to 1 (normalized), of colours and places in a picture alike.
        return np.asarray(found / (np.iinfo(found.dtype).max if found.dtype.kind == "u" else 1.0), float)

    def bytes_of(index: int) -> bytes:
        view = described["bufferViews"][index]
        start = _count(view.get("byteOffset", 0))
        return binary[start : start + _count(view["byteLength"])]

    return surface_colour(described, part, values, bytes_of, mesh, picture)
