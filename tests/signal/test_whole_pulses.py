"""Pulses rounded inward: never outside, hardly nearer together, whole where that is so."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from posekit.signal.whole_pulses import KEPT, pulses_told, whole_pulses

PULSES = st.floats(400.0, 2600.0)


@given(PULSES, st.floats(0.0, 2000.0) | st.floats(0.0, 0.01))
def test_what_is_rounded_lies_within_and_loses_little(low: float, way: float) -> None:
    first, last = whole_pulses(low, low + way)
    assert low - 1e-6 <= first
    assert last <= low + way + 1e-6
    assert last - first >= KEPT * way - 1e-9


@given(PULSES, st.floats(21.0, 2000.0))
def test_what_is_far_apart_is_whole(low: float, way: float) -> None:
    assert all(each.is_integer() for each in whole_pulses(low, low + way))


def test_pulses_are_told_with_all_their_figures() -> None:
    assert pulses_told(1055.6, 1833.3) == "1056 to 1833"
    assert pulses_told(1500.0637, 1500.318) == "1500.07 to 1500.31"
    assert pulses_told(1500.0, 1500.0) == "1500 to 1500"
