"""Normals of forms: what shading costs and what it gives."""

from __future__ import annotations

import tracemalloc

import numpy as np

from posekit.output.shading import shaded


def test_many_triangles_about_one_vertex_take_no_more_than_their_share() -> None:
    """A fan of n triangles has n x n pairs of neighbours at its middle; the others are shaded as ever."""
    turn = np.linspace(0.0, 2.0 * np.pi, 40_001)[:-1]
    rim = np.column_stack([np.cos(turn), np.sin(turn), np.zeros(len(turn))])
    at = np.arange(len(turn))
    faces = np.column_stack([np.full(len(turn), len(turn)), at, (at + 1) % len(turn)])
    tracemalloc.start()
    _, normals, _ = shaded(np.vstack([rim, [0.0, 0.0, 0.2]]), faces)
    held = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert held < 2_000 * len(faces)
    assert np.allclose(np.linalg.norm(normals, axis=1), 1.0)
    assert np.allclose(normals[:, 2], np.cos(np.arctan2(0.2, 1.0)), atol=1e-6)
