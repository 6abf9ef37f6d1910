"""Forward kinematics against arms with published numbers.

PUMA 560, standard Denavit-Hartenberg parameters of P. I. Corke and B. Armstrong-Helouvry, ICRA 1994 (read in a
library that cites them); poses computed from them, the zero pose printed by that library as well. A second set:
R. P. Paul and H. Zhang 1986 parameters in centimetres, with the pose printed on a course page, recomputed.
"""

from __future__ import annotations

import numpy as np
import pytest

import posekit

PUMA: tuple[tuple[float, float, float], ...] = (
    (0.0, 0.0, 90.0),
    (0.0, 431.8, 0.0),
    (150.05, 20.3, -90.0),
    (431.8, 0.0, 90.0),
    (0.0, 0.0, -90.0),
    (0.0, 0.0, 0.0),
)


def arm_of(rows: tuple[tuple[float, float, float], ...]) -> posekit.Prop:
    """A chain of revolute joints from rows (d, a, alpha): each row is a turn about z, then a fixed step."""
    lines = ["format = 1", 'name = "arm"', "[links.l0]"]
    at, turn = [0.0, 0.0, 0.0], [0.0, 0.0, 0.0]
    for i, (d, a, alpha) in enumerate(rows, start=1):
        lines += [
            f"[links.l{i}]",
            f"[joints.j{i}]",
            'type = "revolute"',
            f'parent = "l{i - 1}"',
            f'child = "l{i}"',
        ]
        lines += [f"at = {at}", f"turn = {turn}"]
        at, turn = [a, 0.0, d], [alpha, 0.0, 0.0]
    lines += ["[links.tool]", "[joints.tool]", 'type = "fixed"', f'parent = "l{len(rows)}"', 'child = "tool"']
    lines += [f"at = {at}", f"turn = {turn}"]
    return posekit.read({"prop.toml": "\n".join(lines).encode()})


@pytest.mark.parametrize(
    ("pose_deg", "rotation", "place_mm"),
    [
        ([0, 0, 0, 0, 0, 0], np.eye(3), [452.1, -150.05, 431.8]),
        ([0, 90, -90, 0, 0, 0], np.eye(3), [20.3, -150.05, 863.6]),
        ([0, 0, -90, 0, 0, 0], [[0, 0, 1], [0, 1, 0], [-1, 0, 0]], [863.6, -150.05, -20.3]),
        ([0, 45, 180, 0, 45, 0], [[0, 0, 1], [0, 1, 0], [-1, 0, 0]], [596.303, -150.05, -14.354]),
    ],
    ids=["zero", "ready", "stretched", "nominal"],
)
def test_the_puma_560_stands_where_its_published_parameters_put_it(
    pose_deg: list[float], rotation: list[list[float]], place_mm: list[float]
) -> None:
    tool = posekit.forward(arm_of(PUMA), [pose_deg])[0, -1]
    assert tool[:3, :3] == pytest.approx(np.array(rotation, float), abs=1e-12)
    assert tool[:3, 3] == pytest.approx(np.array(place_mm), abs=1e-3)


def test_the_puma_560_of_1986_gives_the_printed_pose() -> None:
    rows = (
        (0.0, 0.0, 90.0),
        (0.0, 431.8, 0.0),
        (125.4, 19.1, -90.0),
        (431.8, 0.0, 90.0),
        (0.0, 0.0, -90.0),
        (0.0, 0.0, 0.0),
    )
    tool = posekit.forward(arm_of(rows), [[90, 90, -180, 90, 90, -90]])[0, -1]
    expected = [[0, 0, 1, 125.4], [0, 1, 0, 431.8], [-1, 0, 0, 412.7], [0, 0, 0, 1]]
    assert tool == pytest.approx(np.array(expected, float), abs=1e-9)


@pytest.mark.parametrize(
    ("pose_deg", "expected"),
    [
        ([0, 0, 0], (9.0, 0.0, 0.0)),
        ([10, 20, 30], (7.5373072234, 3.9266435182, 60.0)),
        ([90, 90, 90], (-3.0, 2.0, 270.0)),
    ],
)
def test_a_planar_arm_of_three_links_ends_where_the_closed_form_says(
    pose_deg: list[float], expected: tuple[float, float, float]
) -> None:
    tool = posekit.forward(arm_of(((0, 4, 0), (0, 3, 0), (0, 2, 0))), [pose_deg])[0, -1]
    heading = np.degrees(np.arctan2(tool[1, 0], tool[0, 0])) % 360
    assert (tool[0, 3], tool[1, 3], heading) == pytest.approx(expected, abs=1e-9)
