"""Two thousand cases through every door, the same in every run; `python -m tests.fuzz --cases 100000` tries more."""

from __future__ import annotations

import sys

import pytest

from posekit import kinds

from .doors import DOORS, outcome
from .trial import PAGE_DOORS, tried, tried_in_page, warm

pytestmark = [
    pytest.mark.native,
    pytest.mark.skipif(sys.platform == "win32", reason="limits of time and memory are set the POSIX way"),
]

CASES = 2000
BLOCKS = 5  # of each door, so that processes can share the work
FEW = {"step": 3}  # cases a block at doors where each case starts a process of its own

# Cases that once went wrong, by their number at the door; a new fault is written down here and mended.
ONCE_WRONG: dict[str, tuple[int, ...]] = {
    "prop": (1335, 1718),  # a ratio of 1e308, an axis with a part of 5e-324
    "collada": (6164,),  # a date of a time zone that none is, of which a library warned
    "show": (5785,),  # a rate of 5e-324 frames a second
    "mesh": (4709,),  # thousands of triangles about one vertex
    "strength": (170,),  # a figure without a joint that moves
    "parts": (6129, 6916),  # the same, thinned; a number in a GLB that is none
}


@pytest.mark.parametrize("door", DOORS)
def test_good_input_is_answered_at_its_door(door: str) -> None:
    """Else the cases below would only ever try what is refused at once."""
    assert [outcome(DOORS[door], seed) for seed in DOORS[door].seeds()] == ["answered"] * len(
        DOORS[door].seeds()
    )


def test_every_kind_of_snapshot_and_show_is_tried_at_its_door() -> None:
    """By `kinds`: what posekit takes tomorrow is tried tomorrow."""
    for doors, endings in ((("snapshot",), kinds.SNAPSHOTS), (("show", "capture"), kinds.SHOWS)):
        tried_kinds = {seed.partition(b"\n")[0].decode() for door in doors for seed in DOORS[door].seeds()}
        assert {ending.lstrip(".") for ending in endings} <= tried_kinds


@pytest.mark.parametrize("block", range(BLOCKS))
@pytest.mark.parametrize("door", DOORS)
def test_whatever_comes_in_is_answered_or_refused_within_its_time_and_memory(door: str, block: int) -> None:
    warm(door)
    each = FEW.get(door) or -(-CASES // ((len(DOORS) - len(FEW)) * BLOCKS))
    trials = [tried(door, seed) for seed in range(block * each, (block + 1) * each)]
    assert [trial for trial in trials if trial.is_fault] == []


def test_links_and_zips_are_answered_or_refused_in_the_page_too() -> None:
    told = tried_in_page(0, CASES // len(DOORS))
    assert tuple(told) == PAGE_DOORS
    assert [door["faults"] for door in told.values()] == [[], []]
    assert [door["good"] for door in told.values()] == [2, 2]


@pytest.mark.parametrize("door", ONCE_WRONG)
def test_what_once_went_wrong_does_so_no_more(door: str) -> None:
    warm(door)
    assert [trial for seed in ONCE_WRONG[door] if (trial := tried(door, seed)).is_fault] == []
