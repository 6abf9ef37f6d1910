"""Poses for the bench, as functions and wherever the command line takes a snapshot."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

import posekit
from posekit.cli import main
from posekit.cli.files import given_snapshot
from posekit.mechanism.bench import BENCH_POSES, bench_snapshot, bench_values
from posekit.signal.calibration import commanded


def test_a_drive_stands_at_its_middle_its_ends_and_its_rest(every_key: posekit.Prop) -> None:
    for pose, value_of in (
        ("middle", lambda drive: 128 if drive.bits == 8 else 32768),
        ("low", lambda drive: 0),
        ("high", lambda drive: 255 if drive.bits == 8 else 65535),
        ("rest", lambda drive: drive.rest_value),
    ):
        state = posekit.pose(every_key, bench_snapshot(every_key, pose))
        assert state.values == {drive.name: value_of(drive) for drive in every_key.drives}
        assert not [each for each in state.findings if each.code in ("neutral-unreached", "missing-address")]


def test_at_neutral_no_value_would_come_nearer_to_1500(demo: posekit.Prop) -> None:
    found = bench_values(demo, "neutral")
    every = np.arange(65536)[:, None] * np.ones(len(demo.drives))
    every = np.minimum(every, [drive.full_scale for drive in demo.drives])
    least = np.abs(commanded(demo, every) - 1500.0).min(axis=0)
    assert np.array_equal(np.abs(commanded(demo, found[None])[0] - 1500.0), least)
    assert bench_snapshot(demo, "neutral").notes == ()  # every demo drive reaches it


@pytest.mark.parametrize(
    ("low", "high", "value", "pulse", "joint"),
    [(1600, 2000, 0, 1600, 9.0), (1000, 1400, 255, 1400, -9.0), (1400, 1000, 0, 1400, -9.0)],
)
def test_a_drive_that_does_not_reach_neutral_is_told_with_where_its_joint_then_stands(
    make_prop: Callable, arm_text: str, low: int, high: int, value: int, pulse: int, joint: float
) -> None:
    """180 degrees over 2000 µs: 100 µs off neutral are 9 degrees."""
    prop = make_prop(arm_text.replace("low = 1000, high = 2000", f"low = {low}, high = {high}"))
    state = posekit.pose(prop, bench_snapshot(prop, "neutral"))
    assert state.values == {"shoulder": value} and state.joints["shoulder"] == pytest.approx(joint)
    (told,) = state.findings
    assert (told.level, told.code, told.subject) == ("warning", "neutral-unreached", "shoulder")
    assert f"stands at {pulse} µs (value {value}), with 'shoulder' at {joint:.2f} deg" in told.message


def test_a_servo_that_does_not_take_neutral_is_told_and_a_trimmed_one_looks_for_it(
    make_prop: Callable, arm_text: str
) -> None:
    narrow = make_prop(arm_text.replace("[500, 2500]", "[1520, 2500]"))
    (told,) = bench_snapshot(narrow, "neutral").notes
    assert told.code == "neutral-unreached" and "stands at 1520 µs" in told.message
    trimmed = make_prop(arm_text.replace("trim = 0", "trim = 200"))
    (value,) = bench_values(trimmed, "neutral")
    # 1000 to 1700 µs over values 0 to 128: 1500 at value 91.4.
    assert value == 91
    assert bench_snapshot(trimmed, "neutral").notes == ()


def test_both_joints_of_a_differential_are_told_where_they_stand(every_key: posekit.Prop) -> None:
    prop = posekit.edit(every_key, "drives.neck_a.pulse", {"low": 1600, "high": 2000})
    (told,) = bench_snapshot(prop, "neutral").notes
    linkage = prop.drives[[drive.name for drive in prop.drives].index("neck_a")].linkage
    assert told.subject == "neck_a"
    assert all(f"'{name}' at" in told.message for name in (linkage.sum, linkage.difference))


@pytest.mark.native
@pytest.mark.parametrize("word", [*BENCH_POSES, "1500us"])
def test_the_command_line_takes_a_pose_for_the_bench_wherever_it_takes_a_snapshot(
    arm: posekit.Prop, word: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "arm"
    (folder / "looks").mkdir(parents=True)
    (folder / "prop.toml").write_text(arm.text)
    # Of the same name: a look, and a file right here.
    (folder / "looks" / f"{word}.csv").write_text("universe,address,value\n1,1,77\n")
    monkeypatch.chdir(tmp_path)
    Path(f"@{word}").write_text("universe,address,value\n1,1,78\n")
    prop = posekit.load(folder)
    value = int(bench_values(prop, "neutral" if word == "1500us" else word)[0])
    assert given_snapshot(prop, f"@{word}").slots == {(1, 1): value}
    assert given_snapshot(prop, word).slots == {(1, 1): 77}
    assert given_snapshot(prop, f"./@{word}").slots == {(1, 1): 78}
    done = CliRunner().invoke(main, ["pose", str(folder), f"@{word}", "--json"])
    assert done.exit_code == 0 and json.loads(done.stdout)["drives"]["shoulder"]["value"] == value


@pytest.mark.native
def test_every_command_tells_the_drives_that_do_not_reach_neutral(arm: posekit.Prop, tmp_path: Path) -> None:
    folder = tmp_path / "arm"
    posekit.save(posekit.edit(arm, "drives.shoulder.pulse", {"low": 1600, "high": 2000}), folder)
    for words in (
        ["pose", str(folder), "@neutral"],
        ["check", str(folder), "@neutral"],
        ["move", str(folder), "@neutral", "@high"],
        ["export", str(folder), "@neutral", "@low", "-o", str(tmp_path / "a.glb")],
    ):
        done = CliRunner().invoke(main, [*words, "--json"])
        assert "neutral-unreached" in done.stdout, words
    wrong = CliRunner().invoke(main, ["pose", str(folder), "@nuetral"])
    assert wrong.exit_code == 2 and "@neutral" in wrong.output
