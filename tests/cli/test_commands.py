"""The commands as a builder types them: output, files, exit status."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner, Result

import posekit
from posekit.cli import main

ROOT = Path(__file__).parent.parent.parent
HERON = str(ROOT / "models" / "heron")


def run(*words: str) -> Result:
    return CliRunner().invoke(main, words)


@pytest.fixture
def arm_folder(tmp_path: Path, arm_text: str) -> Path:
    (tmp_path / "prop.toml").write_text(arm_text)
    return tmp_path


def test_the_main_job_poses_the_heron_and_writes_a_glb(tmp_path: Path) -> None:
    out = tmp_path / "alert.glb"
    done = run("pose", HERON, f"{HERON}/looks/alert.csv", "-o", str(out))
    assert done.exit_code == 0, done.output
    for word in ("drive", "address", "value", "pulse µs", "shaft deg", "joint", "finding", "neck_base"):
        assert word in done.output
    assert posekit.load(out) == posekit.load(HERON)


def test_pose_prints_json_as_the_library_computes_it() -> None:
    done = run("pose", HERON, "alert", "--json")
    data = json.loads(done.output)
    prop = posekit.load(HERON)
    state = posekit.pose(prop, posekit.Snapshot.read(f"{HERON}/looks/alert.csv"))
    assert list(data) == ["prop", "drives", "joints", "links", "clearance", "left_out", "findings"]
    assert data["left_out"] == [each.as_dict() for each in posekit.clearance.left_out(prop)]
    assert data["joints"] == dict(state.joints)
    assert {name: drive["pulse_us"] for name, drive in data["drives"].items()} == dict(state.pulses)
    assert {name: drive["value"] for name, drive in data["drives"].items()} == dict(state.values)
    assert {name: drive["shaft_deg"] for name, drive in data["drives"].items()} == dict(state.shafts)
    for name, matrix in data["links"].items():
        assert np.array_equal(matrix, state.links[name])
    assert [tuple(entry["pair"]) for entry in data["clearance"]] == posekit.clearance.pairs(prop)


def test_a_look_a_file_and_typed_text_all_name_a_snapshot(arm_folder: Path) -> None:
    (arm_folder / "looks").mkdir()
    (arm_folder / "looks" / "up.csv").write_text("universe,address,value\n1,1,255\n")
    ways = (["up"], [str(arm_folder / "looks" / "up.csv")], ["1/1@255"], ["1/1@100%"])
    told = [json.loads(run("pose", str(arm_folder), *way, "--json").output)["joints"] for way in ways]
    assert told == [{"shoulder": 45.0}] * 4


def test_a_snapshot_that_is_none_lists_the_looks(arm_folder: Path) -> None:
    done = run("pose", str(arm_folder), "dwon")
    assert done.exit_code == 2
    assert "a look of this prop" in done.output


def test_two_looks_of_one_name_are_told_apart_by_their_endings(arm_folder: Path) -> None:
    (arm_folder / "looks").mkdir()
    (arm_folder / "looks" / "a.csv").write_text("universe,address,value\n1,1,255\n")
    (arm_folder / "looks" / "a.json").write_text('{"1": {"1": 0}}')
    refused = run("pose", str(arm_folder), "a")
    assert refused.exit_code == 2 and "its looks are: a.csv, a.json" in refused.output
    told = [json.loads(run("pose", str(arm_folder), name, "--json").output) for name in ("a.csv", "a.json")]
    assert [data["drives"]["shoulder"]["value"] for data in told] == [255, 0]


def test_exit_status_is_1_for_findings_of_level_error_and_2_for_unusable_input(
    arm_folder: Path, arm_text: str
) -> None:
    assert run("check", str(arm_folder)).exit_code == 0
    (arm_folder / "prop.toml").write_text(arm_text.replace("low = 1000", "low = 400"))
    done = run("check", str(arm_folder), "--json")
    assert done.exit_code == 1
    (finding,) = [f for f in json.loads(done.output)["findings"] if f["level"] == "error"]
    assert finding == {
        "level": "error",
        "code": "end-point",
        "subject": "drives.shoulder.pulse.low",
        "message": "= 400: below the servo's 500 µs; use 500 or more",
    }
    assert "prop.toml:30: drives.shoulder.pulse.low = 400: below" in run("check", str(arm_folder)).output
    (arm_folder / "prop.toml").write_text("format = 1\n")
    assert run("check", str(arm_folder)).exit_code == 2
    assert run("pose", str(arm_folder)).exit_code == 2
    assert run("dance").exit_code == 2


def test_check_tells_dead_points_in_degrees_and_microseconds() -> None:
    done = run("check", HERON, "--json")
    by_drive = {report["drive"]: report for report in json.loads(done.output)["linkages"]}
    wing = by_drive["wing_left"]
    dead_deg, dead_us = wing["dead_points_deg"][1], wing["dead_points_us"][1]
    assert wing["linkage"] == "push_rod"
    assert dead_us == pytest.approx(1500 + dead_deg * 2000 / 180, abs=1e-6)
    assert wing["mechanical_advantage"][0] < wing["mechanical_advantage"][1]
    assert 30 < wing["least_transmission_deg"] < 90


def test_a_result_replaces_an_earlier_result_but_no_file_of_the_user(
    tmp_path: Path, arm_folder: Path
) -> None:
    mine = tmp_path / "mine.glb"
    mine.write_bytes(b"glTF, but the user's own")
    refused = run("pose", str(arm_folder), "1/1@0", "-o", str(mine))
    assert refused.exit_code == 2 and mine.read_bytes() == b"glTF, but the user's own"
    assert run("pose", str(arm_folder), "1/1@0", "-o", str(mine), "--force").exit_code == 0
    assert run("pose", str(arm_folder), "1/1@0", "-o", str(mine)).exit_code == 0


@pytest.mark.parametrize(
    ("snapshots", "name", "status"),
    [
        ([], "a.glb", 0),
        (["1/1@9"], "a.stl", 0),
        (["1/1@9", "1/1@90"], "a.glb", 0),
        (["1/1@9", "1/1@90"], "a.stl", 2),
    ],
)
def test_export_writes_what_the_ending_says(
    tmp_path: Path, arm_folder: Path, snapshots: list[str], name: str, status: int
) -> None:
    done = run("export", str(arm_folder), *snapshots, "-o", str(tmp_path / name))
    assert done.exit_code == status, done.output
    assert (tmp_path / name).exists() == (status == 0)


STRIKING = """
format = 1
name = "Two boxes"
[servos.plain]
[links.a]
mass = 9.0
[[links.a.shapes]]
box = [20, 20, 20]
[links.b]
mass = 9.0
[[links.b.shapes]]
box = [20, 20, 20]
at = [60, 0, 0]
[links.c]
mass = 9.0
[[links.c.shapes]]
box = [20, 20, 20]
at = [60, 5, 0]
[joints.b]
type = "revolute"
parent = "a"
child = "b"
axis = [0, 0, 1]
[joints.c]
type = "fixed"
parent = "a"
child = "c"
[drives.b]
servo = "plain"
joint = "b"
address = 1
"""


@pytest.mark.parametrize(
    "words",
    [["export", "-o", "a.stl"], ["export", "-o", "a.glb"], ["export", "--html", "a.html"], ["sheet"],
     ["sheet", "--cards"], ["sheet", "-o", "a.md"], ["sheet", "-o", "a.html"]],
)  # fmt: skip
def test_what_does_not_look_at_strikes_says_so_and_finds_no_prop_without_problems(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: list[str]
) -> None:
    (tmp_path / "two").mkdir()
    (tmp_path / "two" / "prop.toml").write_text(STRIKING)
    monkeypatch.chdir(tmp_path)
    assert CliRunner().invoke(main, ["check", "two"]).exit_code == 1  # they overlap at rest already
    done = CliRunner().invoke(main, [words[0], "two", *words[1:]])
    assert done.exit_code == 0, done.output
    assert "No problems found" not in done.output and "Not looked at" in done.output
    if (file := tmp_path / words[-1]).suffix in (".md", ".html") and words[0] == "sheet":
        assert "Not looked at" in file.read_text()


def test_typed_text_may_be_longer_than_the_name_of_any_file(arm_folder: Path) -> None:
    for blanks in (300, 5000):
        done = run("pose", str(arm_folder), "1/1@255" + " " * blanks, "--json")
        assert json.loads(done.output)["drives"]["shoulder"]["value"] == 255


@pytest.mark.parametrize("long", ["a" * 300, "a/" * 3000 + "a"])
def test_a_name_that_no_file_can_have_is_told(arm_folder: Path, long: str) -> None:
    for words, told in (
        ((long, "1/1@0"), "cannot be read"),
        ((str(arm_folder), long), "a look of this prop"),
        ((str(arm_folder), "1/1@0", "-o", f"{long}.glb"), "cannot be written"),
    ):
        done = run("pose", *words)
        assert done.exit_code == 2 and isinstance(done.exception, SystemExit), done.exception
        assert told in done.output


@pytest.mark.parametrize("name", ["Owl [/b]", "Owl [draft]", "Owl :owl: [bold]"])
def test_a_name_with_brackets_is_printed_as_it_is(arm_folder: Path, arm_text: str, name: str) -> None:
    text = arm_text.replace('name = "Arm"', f'name = "{name}"')
    text = text.replace("[drives.shoulder]", '[drives."wing [left]"]')
    (arm_folder / "prop.toml").write_text(text)
    for words in (
        ("pose", str(arm_folder), "1/1@0"),
        ("check", str(arm_folder)),
        ("envelope", str(arm_folder)),
    ):
        done = run(*words)
        assert done.exit_code == 0, done.output
        assert name in done.output
    assert "wing [left]" in run("pose", str(arm_folder), "1/1@0").output


def test_an_unwritable_place_is_told(arm_folder: Path) -> None:
    done = run("pose", str(arm_folder), "1/1@0", "-o", str(arm_folder / "prop.toml" / "x.glb"))
    assert done.exit_code == 2
    assert "cannot be written" in done.output


@pytest.mark.parametrize(
    "words",
    [
        ("pose", HERON, "alert", "-o", "{0}/alert.stl"),
        ("export", HERON, "alert", "-o", "{0}/alert.obj"),
        ("export", HERON, "alert", "rest", "-o", "{0}/both.stl"),
        ("export", HERON, "alert", "rest", "--seconds", "inf", "-o", "{0}/both.glb"),
    ],
)
def test_what_cannot_be_written_so_is_refused_and_nothing_is_written(
    words: tuple[str, ...], tmp_path: Path
) -> None:
    done = run(*(word.format(tmp_path) for word in words))
    assert done.exit_code == 2
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("command", ["pose", "export"])
def test_a_place_that_is_taken_is_told_before_any_work(
    tmp_path: Path, arm_folder: Path, command: str
) -> None:
    mine = tmp_path / "mine.glb"
    mine.write_bytes(b"the user's own")
    done = run(command, str(arm_folder), "no such look", "-o", str(mine))
    assert done.exit_code == 2
    assert "already exists" in done.output and "no such look" not in done.output


def animated(folder: Path, place: Path) -> None:
    assert run("export", str(folder), "1/1@0", "1/1@255", "-o", str(place)).exit_code == 0


def test_only_a_pose_of_the_same_prop_is_replaced_without_force(tmp_path: Path, arm_folder: Path) -> None:
    out = tmp_path / "out.glb"

    def posed(*more: str) -> int:
        return run("pose", str(arm_folder), "1/1@0", "-o", str(out), *more).exit_code

    def kept(content: bytes) -> bool:
        return posed() == 2 and out.read_bytes() == content and posed("--force") == 0

    assert posed() == 0
    text = (arm_folder / "prop.toml").read_text()
    (arm_folder / "prop.toml").write_text(text + "\n# a comment more")
    assert posed() == 0, "a prop that was worked on is still the same prop"

    other = run("pose", HERON, "rest", "-o", str(out), "--force")
    assert other.exit_code == 0 and kept(out.read_bytes())

    out.unlink()
    animated(arm_folder, out)
    assert kept(out.read_bytes())

    out.chmod(0o444)
    assert kept(out.read_bytes())

    out.unlink()
    real = tmp_path / "real.glb"
    assert run("pose", str(arm_folder), "1/1@9", "-o", str(real)).exit_code == 0
    before = real.read_bytes()
    out.symlink_to(real)
    assert kept(before) and real.read_bytes() == before and not out.is_symlink()

    itself = run("pose", str(real), "1/1@200", "-o", str(real))
    assert itself.exit_code == 2 and "is the prop that is read" in itself.output
    assert real.read_bytes() == before


@pytest.mark.parametrize(
    "words",
    [
        ("pose", "{arm}", "1/1@0", "-o", "{out}/a.glb"),
        ("export", "{arm}", "-o", "{out}/a.stl"),
        ("envelope", "{arm}", "--fix", "{out}/limits.toml"),
        ("envelope", "{arm}", "--map", "{out}/map.svg"),
        ("envelope", "{arm}", "--cache", "{out}/kept"),
        ("motion", HERON, "dusk", "--csv", "{out}/a.csv"),
    ],
)
def test_a_folder_that_is_not_there_is_told_and_not_made(
    words: tuple[str, ...], tmp_path: Path, arm_folder: Path
) -> None:
    out = tmp_path / "mistyped"
    done = run(*(word.format(arm=arm_folder, out=out) for word in words))
    assert done.exit_code == 2 and "folder" in done.output, done.output
    assert not out.exists()


@pytest.mark.skipif(sys.platform == "win32", reason="devices of POSIX")
@pytest.mark.parametrize("force", [(), ("--force",)])
def test_a_folder_is_never_replaced_and_no_remedy_says_that_it_would_be(
    tmp_path: Path, arm_folder: Path, force: tuple[str, ...]
) -> None:
    (tmp_path / "out.glb").mkdir()
    done = run("pose", str(arm_folder), "1/1@0", "-o", str(tmp_path / "out.glb"), *force)
    assert done.exit_code == 2 and "never replaced; use another name" in done.output
    assert "--force" not in done.output


def test_a_snapshot_that_is_none_is_told_before_anything_is_checked(
    arm_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("posekit.cli.check.check_report", lambda *_: pytest.fail("checked"))
    done = run("check", str(arm_folder), "nothere")
    assert done.exit_code == 2 and "is not a file, a typed snapshot" in done.output


@pytest.mark.parametrize(
    "words", [("fit",), ("notes", "{}"), ("sheet", "{}", "--compare"), ("sheet", "{}", "--cards", "--steps")]
)
def test_a_file_that_is_not_there_is_told_with_what_it_should_be(
    arm_folder: Path, words: tuple[str, ...]
) -> None:
    done = run(*(word.format(arm_folder) for word in words), "nothere.csv")
    assert done.exit_code == 2 and "(No such file or directory); give " in done.output


@pytest.mark.parametrize("force", [(), ("--force",)])
def test_a_device_is_never_replaced_by_a_file(
    tmp_path: Path, arm_folder: Path, force: tuple[str, ...]
) -> None:
    pipe = tmp_path / "pipe.glb"
    os.mkfifo(pipe)
    assert run("pose", str(arm_folder), "1/1@0", "-o", str(pipe), *force).exit_code == 2
    assert pipe.is_fifo()


def test_a_terminal_that_knows_few_signs_gets_the_table_all_the_same() -> None:
    environment = {**os.environ, "PYTHONIOENCODING": "ascii"}
    words = [sys.executable, "-c", "from posekit.cli import main; main()", "pose", HERON, "1/1@0"]
    done = subprocess.run(words, capture_output=True, text=True, env=environment, timeout=60)
    assert (done.returncode, done.stderr) == (0, "")
    assert "pulse ?s" in done.stdout


@pytest.mark.parametrize(
    "words",
    [("pose", HERON, ""), ("motion", HERON, ""), ("check", ""), ("fit", ""), ("power", HERON, "--from", ""),
     ("edit", "", "hang", "a", "b"), ("edit", HERON, "set", ""), ("export", HERON, "-o", ""), ("",)],
)  # fmt: skip
def test_an_empty_word_is_told_as_one(words: tuple[str, ...]) -> None:
    told = run(*words)
    assert told.exit_code == 2
    assert "error: a word is empty" in told.output
