"""The margin: a pair is clear only where it is proved that far apart; nearer than that is a verdict of its own."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

import posekit
from posekit.clearance import envelope
from posekit.clearance.fixes import with_end_points
from posekit.report.envelope import envelope_report
from posekit.report.fix import NONE_FOUND, NOT_ASKED, NOT_LOOKED, fix_report
from posekit.report.move import between, move_findings

BALLS = """
format = 1
name = "A ball that passes a ball"
[servos.plain]
[links.base]
[links.post]
shapes = [{{sphere = {{radius = {post}}}, at = [{away}, 0, 0]}}]
[links.arm]
shapes = [{{sphere = {{radius = 6}}, at = [50, 0, 0]}}]
[joints.post]
type = "fixed"
parent = "base"
child = "post"
[joints.arm]
type = "revolute"
parent = "base"
child = "arm"
[drives.arm]
servo = "plain"
joint = "arm"
address = 1
bits = {bits}
pulse = {{low = {low}, high = {high}}}
speed = 90.0
[clearance]
margin = {margin}
"""


def balls(away, low_deg, high_deg, margin, post=4.0, bits=16):
    """The arm swings its ball, 50 mm out, from low to high [deg]; the post stands `away` [mm] out at 0 deg."""
    low, high = (1500 + angle * 1000 / 90 for angle in (low_deg, high_deg))
    return posekit.read({
        "prop.toml": BALLS.format(away=away, post=post, bits=bits, low=low, high=high, margin=margin).encode()
    })  # fmt: skip


def true_mm(away, low_deg, high_deg, post=4.0):
    """The least distance on the way: where the arm points most towards the post."""
    angle = np.radians(np.clip(0.0, low_deg, high_deg))
    return float(abs(50 * np.exp(1j * angle) - away)) - 6.0 - post


def distance_at(prop, witness):
    at = posekit.positions(prop, posekit.pulses(prop, [[witness[drive.name] for drive in prop.drives]]))
    return float(posekit.clearance.distances(prop, at)[0, 0])


@given(
    gap=st.floats(-3.0, 12.0), margin=st.floats(0.0, 8.0), low=st.floats(-40.0, 20.0), width=st.floats(5.0, 40.0)
)  # fmt: skip
def test_two_balls_are_clear_near_or_strike_as_their_distance_says(gap, margin, low, width):
    """Law of cosines: |50 e^(i angle) - away| - 10 mm, least where the angle is least."""
    away, high = 60.0 + gap, low + width
    apart = true_mm(away, low, high)
    assume(abs(apart) > 0.02 and abs(apart - margin) > 0.02)
    prop = balls(away, low, high, margin)
    (verdict,) = envelope(prop, resolution=0.1).pairs
    if apart < 0:
        assert verdict.verdict == "strikes"
        assert distance_at(prop, verdict.witness) == 0.0
    elif apart < margin:
        assert verdict.verdict == "near"
        assert 0.75 * apart <= verdict.clear_by_mm <= apart + 1e-9
        assert verdict.nearest_mm == pytest.approx(apart, abs=0.01)
        assert distance_at(prop, verdict.witness) == pytest.approx(apart, abs=0.01)
        assert verdict.open_fraction == 0.0
    else:
        assert verdict.verdict == "clear"
        assert margin - 1e-5 <= verdict.clear_by_mm <= apart + 1e-9
        assert verdict.witness is None


@given(margin=st.floats(0.5, 60.0))
def test_a_gap_drawn_as_wide_as_the_margin_keeps_it(margin):
    """It stands still: no value moves the ball away from where the builder drew it."""
    (verdict,) = envelope(balls(60.0 + margin, 0.0, 0.0 + 1e-9, margin)).pairs
    assert verdict.verdict == "clear"


def test_a_margin_wider_than_is_worth_telling_is_proved_all_the_same():
    """ISO 13854 asks for 25 mm for fingers; a builder may ask for more."""
    (verdict,) = envelope(balls(105.0, -10.0, 10.0, 40.0)).pairs
    assert (verdict.verdict, verdict.clear_by_mm >= 40.0 - 1e-5) == ("clear", True)
    (verdict,) = envelope(balls(95.0, -10.0, 10.0, 40.0)).pairs
    assert verdict.verdict == "near"
    assert verdict.clear_by_mm >= 25.0


def test_an_asked_margin_counts_in_place_of_the_props_own():
    prop = balls(65.0, -10.0, 10.0, 2.0)
    assert [envelope(prop, margin_mm=asked).pairs[0].verdict for asked in (None, 2.0, 8.0)] == [
        "clear", "clear", "near",
    ]  # fmt: skip


def test_work_that_ends_early_never_says_clear_for_a_margin_that_is_not_proved():
    prop = balls(64.0, -60.0, 60.0, 3.9999)
    partial = envelope(prop, progress=lambda state: False)
    for verdict in partial.pairs:
        assert verdict.verdict != "clear" or verdict.clear_by_mm >= 3.9999 - 1e-5
    assert envelope(prop, budget_s=0.0).pairs[0].verdict in ("open", "near", "clear")


def test_time_that_runs_out_over_the_end_points_is_told(monkeypatch):
    """Judged from the cache, so that all the time is spent on end points; there is next to none."""
    prop, cache = balls(63.0, -60.0, 0.0, 5.0), {}
    envelope(prop, cache=cache)
    report = envelope_report(prop, cache=cache, budget_s=1e-9)
    assert report.suggestions == ()
    (late,) = [finding for finding in report.findings if finding.code == "out-of-time"]
    assert "in 0 of 1 pairs" in late.message
    assert fix_report(prop, report).outcome == NOT_LOOKED
    looks = []
    stopped = envelope_report(
        prop, cache=cache, progress=lambda state: looks.append(state.phase) or state.phase == "judging"
    )
    assert looks.count("suggesting") == 1 and looks[-1] == "suggesting" and stopped.suggestions == ()


def test_what_nobody_asked_for_is_not_said_to_want_time():
    prop = balls(63.0, -60.0, 0.0, 5.0)
    fix = fix_report(prop, envelope_report(prop, suggest=False))
    assert (fix.changes, fix.outcome) == ({}, NOT_ASKED)
    (finding,) = fix.findings
    assert "more time" not in finding.message


def test_of_a_pair_that_was_looked_at_none_is_said_to_be_found_whatever_became_of_others():
    """What is told of a pair goes by whether end points were looked for in that one."""
    prop = balls(63.0, -60.0, 0.0, 5.0)
    report = envelope_report(prop)
    (pair,) = report.looked_for
    none = replace(report, options=(), suggestions=())
    assert fix_report(prop, none).outcome == NONE_FOUND
    assert fix_report(prop, replace(none, looked_for=frozenset())).outcome == NOT_LOOKED
    changed = replace(report.options[0], pulse_us=1500.0 + 40 / 0.09, pair=("post", "another"))
    for looked_for, why in ((frozenset([pair]), NONE_FOUND), (frozenset([("post", "another")]), NOT_LOOKED)):
        fix = fix_report(prop, replace(report, options=(changed,), looked_for=looked_for))
        assert f"even so: {why}" in "".join(each.message for each in fix.findings)


def test_end_points_for_a_near_pair_reach_the_margin():
    prop = balls(63.0, -60.0, 0.0, 5.0)
    report = envelope_report(prop)
    assert [verdict.verdict for verdict in report.envelope.pairs] == ["near"]
    (suggestion,) = report.suggestions
    assert (suggestion.drive, suggestion.end, suggestion.clears) == ("arm", "high", (("post", "arm"),))
    fix = fix_report(prop, report)
    assert fix.changes == {("arm", "high"): suggestion.pulse_us}
    changed = with_end_points(prop, fix.changes)
    (verdict,) = envelope(changed).pairs
    assert verdict.verdict == "clear"
    # Not farther than need be: half a degree more would bring it below the margin.
    angle = (suggestion.pulse_us - 1500) * 0.09
    assert true_mm(63.0, -60.0, angle) >= 5.0 > true_mm(63.0, -60.0, angle + 2.0)


@pytest.mark.parametrize(("margin", "verdict"), [(2.0, "clear"), (6.0, "near")])
def test_a_move_past_a_post_tells_when_it_is_nearest(margin, verdict):
    """From -45 to 45 deg at 90 deg/s without a ramp: it points at the post after half a second, 5 mm away."""
    prop = balls(65.0, -45.0, 45.0, margin)
    (found,) = between(prop, [0], [65535])
    assert found.verdict == verdict
    if verdict == "near":
        assert found.at_s == pytest.approx(0.5, abs=2e-3)
        assert found.values["arm"] == pytest.approx(32768, abs=150)
        assert 0.75 * 5.0 <= found.clear_by_mm <= 5.0
        (finding,) = move_findings([found], margin)
        assert (finding.level, finding.code, finding.subject) == ("error", "near", "post - arm")
    else:
        assert 2.0 - 1e-5 <= found.clear_by_mm <= 5.0
        assert list(move_findings([found], margin)) == []


@given(
    gap=st.floats(0.1, 8.0),
    margin=st.floats(0.0, 8.0),
    start=st.floats(-50.0, 10.0),
    width=st.floats(1.0, 60.0),
)
def test_a_move_keeps_the_margin_only_if_no_instant_breaks_it(gap, margin, start, width):
    away, end = 60.0 + gap, start + width
    apart = true_mm(away, start, end)
    assume(abs(apart - margin) > 0.02)
    (found,) = between(balls(away, start, end, margin), [0], [65535])
    assert found.verdict == ("near" if apart < margin else "clear")
    assert 0.0 < found.clear_by_mm <= apart + 1e-9


def test_a_pair_that_rests_near_all_the_while_is_told_once_and_quickly():
    """An hour of a show in which nothing moves: near from its beginning, and no slice is cut for nothing."""
    from posekit.clearance.moves import Course, along

    prop = balls(63.0, -45.0, 45.0, 5.0)
    course = Course(0.0, 3600.0, lambda t: np.zeros((len(t), 1)), (np.array([]),), (np.array([]),))
    (found,) = along(prop, course)
    assert found.verdict == "near"
    assert found.clear_by_mm == pytest.approx(3.0, abs=1e-3)
