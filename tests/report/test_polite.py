"""Law: between two looks at the clock long work does so much and no more, whatever the prop; counted, not timed."""

from __future__ import annotations

import sys
from collections.abc import Callable, Generator
from typing import Any

import numpy as np
import pytest

import posekit
from posekit.bridge.survey import TOLERANCE_MM
from posekit.clearance import bounds, clip, gjk, overlap
from posekit.clearance.cover import coverage_steps
from posekit.clearance.watch import anew_steps
from posekit.mechanism import kinematics
from posekit.mechanism.reach import coordinate_steps, turning_points
from posekit.pipeline import pose_at
from posekit.report.envelope import report_steps
from posekit.report.loss import loss_steps
from posekit.report.pose import near_at, near_steps_at
from posekit.report.power import power_steps
from posekit.statics import boxes, sphere
from posekit.statics.burden import burden_of
from posekit.statics.ways import way_steps
from tests.conftest import demo_prop
from tests.counted import steps_run
from tests.statics.weighed import random_figure

# What a step may be: in a page each of these is some tenths of a second on a slow machine, at most.
LINES = 60_000
MOST = {
    "piece_pairs": 20_000,  # pairs of convex pieces held against each other
    "forward": 30_000,  # links posed
    "at_most": 30_000,  # directions of gravity
    "bound": 1_100,  # boxes of shaft angles
}
SIZES = {
    bounds.piece_pairs.__code__: lambda given: int(
        bounds.pieces_of(given["parts"], given["side_a"]) @ bounds.pieces_of(given["parts"], given["side_b"])
    ),
    kinematics.forward.__code__: lambda given: len(given["positions"]) * len(given["prop"].links),
    sphere.at_most.__code__: lambda given: int(given["vectors"].shape[1]),
    boxes.bound.__code__: lambda given: len(given["low"]),
}
NEAR_LINES = 300  # a few milliseconds in a page
STEPS = 400  # of an envelope, which would take minutes: by then it judges

Work = Callable[[posekit.Prop], Generator[Any, Any, Any]]
WORKS: dict[str, Work] = {
    "envelope": lambda prop: report_steps(prop, resolution=4.0, step_cells=512),
    "strength": lambda prop: power_steps(prop),
    "falls": lambda prop: loss_steps(prop, [drive.rest_value for drive in prop.drives]),
}
# What is done before an envelope judges, in steps of some milliseconds in a page; the most of each in a step.
READY: dict[str, Work] = {
    "watch": anew_steps,  # whatever is kept of it
    "meshes": coverage_steps,
    "coordinates": coordinate_steps,
    "ways": lambda prop: way_steps(prop, burden_of(prop)),
}
MOST_POINTS = {"farthest": 1, "parted": 1, "bound": 20, "turning_points": 1}
POINTS = {
    function.__code__: lambda _: 1 for function in (gjk.farthest, clip.parted, overlap.bound, turning_points)
}


def prop_called(name: str) -> posekit.Prop:
    return random_figure(3, links=9) if name == "any" else demo_prop(name)


@pytest.mark.native
@pytest.mark.parametrize("name", ["heron", "longwood", "any"])
@pytest.mark.parametrize("what", WORKS)
def test_a_step_of_long_work_is_a_small_one_and_loads_no_library(
    what: str, name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    prop = prop_called(name)
    # To load one is a single step, which takes half a second in a page; meshes as posekit keeps them need none.
    for library in ("trimesh", "pygltflib"):
        monkeypatch.setitem(sys.modules, library, None)
    steps = steps_run(WORKS[what](prop), STEPS, SIZES)
    assert len(steps) > 10
    assert max(step.lines for step in steps) <= LINES
    given = {function: max(step.given.get(function, 0) for step in steps) for function in MOST}
    assert {function: most for function, most in given.items() if most > MOST[function]} == {}


@pytest.mark.native
@pytest.mark.parametrize("name", ["heron", "longwood", "any"])
@pytest.mark.parametrize("what", READY)
def test_what_makes_an_envelope_ready_is_a_support_point_a_cut_or_a_drive_a_step(
    what: str, name: str
) -> None:
    steps = steps_run(READY[what](prop_called(name)), 2_000, POINTS)
    given = {function: max(step.given.get(function, 0) for step in steps) for function in MOST_POINTS}
    assert {function: most for function, most in given.items() if most > MOST_POINTS[function]} == {}
    assert name == "any" or sum(any(step.given.values()) for step in steps) > 7


@pytest.mark.native
@pytest.mark.parametrize("name", ["heron", "longwood", "any"])
def test_a_pose_waits_for_a_small_step_of_near_pairs(name: str) -> None:
    """A support point or so: of poses sixty a second are asked for, and these are looked for meanwhile."""
    prop = prop_called(name)
    watched = posekit.clearance.watch(prop)
    full = [drive.full_scale for drive in prop.drives]
    struck = False
    for values in np.random.default_rng(5).integers(0, full, (12, len(full)), endpoint=True):
        state = pose_at(prop, values)
        steps = steps_run(near_steps_at(prop, watched, state, TOLERANCE_MM), STEPS, SIZES)
        assert max(step.lines for step in steps) <= NEAR_LINES
        struck |= any(near.mm == 0.0 for near in near_at(prop, watched, state, TOLERANCE_MM))
    assert struck == (name == "any"), "how deep is looked for in steps, too"
