"""A search cut into parts and joined again is the same search, further on."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from posekit.clearance import watch
from posekit.clearance.pair_model import pair_model
from posekit.clearance.search import advance, begin, joined, parts_of
from posekit.mechanism.reach import coordinates


@pytest.fixture
def model(make_prop, wand_text):
    """The wand 0.02 mm from its post at the nearest: hard to tell, so that there are cells of every fate."""
    prop = make_prop(wand_text.replace("at = [60, 0, 0]", "at = [97.02, 0, 0]"))
    return pair_model(prop, coordinates(prop), watch(prop), ("base", "wand"))


@pytest.fixture
def search(model):
    """Under way: some cells judged, others not decided."""
    under_way = advance(model, begin(model, 2.0), 1e-6, 16)
    assert under_way.undecided
    return under_way


def test_parts_hold_every_cell_once_and_no_account_twice(search):
    parts = parts_of(search, 3)
    low = np.concatenate([part.cells.low for part in parts])
    assert sorted(low.ravel()) == sorted(search.cells.low.ravel())
    assert sum(part.open_fraction for part in parts) == pytest.approx(
        search.open_fraction - search.open_share
    )
    assert [part.judged for part in parts] == [0, 0, 0]
    assert {part.proved_mm for part in parts} == {search.proved_mm}


def test_what_the_parts_found_is_added_up(search):
    before = replace(search, open_share=0.25)
    parts = [
        replace(part, open_share=0.01 * (i + 1), proved_mm=5.0 - i, nearest_mm=3.0 + i, judged=10 + i)
        for i, part in enumerate(parts_of(before, 3))
    ]
    after = joined(before, parts)
    assert after.open_share == pytest.approx(0.25 + 0.06)
    assert after.open_fraction == pytest.approx(search.open_fraction - search.open_share + 0.31)
    assert after.proved_mm == 3.0
    assert after.nearest_mm == 3.0
    assert after.judged == before.judged + 33
    assert after.strike is None
    assert joined(before, [parts[0], replace(parts[1], strike=np.array([7.0])), parts[2]]).strike == [7.0]


def test_parts_advanced_apart_prove_what_the_whole_proves(model, search):
    together = advance(model, search, 1e-3, 100_000)
    apart = joined(search, [advance(model, part, 1e-3, 100_000) for part in parts_of(search, 3)])
    assert together.open_fraction == apart.open_fraction == 0.0
    assert 0.0 < apart.least_mm <= apart.nearest_mm
    assert 0.0 < together.least_mm <= together.nearest_mm
    assert apart.nearest_mm == pytest.approx(together.nearest_mm, abs=1e-3)
