"""What is proved of a box of coordinates, against poses drawn from it."""

from __future__ import annotations

import numpy as np
import pytest

from posekit.clearance import watch
from posekit.clearance.cells import Cells, divisible, judge, judge_steps, wander
from posekit.clearance.pair_model import distance_at, pair_model
from posekit.mechanism.reach import coordinates
from tests.conftest import demo_prop
from tests.counted import steps_run

CELLS, POSES = 40, 60


def random_cells(model, rng):
    """Boxes of all sizes anywhere in the range of a model."""
    low, high = model.box.T
    half = 10 ** rng.uniform(-2, 0, (CELLS, 1)) * rng.random((CELLS, len(low))) / 2
    middle = rng.random((CELLS, len(low)))
    ends = np.clip([middle - half, middle + half], 0.0, 1.0)
    return Cells(*(low + ends * (high - low)), np.ones((CELLS, len(model.piece_a)), bool))


def assert_bounds_hold(prop, watched, pair, seed):
    """No pose of a cell is nearer than its bound, nor farther from its centre than its pieces can move."""
    rng = np.random.default_rng(seed)
    model = pair_model(prop, coordinates(prop), watched, pair)
    cells = random_cells(model, rng)
    least = judge(model, cells).least.min(axis=1)
    centre = distance_at(model, (cells.low + cells.high) / 2)
    far = wander(model, cells).max(axis=1)
    where = rng.random((POSES, CELLS, len(model.box)))
    where[::2] = np.round(where[::2])
    for part in where:
        distance = distance_at(model, cells.low + part * (cells.high - cells.low))
        assert (distance >= least).all()
        assert (np.abs(distance - centre) <= far + 1e-6).all()
    return least


@pytest.mark.parametrize("seed", range(3))
def test_a_stop_that_ends_what_two_joints_take_back_of_each_other_is_reckoned_with(
    make_prop, level_plate_text, seed
):
    """A shorter plate, which tilts where its arm goes on beyond the plate's stop, under a higher beam."""
    tilting = (
        level_plate_text.replace("[0, 0, 76]", "[0, 0, 140]")
        .replace("[300, 20, 2]", "[120, 20, 2]")
        .replace("axis = [0, 1, 0]", "axis = [0, 1, 0]\nstops = [-60, 60]", 1)
        .replace("ratio = -1.0}", "ratio = -1.0}\nstops = [-10, 10]")
    )
    prop = make_prop(tilting)
    least = assert_bounds_hold(prop, watch(prop), ("base", "plate"), seed)
    assert np.count_nonzero(least > 0) > CELLS / 4


def test_no_pose_of_a_cell_of_a_demo_prop_is_nearer_than_its_bound(demo):
    watched = watch(demo)
    for k in np.random.default_rng(5).permutation(len(watched.pairs))[:6]:
        assert_bounds_hold(demo, watched, watched.pairs[k], int(k))


def test_a_cell_of_one_pose_is_bounded_by_its_distance(demo):
    watched = watch(demo)
    rng = np.random.default_rng(6)
    for k in rng.permutation(len(watched.pairs))[:6]:
        model = pair_model(demo, coordinates(demo), watched, watched.pairs[k])
        low, high = model.box.T
        at = low + rng.random((20, len(low))) * (high - low)
        distance = distance_at(model, at)
        least = judge(model, Cells(at, at, np.ones((20, len(model.piece_a)), bool))).least.min(axis=1)
        apart = distance > 0
        assert (least[apart] >= distance[apart] - 0.01).all()
        assert (least <= distance).all()


@pytest.mark.native
def test_what_is_judged_at_once_is_judged_in_several_small_steps():
    """A page has a hand on a slider meanwhile; support points are small work, and so is each side of a pair."""
    demo = demo_prop("heron")
    watched = watch(demo)
    model = pair_model(demo, coordinates(demo), watched, watched.pairs[0])
    cells = random_cells(model, np.random.default_rng(7))
    steps = steps_run(judge_steps(model, cells), 100, {})
    assert len(steps) > 4
    assert max(step.lines for step in steps) < 0.5 * sum(step.lines for step in steps)


def test_a_cell_is_not_cut_where_no_float_lies_between_its_ends():
    """However fine a resolution is asked for: halves as wide as the whole would be cut for ever."""
    low = np.array([[1.0, 0.0, 1.0]])
    high = np.array([[np.nextafter(1.0, 2.0), 5e-324, 1.5]])
    wide = divisible(Cells(low, high, np.ones((1, 1), bool)), 1e-300)
    assert wide.tolist() == [[False, False, True]]
