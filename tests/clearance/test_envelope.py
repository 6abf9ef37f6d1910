"""The envelope on props whose answer is known, and how the work on it is done."""

from __future__ import annotations

import json
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace

import numpy as np
import pytest

import posekit
from posekit.clearance import envelope, envelope_steps

RODS = """
format = 1
name = "Two rods"
[servos.plain]
travel = 180.0
[links.base]
[links.left]
shapes = [{capsule = {radius = 3, length = 40}, at = [25, 0, 0], turn = [0, 90, 0]}]
[links.right]
shapes = [{capsule = {radius = 3, length = 40}, at = [-25, 0, 0], turn = [0, 90, 0]}]
[joints.left]
type = "revolute"
parent = "base"
child = "left"
[joints.right]
type = "revolute"
parent = "base"
child = "right"
at = [DISTANCE, 0, 0]
[drives.left]
servo = "plain"
joint = "left"
address = 1
[drives.right]
servo = "plain"
joint = "right"
address = 2
"""

JAW = """
format = 1
name = "Jaw over a chest"
[servos.plain]
travel = 180.0
[links.body]
shapes = [{box = [100, 60, 100]}]
[links.head]
[links.jaw]
shapes = [{capsule = {radius = 5, length = 40}, at = [25, 0, 0], turn = [0, 90, 0]}]
[joints.neck]
type = "prismatic"
parent = "body"
child = "head"
at = [0, 0, 105]
axis = [0, 0, 1]
[joints.jaw]
type = "revolute"
parent = "head"
child = "jaw"
axis = [0, 1, 0]
[drives.neck]
servo = "plain"
joint = "neck"
address = 1
pulse = {low = 1500, high = 2000}
[drives.neck.linkage]
type = "slider_crank"
crank = 40.0
coupler = 100.0
shaft_zero = 45.0
joint_zero = 124.2
[drives.jaw]
servo = "plain"
joint = "jaw"
address = 2
pulse = {low = 1500, high = 2000}
"""


def rods(make_prop, distance, **drives):
    prop = make_prop(RODS.replace("DISTANCE", str(distance)))
    changed = [
        replace(drive, pulse=replace(drive.pulse, **drives[drive.name])) if drive.name in drives else drive
        for drive in prop.drives
    ]
    return replace(prop, drives=tuple(changed))


def test_two_rods_that_point_at_each_other_are_apart_by_what_their_lengths_leave(make_prop):
    """Parallel axes `distance` apart, each rod reaching 45 + 3 mm: they leave distance - 96 mm."""
    (verdict,) = envelope(rods(make_prop, 100)).pairs
    assert verdict.verdict == "clear"
    assert verdict.nearest_mm == pytest.approx(4.0, abs=0.01)
    assert 0.8 * 4.0 - 0.01 <= verdict.clear_by_mm <= 4.0
    assert verdict.open_fraction == 0.0


def test_two_rods_too_long_for_their_distance_strike_at_the_witness(make_prop):
    prop = rods(make_prop, 95)
    (verdict,) = envelope(prop).pairs
    assert verdict.verdict == "strikes"
    assert distance_at(prop, verdict.witness) == 0.0
    assert verdict.clear_by_mm is None


def test_two_rods_that_cannot_both_point_inwards_are_clear(make_prop):
    """The left rod turned away by 45 degrees or more; nearest where the right one points at its tip."""
    prop = rods(make_prop, 95, left={"low": 2000.0, "high": 2400.0})
    (verdict,) = envelope(prop).pairs
    tip = 45 * np.exp(0.25j * np.pi)
    expected = abs(95 - tip) - 45 - 6
    assert verdict.verdict == "clear"
    assert expected <= verdict.nearest_mm <= 1.25 * expected
    assert 0.75 * expected <= verdict.clear_by_mm <= expected


def test_two_rods_that_touch_at_no_value_but_between_two_stay_open(make_prop):
    """Pointing at each other lies between two values of each drive; there they would overlap by 0.01 mm."""
    prop = rods(make_prop, 95.99)
    trimmed = replace(prop, drives=tuple(replace(d, pulse=replace(d.pulse, trim=5.0)) for d in prop.drives))
    (verdict,) = envelope(trimmed).pairs
    assert verdict.verdict in ("open", "strikes")
    if verdict.verdict == "strikes":
        assert distance_at(trimmed, verdict.witness) == 0.0
    else:
        assert 0.0 < verdict.open_fraction < 0.01


@pytest.mark.parametrize(("resolution", "verdict"), [(5.0, "open"), (0.05, "near")])
def test_what_misses_by_a_hair_is_never_said_to_strike(make_prop, wand_text, resolution, verdict):
    """The wand reaches to 92 mm, its post of 5 mm stands 97.02 mm away."""
    prop = make_prop(wand_text.replace("at = [60, 0, 0]", "at = [97.02, 0, 0]"))
    (found,) = envelope(prop, resolution=resolution).pairs
    assert found.verdict == verdict
    assert found.nearest_mm == pytest.approx(0.02, abs=0.01)
    if verdict == "near":
        assert 0.8 * 0.02 <= found.clear_by_mm <= 0.02
        assert distance_at(prop, found.witness) == pytest.approx(found.nearest_mm, abs=1e-3)


def test_a_jaw_meets_the_chest_only_when_two_channels_meet(make_prop):
    prop = make_prop(JAW)
    (verdict,) = envelope(prop).pairs
    assert verdict.verdict == "strikes"
    assert verdict.joints == ("neck", "jaw")
    assert distance_at(prop, verdict.witness) == 0.0
    for alone in ("neck", "jaw"):
        (held,) = envelope(with_drive_held(prop, alone)).pairs
        assert held.verdict == "clear", alone
    assert distance_at(prop, {"neck": 0, "jaw": 255}) > 0
    assert distance_at(prop, {"neck": 255, "jaw": 0}) > 0


def test_a_plate_kept_level_by_a_follow_joint_is_known_to_shift_only(make_prop, level_plate_text):
    """The plate turns back by what its arm turns. Taken apart the two turns would need far smaller cells."""
    level = make_prop(level_plate_text)
    (verdict,) = envelope(level).pairs
    assert verdict.verdict == "clear"
    assert verdict.nearest_mm == pytest.approx(5.0, abs=0.01)
    assert verdict.cells < 100


def test_the_steps_end_in_what_the_envelope_gives(make_prop):
    prop = rods(make_prop, 100)
    steps, seen = envelope_steps(prop, step_cells=64), []
    result = None
    while result is None:
        try:
            seen.append(next(steps))
        except StopIteration as end:
            result = end.value
    assert [verdict.verdict for verdict in result.pairs] == ["clear"]
    assert seen[-1].settled == result.pairs
    assert [state.cells for state in seen] == sorted(state.cells for state in seen)


def test_a_stop_from_progress_leaves_an_honest_partial_answer(demo):
    heard = []
    partial = envelope(demo, progress=lambda state: heard.append(state) is not None)
    assert len(heard) == 1
    assert not partial.finished
    for verdict in partial.pairs:
        if not verdict.finished:
            assert verdict.verdict == "open"
            assert verdict.open_fraction > 0.0
            assert verdict.clear_by_mm is None


def test_a_budget_of_no_time_still_names_every_pair(demo):
    partial = envelope(demo, budget_s=0.0)
    assert [verdict.pair for verdict in partial.pairs] == posekit.clearance.pairs(demo)
    assert not partial.finished


def test_a_pair_too_hard_to_judge_ends_by_its_budget_and_is_said_not_to_be_judged_to_the_end(
    make_prop, monkeypatch
):
    """Two rods that miss by a hair, at a resolution that would take cells without number."""
    for module in ("search", "certify"):
        monkeypatch.setattr(f"posekit.clearance.{module}.CELLS", 5000)
    prop, cache = rods(make_prop, 96.0000001), {}
    (verdict,) = envelope(prop, resolution=1e-9, cache=cache).pairs
    assert verdict.verdict == "open" and not verdict.finished
    assert 5000 <= verdict.cells < 5000 + 2 * 4096
    assert cache == {}


def test_processes_find_what_one_thread_finds(make_prop):
    prop = rods(make_prop, 96.02)
    with ProcessPoolExecutor(2) as executor:
        assert envelope(prop, resolution=0.05, executor=executor) == envelope(prop, resolution=0.05)


def test_the_cache_gives_the_same_verdicts_from_json_without_judging(make_prop):
    prop, cache = rods(make_prop, 100), {}
    first = envelope(prop, cache=cache)
    again = json.loads(json.dumps(cache))
    heard = []
    second = envelope(prop, cache=again, progress=heard.append)
    assert second.pairs == tuple(replace(verdict, kept=True) for verdict in first.pairs)
    assert [finding.code for finding in second.findings] == ["kept"]
    assert "left - right" in second.findings[0].message
    assert heard and all(each.cells == 0 for each in heard)


@pytest.mark.parametrize("distance", [99.0, 100.5])
def test_the_cache_knows_another_prop_from_the_same(make_prop, distance):
    cache = {}
    envelope(rods(make_prop, 100), cache=cache)
    (verdict,) = envelope(rods(make_prop, distance), cache=cache).pairs
    assert verdict.nearest_mm == pytest.approx(distance - 96, abs=0.01)
    assert len(cache) == 2


def test_a_kept_witness_names_the_drives_of_the_prop_that_asks(make_prop):
    """The hat moves neither rod, but a snapshot that strikes must fit the prop."""
    hat = """
[links.hat]
[joints.hat]
type = "revolute"
parent = "base"
child = "hat"
[drives.hat]
servo = "plain"
joint = "hat"
address = 3
rest = 7
"""
    text, cache = RODS.replace("DISTANCE", "95"), {}
    for part in (hat, hat.replace("drives.hat", "drives.cap"), hat.replace("rest = 7", "rest = 8"), ""):
        prop = make_prop(text + part)
        (verdict,) = envelope(prop, cache=cache).pairs
        assert list(verdict.witness) == [drive.name for drive in prop.drives]
        assert [verdict.witness[drive.name] for drive in prop.drives[2:]] == [
            drive.rest_value for drive in prop.drives[2:]
        ]


@pytest.mark.parametrize(
    ("asked", "subject"),
    [
        ({"resolution": 0.0}, "resolution"),
        ({"resolution": float("nan")}, "resolution"),
        ({"margin_mm": -1.0}, "margin"),
        ({"budget_s": float("nan")}, "budget"),
        ({"pairs": [("left", "wing")]}, "left - wing"),
        ({"pairs": [("left", "left")]}, "left - left"),
        ({"pairs": [("base", "left")]}, "base - left"),
    ],
)
def test_what_makes_no_sense_is_refused(make_prop, asked, subject):
    with pytest.raises(posekit.PosekitError) as refused:
        envelope(rods(make_prop, 100), **asked)
    assert [finding.subject for finding in refused.value.findings] == [subject]


def test_the_cache_keeps_no_partial_answer(demo):
    cache = {}
    partial = envelope(demo, cache=cache, budget_s=0.0)
    assert len(cache) == sum(verdict.finished for verdict in partial.pairs)
    assert len(cache) < len(partial.pairs)


def distance_at(prop, witness):
    values = np.array([[witness[drive.name] for drive in prop.drives]], float)
    return float(
        posekit.clearance.distances(prop, posekit.positions(prop, posekit.pulses(prop, values)))[0, 0]
    )


def with_drive_held(prop, name):
    drives = [
        replace(drive, pulse=replace(drive.pulse, high=drive.pulse.low)) if drive.name == name else drive
        for drive in prop.drives
    ]
    return replace(prop, drives=tuple(drives))


def test_turns_too_large_to_reckon_with_prove_nothing(make_prop, level_plate_text):
    """Infinite powers of the turn times an arm of no length are nan, which must not pass for clear."""
    ball = level_plate_text.replace("box = [300, 20, 2]", "sphere = {radius = 3}")
    prop = make_prop(ball)
    # Which the reader would refuse.
    far = [
        joint
        if joint.follow is None
        else replace(joint, follow=replace(joint.follow, ratio=1e300, offset=1e300))
        for joint in prop.joints
    ]
    with np.errstate(over="ignore", invalid="ignore"):
        (verdict,) = envelope(replace(prop, joints=tuple(far))).pairs
    assert verdict.verdict == "open"
