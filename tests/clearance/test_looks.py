"""Between two looks at the clock there is so much work and no more, whatever the prop: counted, not timed."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import trimesh

import posekit
from posekit.clearance import cells, certify, cover, jobs, safe_range, search, witness
from posekit.clearance.pair_model import pair_model
from posekit.clearance.portions import LEAST, PRODUCTS
from posekit.clearance.watch import watch
from posekit.mechanism import joints
from posekit.mechanism.reach import coordinates
from posekit.report.envelope import envelope_report
from posekit.shape.piece_file import Pieces, write_pieces
from tests.conftest import demo_prop
from tests.counted import steps_run

ROOT = Path(__file__).parents[2]
ARMS = posekit.load(ROOT / "tests" / "cases" / "valid" / "two_arms.toml")
HERON = demo_prop("heron")
DOWNHILL_LINES = 1_200  # a few milliseconds in a page


class Counted:
    """What is done by a function since the last look, by the size of its arguments."""

    def __init__(self, monkeypatch, module, name, size) -> None:
        self.since = self.most = self.all = 0
        done = getattr(module, name)

        def counting(*given):
            self.since += size(*given)
            return done(*given)

        monkeypatch.setattr(module, name, counting)

    def look(self) -> None:
        self.most, self.all, self.since = max(self.most, self.since), self.all + self.since, 0


def judged_to_the_end(monkeypatch) -> list[int]:
    """How many cells were judged each time; what is in the middle of it shows nothing yet."""
    done: list[int] = []
    judging = cells.judge_a_go

    def counting(model, some):
        found = yield from judging(model, some)
        done.append(len(some))
        return found

    monkeypatch.setattr(cells, "judge_a_go", counting)
    return done


def model_of(prop):
    (pair,) = posekit.clearance.pairs(prop)
    return pair_model(prop, coordinates(prop), watch(prop), pair)


@pytest.mark.parametrize("fine", [3, 4])
def test_a_mesh_is_held_against_its_pieces_so_many_points_and_corners_at_a_time(fine, monkeypatch) -> None:
    ball = trimesh.creation.icosphere(fine, 50.0)
    hull = np.asarray(trimesh.creation.icosphere(2, 50.0).vertices)
    halves = tuple(hull[side * hull[:, 2] > -15.0] for side in (-1, 1))
    text = ARMS.text + "\n[[links.base.shapes]]\nmesh = 'ball.stl'\npieces = 'ball.json'\n"
    files = {"ball.stl": ball.export(file_type="stl"), "ball.json": write_pieces(Pieces(halves, 3.0))}
    prop = posekit.read({"prop.toml": text.encode(), **files})
    held = Counted(
        monkeypatch, cover, "hull_gap_steps", lambda points, corners, *_: len(points) * len(corners)
    )
    for _ in cover.coverage_steps(prop):
        held.look()
    held.look()
    assert held.all >= 3 * len(ball.faces) * sum(len(half) for half in halves)
    assert held.most <= max(PRODUCTS, LEAST * len(hull))


def test_limits_are_looked_for_one_portion_of_positions_at_a_time(monkeypatch) -> None:
    probed = Counted(monkeypatch, safe_range, "poses_of", lambda _, places: len(places))
    judged = Counted(monkeypatch, cells, "judge_a_go", lambda _, some: int(some.active.sum()))
    for _ in safe_range.limit_steps(model_of(ARMS), 2.0, 1.0):
        probed.look()
        judged.look()
    assert probed.all == safe_range.PROBES and judged.all > 0
    assert 0 < probed.most <= safe_range.PORTION and judged.most <= cells.A_GO


def test_a_step_of_a_search_goes_downhill_once_at_most(monkeypatch) -> None:
    downhill = Counted(monkeypatch, search, "_look_nearer", lambda *_: 1)
    model = model_of(
        posekit.edit(ARMS, "joints.right.at", [124, 0, 0])
    )  # nearest 0.86 mm, where both lean inwards
    now = replace(search.begin(model, 10.0), next_try=1)
    while not now.done:
        now = search.advance(model, now, 1.0, 2 * search.BATCH)
        downhill.look()
    assert downhill.all > 1 and downhill.most == 1


def test_on_the_way_downhill_the_clock_is_looked_at(monkeypatch) -> None:
    model = model_of(posekit.edit(ARMS, "joints.right.at", [124, 0, 0]))
    low, high = model.box.T
    starts = low + np.linspace(0.1, 0.9, 5)[:, None] * (high - low)
    tried = [
        Counted(monkeypatch, witness, name, lambda _, at: len(at))
        for name in ("distance_steps", "_distance_of")
    ]
    looks = 1
    for _ in witness.nearest_steps(model, starts):
        looks += 1
        for each in tried:
            each.look()
    for each in tried:
        each.look()
    a_step = 2 * len(low) * len(starts)  # of each start a coordinate to either side
    assert looks > 3
    assert all(0 < each.most <= min(a_step, cells.A_GO) for each in tried)


@pytest.mark.native
@pytest.mark.parametrize("name", ["heron", "longwood"])
def test_a_step_downhill_is_of_a_support_point_and_finds_nothing_of_the_prop_anew(name, monkeypatch) -> None:
    prop = demo_prop(name)
    watched = watch(prop)
    for pair in watched.pairs[:: len(watched.pairs) // 3]:
        model = pair_model(prop, coordinates(prop), watched, pair)
        low, high = model.box.T
        with monkeypatch.context() as known:
            for of_all in ("trains", "tree_of", "calibration_of"):
                known.setattr(joints, of_all, None)
            steps = steps_run(
                witness.nearest_steps(model, low + np.array([[0.2], [0.7]]) * (high - low)), 4000, {}
            )
        assert max(step.lines for step in steps) <= DOWNHILL_LINES


def test_who_ends_the_work_waits_for_no_search_downhill(monkeypatch) -> None:
    def near(model, margin_mm):
        middle = model.box.mean(axis=1)
        known = {"bound": np.array([0.5]), "nearest_mm": 4.0, "nearest": middle, "judged": 1}
        return replace(search.begin(model, margin_mm), **known)

    monkeypatch.setattr(certify, "begin", near)
    downhill = Counted(monkeypatch, search, "nearest_steps", lambda *_: 1)
    steps = certify.envelope_steps(HERON, margin_mm=10.0)
    for _ in posekit.clearance.pairs(HERON):
        next(steps)  # each is made ready
    downhill.look()
    with pytest.raises(StopIteration) as end:
        steps.send(True)
    assert downhill.since == 0
    left = end.value.value.of("near")[1:]
    assert len(left) > 10
    assert all(each.nearest_mm <= 4.0 and each.clear_by_mm == 0.5 and each.witness for each in left)


def test_the_clock_is_looked_at_on_the_last_way_downhill_of_a_near_pair(monkeypatch) -> None:
    prop = posekit.edit(ARMS, "joints.right.at", [124, 0, 0])  # nearest 0.86 mm, where both lean inwards
    (pair,) = certify.envelope(prop, margin_mm=10.0).pairs
    model = model_of(prop)
    now = search.begin(model, 10.0)
    while not now.done:
        now = search.advance(model, now, 1.0, 2 * search.BATCH)
    assert now.verdict == "near" and not now.ended
    tried = Counted(monkeypatch, witness, "distance_steps", lambda _, at: len(at))
    steps, looks = search.advance_steps(model, now, 1.0, 2 * search.BATCH), 0
    while True:
        try:
            next(steps)
        except StopIteration as end:
            last = end.value
            break
        looks += 1
        tried.look()
    tried.look()
    assert last.ended and last.nearest_mm == pair.nearest_mm == pytest.approx(0.86, abs=0.01)
    assert looks > 0 and tried.most <= 2 * len(model.box)


def test_who_stops_keeps_what_was_just_shown(monkeypatch) -> None:
    """A pair that its first round proves, and each round of a pair under way, in one part or in several."""
    bellows = demo_prop("bellows")
    first, *_ = certify.envelope(bellows, resolution=2.0, progress=lambda so_far: not so_far.settled).pairs
    assert (first.verdict, first.finished, first.cells) == ("clear", True, 1)
    prop = posekit.edit(ARMS, "joints.right.at", [124, 0, 0])
    judged = judged_to_the_end(monkeypatch)
    steps = certify.envelope_steps(prop, margin_mm=10.0)
    while sum(judged) <= 4:  # ends: there are more
        next(steps)
    with pytest.raises(StopIteration) as end:
        steps.send(True)
    (pair,) = end.value.value.pairs
    assert pair.cells == sum(judged) > 4 and pair.nearest_mm is not None


def test_who_stops_keeps_what_was_shown_of_each_part_of_a_search(monkeypatch) -> None:
    monkeypatch.setattr(jobs, "BATCH", 1)
    monkeypatch.setattr(search, "BATCH", 1)
    model = model_of(posekit.edit(ARMS, "joints.right.at", [124, 0, 0]))
    before = search.begin(model, 10.0)
    while len(before.cells) < jobs.PARTS:
        before = search.advance(model, before, 1e-3, 1)
        assert not before.done
    under_way = jobs.Jobs(1e-3, 64, None)
    under_way.start(7, model, before)
    assert len(under_way.parts[7].newest) == jobs.PARTS
    judged = judged_to_the_end(monkeypatch)
    while len(judged) < 3:  # ends: there are more
        assert under_way.wait() == []
    ((k, left),) = under_way.drop()
    assert k == 7 and not under_way.busy
    assert left.judged == before.judged + sum(judged) > before.judged
    assert left.share.sum() <= before.share.sum() and left.open_fraction <= before.open_fraction


def test_the_time_is_looked_at_while_meshes_are_held_against_their_pieces() -> None:
    report = envelope_report(HERON, budget_s=0.0, suggest=False)
    told = [each.code for each in report.findings if each.subject == "pieces"]
    assert told == ["out-of-time"]
    whole = envelope_report(ARMS, budget_s=0.0, suggest=False)
    assert not [each for each in whole.findings if each.subject == "pieces"], "it has no meshes"
