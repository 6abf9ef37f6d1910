"""Law: following ends, and takes work that grows no faster than the show, whatever drives and shows there are."""

from __future__ import annotations

import math

import numpy as np
import pytest

from posekit.motion import runs
from posekit.motion.follow import follow_shafts
from posekit.motion.profile import Limits
from posekit.motion.segments import segments
from tests.conftest import SEEDS
from tests.counted import lines_run

RUN = 8  # events, so that a short show has many runs
EVENTS, TIMES = 300, 4

# Drives that are there before the next frame, that never are, that jump, and that are at the ends of what floats hold.
DRIVES = {
    "quick": (900.0, 9000.0),
    "never there": (900.0, 2.0),
    "hardly moving": (1e-9, 1e-9),
    "without a limit of speed": (math.inf, 5.0),
    "without a limit of acceleration": (60.0, math.inf),
    "without limits": (math.inf, math.inf),
    "least": (1e-300, 1e-300),
    "largest": (1e300, 1e300),
}


def shown(events, seed):
    rng = np.random.default_rng(seed)
    times = np.cumsum(rng.choice([1e-9, 1 / 44, 0.7, 100.0], events, p=[0.1, 0.7, 0.15, 0.05]))
    return times, rng.choice([-90.0, -1e-12, 0.0, 0.35, 90.0], events)


@pytest.mark.parametrize("drive", DRIVES)
def test_to_follow_a_show_takes_work_that_grows_no_faster_than_it(drive, monkeypatch):
    monkeypatch.setattr(runs, "RUN", RUN)
    limits = Limits.of(*([limit] for limit in DRIVES[drive]))

    def work(events):
        times, targets = shown(events, 0)
        return lines_run(lambda: follow_shafts(times, targets[:, None], limits))

    assert work(TIMES * EVENTS) <= 1.25 * TIMES * work(EVENTS)


@pytest.mark.parametrize("narrow", [0, 12])
@pytest.mark.parametrize("seed", SEEDS)
def test_following_ends_with_numbers_for_any_drives_together(seed, narrow, monkeypatch):
    monkeypatch.setattr(runs, "RUN", RUN)
    monkeypatch.setattr(runs, "NARROW", narrow)
    times, _ = shown(EVENTS, seed)
    targets = np.stack([shown(EVENTS, [seed, d])[1] for d in range(len(DRIVES))], axis=1)
    motion = follow_shafts(times, targets, Limits.of(*np.array(list(DRIVES.values())).T))
    assert np.isfinite(motion.start).all() and np.isfinite(motion.entry).all()
    cut = segments(motion)
    assert np.isfinite(cut.since).all() and np.isfinite(cut.position).all()
