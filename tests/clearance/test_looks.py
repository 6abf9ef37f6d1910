"""Between two looks at the clock there is so much work and no more, whatever the prop: counted, not timed."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import trimesh

import posekit
from posekit.clearance import certify, cover, safe_range, search, witness
from posekit.clearance.pair_model import pair_model
from posekit.clearance.portions import LEAST, PRODUCTS
from posekit.clearance.watch import watch
from posekit.mechanism.reach import coordinates
from posekit.report.envelope import envelope_report
from posekit.shape.piece_file import Pieces, write_pieces

ROOT = Path(__file__).parents[2]
ARMS = posekit.load(ROOT / "tests" / "cases" / "valid" / "two_arms.toml")
HERON = posekit.load(ROOT / "models" / "heron")


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
    held = Counted(monkeypatch, cover, "gaps_to_hull", lambda points, corners, *_: len(points) * len(corners))
    for _ in cover.coverage_steps(prop):
        held.look()
    held.look()
    assert held.all >= 3 * len(ball.faces) * sum(len(half) for half in halves)
    assert held.most <= max(PRODUCTS, LEAST * len(hull))


def test_limits_are_looked_for_one_portion_of_positions_at_a_time(monkeypatch) -> None:
    probed = Counted(monkeypatch, safe_range, "distance_at", lambda _, places: len(places))
    judged = Counted(monkeypatch, safe_range, "judge", lambda _, cells: len(cells))
    for _ in safe_range.limit_steps(model_of(ARMS), 2.0, 1.0):
        probed.look()
        judged.look()
    assert probed.all == safe_range.PROBES and judged.all > 0
    assert 0 < probed.most <= safe_range.PORTION and judged.most <= safe_range.PORTION


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
        Counted(monkeypatch, witness, name, lambda _, at: len(at)) for name in ("distance_at", "distance_of")
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
    assert all(0 < each.most <= witness.A_LOOK * a_step + len(starts) for each in tried)


def test_who_ends_the_work_waits_for_no_search_downhill(monkeypatch) -> None:
    def near(model, margin_mm):
        middle = model.box.mean(axis=1)
        known = {"bound": np.array([0.5]), "nearest_mm": 4.0, "nearest": middle, "judged": 1}
        return replace(search.begin(model, margin_mm), **known)

    monkeypatch.setattr(certify, "begin", near)
    downhill = Counted(monkeypatch, certify, "nearest_values", lambda *_: 1)
    steps = certify.envelope_steps(HERON, margin_mm=10.0)
    next(steps)
    downhill.look()
    with pytest.raises(StopIteration) as end:
        steps.send(True)
    assert downhill.since == 0
    left = end.value.value.of("near")[1:]
    assert len(left) > 10
    assert all(each.nearest_mm <= 4.0 and each.clear_by_mm == 0.5 and each.witness for each in left)


def test_the_time_is_looked_at_while_meshes_are_held_against_their_pieces() -> None:
    report = envelope_report(HERON, budget_s=0.0, suggest=False)
    told = [each.code for each in report.findings if each.subject == "pieces"]
    assert told == ["out-of-time"]
    whole = envelope_report(ARMS, budget_s=0.0, suggest=False)
    assert not [each for each in whole.findings if each.subject == "pieces"], "it has no meshes"
