"""Small pictures of triangles: what covers what, how large it is, and how it is kept as a PNG."""

from __future__ import annotations

import struct
import tracemalloc
import zlib

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from posekit.output import drawing as drawing_of
from posekit.output.drawing import GROUND, Skin, drawing
from posekit.output.png import encode
from posekit.shape.protocol import Source
from posekit.shape.sphere import Sphere

SIDE = 60
PALE = np.rint(np.array(GROUND) * 255)


def flat(corners: list[list[list[float]]], colours: list[list[float]]) -> Skin:
    """Triangles that face who looks."""
    normals = np.tile([0.0, 0.0, 1.0], (len(corners), 3, 1))
    return Skin(np.array(corners, float), normals, np.array(colours, float))


def square(low: float, high: float, depth: float) -> list[list[list[float]]]:
    a, b, c, d = ([low, low, depth], [high, low, depth], [high, high, depth], [low, high, depth])
    return [[a, b, c], [a, c, d]]


def drawn_at(pixels: np.ndarray) -> np.ndarray:
    return (np.abs(pixels.astype(float) - PALE) > 8).any(axis=2)


def decoded(png: bytes) -> np.ndarray:
    """The pixels of a PNG of ours, by the standard: each chunk has its length and its sum."""
    assert png.startswith(b"\x89PNG\r\n\x1a\n")
    chunks, place = {}, 8
    while place < len(png):
        (length,) = struct.unpack(">I", png[place : place + 4])
        kind, content = png[place + 4 : place + 8], png[place + 8 : place + 8 + length]
        (told,) = struct.unpack(">I", png[place + 8 + length : place + 12 + length])
        assert zlib.crc32(kind + content) == told
        chunks[kind] = content
        place += length + 12
    width, height, *rest = struct.unpack(">IIBBBBB", chunks[b"IHDR"])
    assert rest == [8, 2, 0, 0, 0]
    rows = np.frombuffer(zlib.decompress(chunks[b"IDAT"]), np.uint8).reshape(height, -1)
    assert (rows[:, 0] == 2).all()
    return np.cumsum(rows[:, 1:], axis=0, dtype=np.uint8).reshape(height, width, 3)


@given(st.integers(0, 2**32 - 1))
@settings(max_examples=20)
def test_a_png_holds_the_pixels_as_they_were(seed: int) -> None:
    chance = np.random.default_rng(seed)
    pixels = chance.integers(0, 256, (*chance.integers(1, 9, 2), 3), np.uint8)
    assert (decoded(encode(pixels)) == pixels).all()


def test_a_square_covers_the_pixels_that_it_lies_over_and_no_others() -> None:
    pixels = drawing(flat(square(10, 40, 0.0), [[1, 0, 0]] * 2), SIDE)
    covered = np.zeros((SIDE, SIDE), bool)
    covered[10:40, 10:40] = True
    assert (drawn_at(pixels) == covered).all()


def test_a_ball_is_as_large_as_it_is_and_brighter_where_the_light_comes_from() -> None:
    vertices, faces = Sphere(radius=20).triangles(Source({}, "ball"))
    normals = vertices / np.linalg.norm(vertices, axis=1, keepdims=True)
    corners = vertices[faces] + [SIDE / 2, SIDE / 2, 0]
    pixels = drawing(Skin(corners, normals[faces], np.full((len(faces), 3), 0.5)), SIDE)
    inside = np.hypot(*(np.indices((SIDE, SIDE)) + 0.5 - SIDE / 2))
    assert drawn_at(pixels)[inside < 18].all() and not drawn_at(pixels)[inside > 21].any()
    assert pixels[20, 22, 0] > pixels[40, 38, 0] + 40, "it comes from the upper left"


@given(st.permutations(range(6)))
@settings(max_examples=20)
def test_the_nearest_is_seen_in_whatever_order_the_triangles_come(order: list[int]) -> None:
    corners = square(5, 50, 0.0) + square(15, 35, 5.0) + square(20, 55, -5.0)
    colours = [[1, 0, 0]] * 2 + [[0, 1, 0]] * 2 + [[0, 0, 1]] * 2
    skin = flat([corners[i] for i in order], [colours[i] for i in order])
    pixels = drawing(skin, SIDE)
    for at, channel in ((10, 0), (25, 1), (52, 2)):
        assert pixels[at, at].argmax() == channel, at


def test_a_tilted_triangle_cuts_through_another_where_their_depths_meet() -> None:
    tilted = [[[0, 0, -30], [60, 0, 30], [60, 60, 30]], [[0, 0, -30], [60, 60, 30], [0, 60, -30]]]
    skin = flat(square(0, 60, 0.0) + tilted, [[1, 0, 0]] * 2 + [[0, 0, 1]] * 2)
    pixels = drawing(skin, SIDE)
    assert (pixels[:, :29].argmax(axis=2) == 0).all() and (pixels[:, 31:].argmax(axis=2) == 2).all()


def test_what_is_outside_seen_from_its_edge_or_nothing_at_all_draws_nothing() -> None:
    with np.errstate(all="raise"):
        edgewise = [[[5, 5, 0], [50, 50, 3], [20, 20, 9]], [[5, 5, 0], [5, 5, 0], [5, 5, 0]]]
        far = square(-90, -10, 0.0) + square(70, 1e6, 0.0)
        for corners in (edgewise, far):
            assert not drawn_at(drawing(flat(corners, [[1, 0, 0]] * len(corners)), SIDE)).any()
        nothing = Skin(np.empty((0, 3, 3)), np.empty((0, 3, 3)), np.empty((0, 3)))
        assert (drawing(nothing, SIDE) == PALE).all()


@pytest.mark.native  # NumPy asks for the same memory everywhere
def test_large_triangles_take_no_more_memory_than_small_ones_and_are_cut_wherever_it_ends(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    large = flat(square(0, 400, 0.0) * 12 + square(100, 300, 1.0), [[1, 0, 0]] * 24 + [[0, 0, 1], [0, 1, 0]])
    slivers = flat([[[x, 0, 0], [x + 0.01, 0, 0], [x, 400, 0]] for x in range(400)], [[1, 0, 0]] * 400)
    for skin in (large, slivers):
        tracemalloc.start()
        drawing(skin, 400)
        held = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        assert held < 60e6
    wanted = drawing(large, SIDE)
    monkeypatch.setattr(drawing_of, "AT_ONCE", 50)  # fewer than a triangle has rows, and a row pixels
    assert (drawing(large, SIDE) == wanted).all()
