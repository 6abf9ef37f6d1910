"""The report of a show: one list of findings, and sentences that say no more than was looked at."""

from __future__ import annotations

import json
from functools import cache

import pytest
from click.testing import CliRunner

from posekit.bridge.playback import Playback
from posekit.bridge.workbench import Workbench
from posekit.clearance import left_out
from posekit.clearance.left_out import grouped
from posekit.clearance.moves import MoveVerdict
from posekit.cli import main
from posekit.motion import follow, readings
from posekit.prop.folder import PROP_FILE
from posekit.report.motion import following, motion_report, striking
from posekit.stream import read_show
from tests.conftest import DEMO_PROPS_AT_LENGTH, ROOT, demo_prop
from tests.motion.props import ARM, arm


def fade(value, seconds):
    return (
        f'format = 1\n[[cues]]\nname = "a"\nvalues = {{shoulder = {value}}}\nfade = {seconds}\nhold = 1.0\n'
    ).encode()


def report_of(prop, content, within=None):
    return motion_report(prop, read_show(prop, content, "show.toml"), within)


def first_show(prop):
    return next(path for path in prop.files if path.startswith("shows/"))


@pytest.mark.parametrize("name", DEMO_PROPS_AT_LENGTH)
def test_library_command_and_page_tell_the_same_of_a_show(name):
    prop = demo_prop(name)
    path = first_show(prop)
    report = motion_report(prop, read_show(prop, prop.files[path], path))
    told = CliRunner().invoke(
        main, ["motion", str(ROOT / "models" / name), str(ROOT / "models" / name / path), "--json"]
    )
    command = json.loads(told.stdout)
    shared = [f.as_dict() for f in report.findings]
    assert command["findings"] == shared
    assert command["summary"] == report.summary

    bench = Workbench()
    bench.open({**prop.files, PROP_FILE: prop.text.encode()}, name)
    page = Playback(bench)
    show, read = page.open_show(path), page.readings()
    strikes = page.strikes(show.begin, show.end)
    found = [*show.findings, *read.findings, *(strike.finding for strike in strikes)]
    assert [(f.level, f.code) for f in found] == [(f.level, f.code) for f in report.findings]
    assert report.summary.startswith(read.summary)
    assert strikes or report.summary.endswith(show.no_strikes)
    assert [(each.parts, each.why) for each in show.left_out] == grouped(report.left_out)


def test_a_show_without_steps_or_delay_says_so_and_no_more():
    prop = arm(ARM.replace("address = 1\n", "address = 1\nbits = 16\n"))
    report = report_of(prop, fade(65535, 0.5))
    assert report.readings.jumpy == () and report.findings == ()
    assert report.summary.startswith("Every drive reaches its stops in time. No drive pauses between values")


def test_steps_too_small_to_be_seen_are_named_as_what_they_are():
    prop = arm(
        ARM.replace("box = [200, 20, 20]", "box = [2, 2, 2]")
        .replace("at = [100, 0, 0]", "")
        .replace("at = [200, 0, 0]", "")
        .replace("at = [40, 0, 0]", "")
    )
    report = report_of(prop, fade(255, 20.0))
    assert report.readings.jumpy and not any(each.is_seen for each in report.readings.jumpy)
    assert "1 of 2 drives pauses between values, in steps below 0.6 mm" in report.summary


def test_steps_that_are_seen_and_stops_that_are_missed_are_named_by_drive():
    report = report_of(arm(), fade(255, 20.0))
    assert "Seen to move by steps: shoulder." in report.summary
    late = report_of(arm(ARM.replace("speed = 120.0", "speed = 5.0")), fade(255, 0.1) + fade(0, 0.1)[11:])
    assert late.summary.startswith("Too late for a stop: shoulder.")


@cache
def heron_report():
    prop = demo_prop("heron")
    return prop, motion_report(prop, read_show(prop, prop.files[first_show(prop)], first_show(prop)))


@pytest.mark.parametrize(
    ("verdicts", "start"),
    [
        ((), "Nothing strikes: every checked pair of parts keeps the margin of 2 mm all the way"),
        (("near",), "Nothing strikes, but some parts come closer than the margin of 2 mm"),
        (("open", "near"), "Parts come too close to tell"),
        (("strikes", "open", "near"), "Parts strike"),
    ],
)
def test_the_gravest_verdict_is_told_with_how_many_pairs_were_not_judged(verdicts, start):
    prop, report = heron_report()
    made = [MoveVerdict(("head", "body"), verdict, 1.0, {}, None) for verdict in verdicts]
    told = striking(prop, left_out(prop), made)
    whole = {each.pair for each in report.left_out if each.whole}
    assert told.startswith(start)
    assert told.endswith(f"; {len(whole)} pairs are not checked.")


def test_gentler_limits_stand_in_the_report_where_they_were_asked_for():
    report = report_of(arm(), fade(255, 0.5), within=1.5)
    assert report.suggested is not None
    told = report.as_dict()["suggested"]["shoulder"]
    assert told["lag_s"] <= 1.5 and told["acceleration"] < 600.0


def test_what_follows_is_judged_by_its_readings_alone():
    prop = arm()
    show = read_show(prop, fade(255, 20.0), "show.toml")
    read = readings(prop, follow(prop, show.times, show.values))
    assert following(read) == report_of(prop, fade(255, 20.0)).summary.partition(" Nothing")[0]
