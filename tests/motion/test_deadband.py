"""The deadband: steps too small to answer."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from posekit.motion.deadband import answered
from tests.conftest import SEEDS


def test_steps_below_the_deadband_are_answered_only_once_they_add_up_to_it():
    pulses = np.array([1500, 1501, 1502, 1503, 1504, 1505, 1504, 1502, 1501, 1500.0])[:, None]
    np.testing.assert_array_equal(
        answered(pulses, np.array([4.0]))[:, 0], [1500, 1500, 1500, 1500, 1504, 1504, 1504, 1504, 1504, 1500]
    )


def test_a_pulse_that_trembles_within_the_deadband_does_not_move_the_servo():
    pulses = 1500.0 + 3.9 * np.sin(np.arange(1000.0))[:, None]
    pulses[0] = 1500.0
    np.testing.assert_array_equal(answered(pulses, np.array([4.0])), 1500.0)


def test_steps_of_the_deadband_or_more_are_all_answered():
    pulses = np.cumsum(np.full(50, 4.0))[:, None]
    np.testing.assert_array_equal(answered(pulses, np.array([4.0])), pulses)


@given(st.lists(st.floats(500, 2500), min_size=1, max_size=60), st.floats(0, 200))
def test_what_is_answered_was_asked_and_is_never_a_deadband_from_what_is_asked(pulses, deadband):
    asked = np.array(pulses)[:, None]
    got = answered(asked, np.array([deadband]))
    assert np.all((np.abs(got - asked) < deadband) | (got == asked))
    assert set(got[:, 0]) <= set(pulses)
    moved = np.abs(np.diff(got[:, 0]))
    assert np.all((moved == 0) | (moved >= deadband))


@pytest.mark.parametrize("seed", SEEDS)
def test_drives_keep_deadbands_of_their_own(seed):
    rng = np.random.default_rng(seed)
    asked = np.round(rng.uniform(1000, 2000, (80, 3)), 1)
    bands = np.array([0.0, 30.0, 400.0])
    together = answered(asked, bands)
    for d in range(3):
        np.testing.assert_array_equal(together[:, [d]], answered(asked[:, [d]], bands[[d]]))
