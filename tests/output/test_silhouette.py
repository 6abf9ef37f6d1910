"""Outlines of triangles, against shapes whose area and corners are known."""

from __future__ import annotations

import numpy as np
import pytest

from posekit.output.silhouette import CELLS, silhouette


def area(loops) -> float:
    return sum(float(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2 for x, y in (loop.T for loop in loops))


def square(low: float, high: float) -> list[list[list[float]]]:
    a, b, c, d = [low, low], [high, low], [high, high], [low, high]
    return [[a, b, c], [a, c, d]]


def test_a_square_is_four_corners() -> None:
    (loop,) = silhouette(np.array(square(0.25, 0.75)))
    assert abs(area([loop])) == pytest.approx(0.25, abs=4 * 0.5 / CELLS)
    assert len(loop) <= 6
    np.testing.assert_allclose([loop.min(), loop.max()], [0.25, 0.75], atol=1.5 / CELLS)


def test_a_hole_is_a_loop_the_other_way_round() -> None:
    angles = np.linspace(0, 2 * np.pi, 129)
    outer, inner = (np.stack([np.cos(angles), np.sin(angles)], 1) * r + 0.5 for r in (0.4, 0.2))
    ring = [[outer[i], outer[i + 1], inner[i]] for i in range(128)]
    ring += [[inner[i], outer[i + 1], inner[i + 1]] for i in range(128)]
    loops = silhouette(np.array(ring))
    assert len(loops) == 2
    assert abs(area(loops)) == pytest.approx(np.pi * (0.16 - 0.04), rel=0.03)
    assert np.sign(area(loops[:1])) != np.sign(area(loops[1:]))


def test_what_lies_outside_is_cut_off_and_nothing_gives_no_loop() -> None:
    loops = silhouette(np.array(square(-3.0, 4.0)))
    assert abs(area(loops)) == pytest.approx(1.0)
    assert silhouette(np.empty((0, 3, 2))) == ()
    assert silhouette(np.array(square(2.0, 3.0))) == ()


def test_two_squares_that_meet_at_a_corner_stay_whole() -> None:
    loops = silhouette(np.array(square(0.25, 0.5) + square(0.5, 0.75)))
    assert abs(area(loops)) == pytest.approx(2 * 0.0625, abs=0.02)
