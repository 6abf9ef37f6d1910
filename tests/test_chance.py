"""Numbers by chance: the published generator, and that nothing needs NumPy's own."""

from __future__ import annotations

import re

import numpy as np
import pytest

from posekit.chance import chances, shuffled
from tests.conftest import ROOT


def test_numbers_are_those_of_the_published_generator() -> None:
    """SplitMix64 from a state of 0, as its authors' code gives them; a float has the upper 53 bits."""
    published = (0xE220A8397B1DCDAF, 0x6E789E6AA1B965F4, 0x06C45D188009454F, 0xF88BB8A8724C81EC)
    assert chances(2, 2).tolist() == [
        [each * 2.0**-53 for each in row]
        for row in ([published[0] >> 11, published[1] >> 11], [published[2] >> 11, published[3] >> 11])
    ]


def test_every_place_is_as_likely_as_any_other() -> None:
    drawn = chances(4000, 6)
    assert drawn.min() >= 0.0 and drawn.max() < 1.0
    counts = np.array([np.histogram(column, 20, (0.0, 1.0))[0] for column in drawn.T])
    assert np.abs(counts - 200).max() < 5 * np.sqrt(200)
    assert np.abs(np.corrcoef(drawn.T) - np.eye(6)).max() < 0.08


def test_shuffled_rows_are_the_same_rows_in_another_order() -> None:
    rows = np.arange(5, 905)
    mixed = shuffled(rows)
    assert sorted(mixed.tolist()) == rows.tolist()
    assert abs(np.corrcoef(rows, mixed)[0, 1]) < 0.15
    assert shuffled(rows[:0]).tolist() == []


@pytest.mark.native  # it reads the sources, of which a page has only the bytecode
def test_nothing_asks_for_numbers_that_a_page_would_have_to_fetch() -> None:
    asks = re.compile(r"np\.random|numpy\.random")
    found = [path.name for path in (ROOT / "posekit").rglob("*.py") if asks.search(path.read_text())]
    assert found == []
