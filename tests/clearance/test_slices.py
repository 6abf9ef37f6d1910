"""Maps over two channels, against posing the values they speak of."""

from __future__ import annotations

import numpy as np
import pytest

import posekit
from posekit.clearance import envelope, watch
from posekit.clearance.cells import Cells
from posekit.clearance.fixes import with_end_points
from posekit.clearance.pair_model import pair_model
from posekit.clearance.slices import overlaps_throughout, slice_through
from posekit.mechanism.reach import coordinates
from tests.conftest import demo_prop


def assert_true_everywhere(prop, cut, tries):
    """Every region that is not open is right at values drawn from it, and at its corners."""
    rng = np.random.default_rng(0)
    names = [drive.name for drive in prop.drives]
    k = posekit.clearance.pairs(prop).index(cut.pair)
    base = np.array([cut.values[name] for name in names])
    rows, states = [], []
    for region in cut.regions:
        for trial in range(tries):
            row = base.copy()
            row[names.index(cut.x)] = rng.integers(region.x[0], region.x[1] + 1) if trial else region.x[0]
            if cut.y is not None:
                row[names.index(cut.y)] = rng.integers(region.y[0], region.y[1] + 1) if trial else region.y[1]
            rows.append(row)
            states.append(region.state)
    distance = posekit.clearance.distances(prop, posekit.positions(prop, posekit.pulses(prop, rows)))[:, k]
    states = np.array(states)
    assert (distance[states == "clear"] >= prop.clearance.margin - 1e-5).all()
    assert (distance[states == "near"] > 0).all()
    assert (distance[states == "strikes"] <= 0).all()


def area(cut, *states):
    return sum(
        (region.x[1] - region.x[0] + 1) * (region.y[1] - region.y[0] + 1)
        for region in cut.regions
        if region.state in states
    )


@pytest.fixture(scope="module")
def heron():

    prop = demo_prop("heron")
    return with_end_points(prop, {("neck_middle", "high"): 2241.0, ("neck_top", "high"): 2111.0})


def test_a_map_of_a_striking_pair_is_right_wherever_it_says_so(heron):
    (strike,) = envelope(heron, pairs=[("neck_low", "jaw")]).of("strikes")
    cut = slice_through(heron, strike.pair, strike.witness)
    assert_true_everywhere(heron, cut, 3)
    full = {drive.name: drive.full_scale + 1 for drive in heron.drives}
    assert area(cut, "clear", "near", "strikes", "open") == full[cut.x] * full[cut.y]
    assert 0 < area(cut, "strikes") < area(cut, "clear", "near", "strikes", "open")
    assert area(cut, "open") < 0.05 * full[cut.x] * full[cut.y]


def test_a_pair_with_one_channel_between_gets_a_strip(arm_text, make_prop):
    """The arm lies down on its base; the base is no neighbour if a frame stands between."""
    text = arm_text.replace('parent = "base"', 'parent = "frame"').replace(
        "[links.arm]", "[links.frame]\n[links.arm]"
    )
    text += '\n[joints.frame]\ntype = "fixed"\nparent = "base"\nchild = "frame"\n'
    assert "box = [60, 60, 2]" in text
    prop = make_prop(text.replace("box = [60, 60, 2]", "box = [60, 60, 20]\nat = [70, 0, 30]"))
    strike = envelope(prop).of("strikes")[0]
    cut = slice_through(prop, strike.pair, strike.witness)
    assert cut.y is None
    assert_true_everywhere(prop, cut, 3)
    assert area(cut, "clear", "near", "strikes", "open") == 256
    assert area(cut, "open") <= 4


def test_an_overlap_is_proved_up_to_where_it_ends(make_prop):
    """A ball of 5 mm slides out of a plate 20 mm thick: free once its centre is 15 mm from the middle."""
    prop = make_prop(PLUNGER)
    model = pair_model(prop, coordinates(prop), watch(prop), ("plate", "ball"))
    low = np.array([[0.0], [0.0], [5.0], [5.0], [14.9], [-15.1]])
    high = np.array([[14.99], [15.01], [14.99], [15.2], [14.95], [3.0]])
    cells = Cells(low, high, np.ones((6, 1), bool))
    assert overlaps_throughout(model, cells).tolist() == [True, False, True, False, True, False]


PLUNGER = """
format = 1
name = "Plunger"
[servos.plain]
[links.plate]
shapes = [{box = [200, 200, 20]}]
[links.rod]
[links.ball]
shapes = [{sphere = {radius = 5}}]
[joints.rod]
type = "prismatic"
parent = "plate"
child = "rod"
axis = [0, 0, 1]
[joints.ball]
type = "fixed"
parent = "rod"
child = "ball"
[drives.rod]
servo = "plain"
joint = "rod"
address = 1
"""
