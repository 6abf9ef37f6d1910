"""Groups of servos for supplies: each holds what is put on it, and nothing goes where it must not."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from posekit.statics.grouping import Group, grouping

ALL = np.ones((4, 2), bool)


def on_each(stall: list[float], supplies: int) -> np.ndarray:
    """Servos that draw the same on each of so many supplies."""
    return np.tile(np.array(stall)[:, None], (1, supplies))


def test_what_draws_most_stays_and_what_has_no_room_goes_to_the_next() -> None:
    """Worked by hand: 5 A hold 3 + 2, 4 A hold 2.5 + 1; all four are on the first now."""
    found = grouping(on_each([1.0, 3.0, 2.5, 2.0], 2), np.zeros(4, int), ALL, np.array([5.0, 4.0]))
    assert found == (Group(0, False, (1, 3), 5.0), Group(1, False, (0, 2), 3.5))


def test_one_more_like_the_largest_that_may_feed_it_is_taken_where_none_has_room() -> None:
    may = np.array([[True, False]] * 3 + [[False, True]])
    found = grouping(on_each([3.0, 3.0, 3.0, 1.0], 2), np.array([0, 0, 0, 1]), may, np.array([6.0, 9.0]))
    assert found == (
        Group(0, False, (0, 1), 6.0),
        Group(1, False, (3,), 1.0),
        Group(0, True, (2,), 3.0),
    )


def test_a_servo_that_draws_more_than_any_supply_gives_leaves_nothing_to_propose() -> None:
    assert grouping(on_each([3.0], 2), np.zeros(1, int), ALL[:1], np.array([2.0, 2.5])) == ()


def test_a_servo_counts_with_what_it_draws_where_it_is_put() -> None:
    """4 A at the voltage of the second supply, which gives 3.5 A: there is no room for it there."""
    stall = np.array([[1.0, 4.0], [1.0, 4.0]])
    found = grouping(stall, np.zeros(2, int), ALL[:2], np.array([1.5, 3.5]))
    assert found == (Group(0, False, (0,), 1.0), Group(0, True, (1,), 1.0))


@given(
    st.lists(st.floats(0.1, 4.0), min_size=1, max_size=12),
    st.lists(st.floats(4.0, 9.0), min_size=1, max_size=4),
    st.integers(0, 2**31),
)
def test_every_servo_stands_in_one_group_that_holds_and_may_feed_it(
    stall: list[float], gives: list[float], seed: int
) -> None:
    rng = np.random.default_rng(seed)
    may = rng.random((len(stall), len(gives))) < 0.5
    may[:, 0] = True
    now = rng.integers(0, len(gives), len(stall))
    groups = grouping(on_each(stall, len(gives)), now, may, np.array(gives))
    assert sorted(d for group in groups for d in group.members) == list(range(len(stall)))
    for group in groups:
        assert group.stalled_a == pytest.approx(sum(stall[d] for d in group.members))
        assert group.stalled_a <= gives[group.like]
        assert may[list(group.members), group.like].all()
    assert len({group.like for group in groups if not group.more}) == len([g for g in groups if not g.more])
