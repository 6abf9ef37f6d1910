"""The packed figure of the director's file, read by a reader of its own: numbers, skins, poses."""

from __future__ import annotations

import json
import zlib
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

import posekit
from posekit.mechanism.kinematics import forward
from posekit.output.figure import Skins, octahedral, poses
from posekit.output.packed import Packed
from posekit.output.shading import shaded
from posekit.prop.shapes import sources_of


def unpacked(content: bytes) -> tuple[dict[str, Any], bytes]:
    """The JSON and the planes."""
    data = zlib.decompress(content)
    length = int.from_bytes(data[:4], "little")
    return json.loads(data[4 : 4 + length]), data[4 + length :]


def numbers(planes: bytes, where: dict[str, Any]) -> np.ndarray:
    """The numbers (N, C) that stand there."""
    rows, columns, count = where["rows"], where["columns"], where["bytes"]
    of = np.frombuffer(planes, np.uint8, rows * columns * count, where["at"]).reshape(columns, count, rows)
    folded = sum(of[:, plane].astype(np.int64) << (8 * plane) for plane in range(count))
    whole = np.where(folded % 2 == 0, folded // 2, -(folded + 1) // 2).T
    for _ in range(where["order"]):
        whole = np.cumsum(whole, axis=0)
    return np.array(where["from"]) + where["step"] * whole


def frames(planes: bytes, said: dict[str, Any]) -> np.ndarray:
    """World_from_link (P, L, 4, 4) of poses."""
    at = numbers(planes, said["at"]).reshape(said["count"], -1, 3)
    x, y, z, w = np.moveaxis(numbers(planes, said["turn"]).reshape(said["count"], -1, 4), -1, 0)
    out = np.zeros((*at.shape[:2], 4, 4))
    # Unit quaternion to matrix, in the form that needs none of length 1 (Hamilton product q v q* / |q|^2).
    n = x * x + y * y + z * z + w * w
    out[..., :3, :3] = np.moveaxis(
        np.array(
            [
                [w * w + x * x - y * y - z * z, 2 * (x * y - w * z), 2 * (x * z + w * y)],
                [2 * (x * y + w * z), w * w - x * x + y * y - z * z, 2 * (y * z - w * x)],
                [2 * (x * z - w * y), 2 * (y * z + w * x), w * w - x * x - y * y + z * z],
            ]
        )
        / n,
        (0, 1),
        (-2, -1),
    )
    out[..., :3, 3] = at
    out[..., 3, 3] = 1
    return out


@given(
    arrays(np.float64, st.tuples(st.integers(0, 12), st.integers(1, 4)), elements=st.floats(-1e4, 1e4)),
    st.integers(0, 2),
)
def test_packed_numbers_come_back_to_within_half_a_step(table: np.ndarray, order: int) -> None:
    packed = Packed()
    packed.whole([[7]])  # so that it does not begin at the beginning
    said, planes = unpacked(packed.encode({"table": packed.numbers(table, 0.5, order=order)}))
    found = numbers(planes, said["table"])
    assert found.shape == table.shape
    assert np.abs(found - table).max(initial=0.0) <= 0.25 + 1e-9


@pytest.mark.native  # in a page the whole file is made and compared by web/test_director_file.py
@pytest.mark.parametrize("model", ["heron", "bellows"])
def test_poses_in_the_file_are_those_of_the_core(model: str) -> None:
    """Every corner of the figure stands within a millionth of its size of where the core puts it."""
    prop = posekit.load(f"models/{model}")
    rng = np.random.default_rng(13)
    values = np.stack([rng.integers(0, drive.full_scale + 1, 20) for drive in prop.drives], axis=1)
    world = forward(prop, posekit.positions(prop, posekit.pulses(prop, values)))
    packed = Packed()
    skins = Skins(prop, packed)
    assert [link.name for link in skins.steps()] == [link.name for link in prop.links]
    size_mm = skins.size_mm(world)
    said, planes = unpacked(packed.encode({"figure": skins.said(), "poses": poses(world, size_mm, packed)}))
    drawn = frames(planes, said["poses"])
    for shape in said["figure"]["shapes"]:
        corners = np.array(np.meshgrid(*zip(*said["figure"]["forms"][shape["form"]]["box"], strict=True)))
        link_from_shape = np.array(shape["frame"]).reshape(4, 4).T
        there = link_from_shape @ np.vstack([corners.reshape(3, -1), np.ones(8)])
        off = (drawn[:, shape["link"]] - world[:, shape["link"]]) @ there
        assert np.abs(np.linalg.norm(off[:, :3], axis=1)).max() < 1e-6 * size_mm


@pytest.mark.native  # likewise
def test_skins_in_the_file_are_those_that_are_drawn_everywhere() -> None:
    prop = posekit.load("models/heron")
    packed = Packed()
    skins = Skins(prop, packed)
    list(skins.steps())
    said, planes = unpacked(packed.encode(skins.said()))
    drawn = [
        (row, shape, source)
        for row, link in enumerate(prop.links)
        for shape, source in sources_of(prop, link)
        if shape.drawn
    ]
    assert [each["link"] for each in said["shapes"]] == [row for row, _, _ in drawn]
    for (_, shape, source), each in list(zip(drawn, said["shapes"], strict=True))[::6]:
        form = said["forms"][each["form"]]
        vertices, normals, faces = shaded(*shape.form.triangles(source))
        back, newest, corners = numbers(planes, form["back"])[:, 0].astype(int), 0, []
        for step in back:
            corners.append(newest - step)
            newest += step == 0
        off = numbers(planes, form["points"])[corners] - vertices[faces.ravel()]
        assert np.abs(off).max() <= 0.5 * np.ptp(vertices, axis=0).max() / 16383 + 1e-9
        square = numbers(planes, form["normals"])[corners] / 127
        assert np.abs(square - octahedral(normals[faces.ravel()])).max() <= 0.5 / 127 + 1e-9


@given(
    st.tuples(st.floats(-1, 1), st.floats(-1, 1), st.floats(-1, 1)).filter(
        lambda way: np.linalg.norm(way) > 1e-3
    )
)
def test_a_direction_comes_back_from_the_octahedron(way: tuple[float, float, float]) -> None:
    direction = np.array([way]) / np.linalg.norm(way)
    ((x, y),) = octahedral(direction)
    z = 1 - abs(x) - abs(y)
    over = max(-z, 0.0)
    back = np.array([x - np.copysign(over, x), y - np.copysign(over, y), z])
    assert back / np.linalg.norm(back) == pytest.approx(direction[0], abs=1e-9)
