"""How near parts can come, against moving them."""

from __future__ import annotations

import numpy as np
import pytest

from posekit.clearance.lever import Play, cross, least_along, remainder


def random_play(rng, turns, small):
    """Joints of which all follow one coordinate, and one more coordinate for each; N = 1."""
    m = len(turns)
    direction = rng.normal(size=(3, m, 1))
    direction /= np.linalg.norm(direction, axis=0)
    half = np.append(rng.uniform(0, small), rng.uniform(0, small, m))[:, None]
    pull = np.concatenate([rng.normal(size=(m, 1)), np.diag(rng.normal(size=m))], axis=1)
    pull *= np.where(turns, 0.02, 1.0)[:, None]
    delta = np.abs(pull) @ half
    return Play(rng.normal(size=(3, m, 1)) * 40, direction, delta, np.ones((m, 1), bool), half, pull, turns)


def moved(points, play, turn):
    """Points (3, V) carried by each joint (m,) [rad | mm], the outermost first."""
    for j in reversed(range(len(turn))):
        w, o = play.direction[:, j, 0], play.origin[:, j, 0]
        if play.turns[j]:
            r = points - o[:, None]
            c, s = np.cos(turn[j]), np.sin(turn[j])
            points = o[:, None] + c * r + s * cross(w[:, None], r) + (1 - c) * w[:, None] * (w @ r)
        else:
            points = points + turn[j] * w[:, None]
    return points


@pytest.mark.parametrize("small", [0.1, 1.0, 10.0, 60.0])
@pytest.mark.parametrize("seed", range(40))
def test_no_part_comes_nearer_than_its_bound(seed, small):
    rng = np.random.default_rng(seed)
    play = random_play(rng, rng.random(rng.integers(1, 6)) < 0.75, small)
    corners, along = rng.normal(size=(9, 3)) * 60, rng.normal(size=(3, 1))
    along /= np.linalg.norm(along)
    least, _ = least_along(corners, None, along, play)
    *_, far = remainder(corners, play)
    for trial in range(60):
        at = rng.uniform(-1, 1, len(play.half)) * play.half[:, 0]
        at = np.sign(at) * play.half[:, 0] if trial % 2 else at
        now = moved(corners.T, play, play.pull @ at)
        assert (along[:, 0] @ now).min() >= least[0] - 1e-9
        assert np.linalg.norm(now - corners.T, axis=0).max() <= far[0] + 1e-9


@pytest.mark.parametrize("seed", range(20))
def test_no_disc_comes_nearer_than_its_bound_from_corners_about_it(seed):
    rng = np.random.default_rng(seed)
    play = random_play(rng, np.array([True, True, False]), 3.0)
    around = 2 * np.pi * np.arange(24) / 24
    corners = 30 / np.cos(np.pi / 24) * np.stack([np.cos(around), np.sin(around), 0 * around], axis=1)
    along = rng.normal(size=(3, 1))
    along /= np.linalg.norm(along)
    floor = -30 * np.hypot(along[0], along[1])
    least, _ = least_along(corners, floor, along, play)
    rim = np.linspace(0, 2 * np.pi, 2000)
    disc = 30 * np.stack([np.cos(rim), np.sin(rim), 0 * rim])
    assert least[0] <= floor[0]
    for _ in range(40):
        at = rng.choice([-1, 1], len(play.half)) * play.half[:, 0]
        assert (along[:, 0] @ moved(disc, play, play.pull @ at)).min() >= least[0] - 1e-9


@pytest.mark.parametrize("seed", range(20))
def test_the_bound_is_within_a_hundredth_of_the_truth_for_small_moves(seed):
    rng = np.random.default_rng(seed)
    play = random_play(rng, np.array([True, False, True, True]), 0.01)
    point, along = rng.normal(size=(1, 3)) * 60, rng.normal(size=(3, 1))
    along /= np.linalg.norm(along)
    least, _ = least_along(point, None, along, play)
    ends = np.array(np.meshgrid(*[[-1, 1]] * len(play.half))).reshape(len(play.half), -1)
    rest = float((point @ along)[0, 0])
    lost = rest - min(
        float(along[:, 0] @ moved(point.T, play, play.pull @ (end * play.half[:, 0]))[:, 0]) for end in ends.T
    )
    assert lost <= rest - least[0] <= 1.01 * lost


def test_what_cancels_to_second_order_still_counts_to_third():
    """An arm of 100 mm and one of 50 mm that folds back thrice as fast: 100 sin u - 50 sin 2u is 50 u^3 at first."""
    play = Play(
        origin=np.array([[0.0, 100.0], [0.0, 0.0], [0.0, 0.0]]).reshape(3, 2, 1),
        direction=np.array([[0.0, 0.0], [0.0, 0.0], [1.0, 1.0]]).reshape(3, 2, 1),
        delta=np.array([[0.2], [0.6]]),
        free=np.ones((2, 1), bool),
        half=np.array([[0.2]]),
        pull=np.array([[1.0], [-3.0]]),
        turns=np.array([True, True]),
    )
    least, _ = least_along(np.array([[150.0, 0.0, 0.0]]), None, np.array([[0.0], [1.0], [0.0]]), play)
    assert least[0] <= 50 * np.sin(0.4) - 100 * np.sin(0.2) < -0.39


def test_turning_about_a_line_through_the_point_moves_it_nowhere():
    play = Play(
        origin=np.array([0.0, 0.0, -5.0]).reshape(3, 1, 1),
        direction=np.array([0.0, 0.0, 1.0]).reshape(3, 1, 1),
        delta=np.array([[1.0]]),
        free=np.array([[True]]),
        half=np.array([[1.0]]),
        pull=np.array([[1.0]]),
        turns=np.array([True]),
    )
    least, _ = least_along(np.array([[0.0, 0.0, 7.0]]), None, np.array([[1.0], [0.0], [0.0]]), play)
    assert least[0] == pytest.approx(0.0, abs=1e-12)


def test_two_joints_that_undo_each_other_leave_only_second_order():
    """A plate that turns back by what its arm turns: about parallel axes it only shifts."""
    play = Play(
        origin=np.zeros((3, 2, 1)),
        direction=np.array([[0.0, 0.0], [0.0, 0.0], [1.0, 1.0]]).reshape(3, 2, 1),
        delta=np.array([[0.01], [0.01]]),
        free=np.ones((2, 1), bool),
        half=np.array([[0.01]]),
        pull=np.array([[1.0], [-1.0]]),
        turns=np.array([True, True]),
    )
    least, _ = least_along(np.array([[100.0, 0.0, 0.0]]), None, np.array([[0.0], [1.0], [0.0]]), play)
    assert -0.03 <= least[0] <= 0.0
