"""`posekit motion`, end to end."""

import csv
import json
import struct

import numpy as np
import pytest
from click.testing import CliRunner

from posekit.cli import main
from tests.motion.props import ARM
from tests.stream import packets

SHOW = """
format = 1
name = "Up"
[[cues]]
name = "down"
values = {shoulder = 0}
hold = 1.0
[[cues]]
name = "up"
values = {shoulder = 255}
hold = 2.0
"""


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "shows").mkdir()
    (tmp_path / "prop.toml").write_text(ARM)
    (tmp_path / "shows" / "up.toml").write_text(SHOW)
    return tmp_path


def run(*words):
    return CliRunner().invoke(main, ["motion", *map(str, words)])


def test_the_json_holds_the_readings_of_each_drive(folder):
    result = run(folder, "up", "--json")
    assert result.exit_code == 0
    told = json.loads(result.stdout)
    assert told["show"] == {"name": "Up", "frames": 133, "seconds": 3.0, "settled": pytest.approx(1.95)}
    shoulder = told["drives"]["shoulder"]
    # 90 deg at 120 deg/s and 600 deg/s2: T = D/v + v/a = 0.95 s.
    assert shoulder["lag_s"] == pytest.approx(0.95) and shoulder["arrives"] is True
    assert (shoulder["speed"], shoulder["acceleration"], shoulder["stops"]) == (120.0, 600.0, 2)
    assert told["drives"]["slide"]["acceleration"] is None
    assert told["parts"]["hand"]["top_speed_mm_s"] == pytest.approx(np.radians(120) * 250, rel=1e-3)


def test_the_table_names_every_drive_and_says_that_it_arrives(folder):
    result = run(folder, folder / "shows" / "up.toml", "--within", 1.2)
    assert result.exit_code == 0
    assert "Up, 3.00 s, 133 frames; all at rest at 1.95 s" in result.stdout
    assert "Gentlest limits" in result.stdout and "251" in result.stdout


def test_the_curves_are_those_of_the_real_motion(folder):
    target = folder / "curves.csv"
    assert run(folder, "up", "--csv", target).exit_code == 0
    rows = list(csv.DictReader(target.open()))
    at = {float(row["time_s"]): row for row in rows}
    assert float(at[1.48]["shoulder_commanded_deg"]) == 45.0
    # 0.48 s into the move: 12 deg of rising and 0.28 s at 120 deg/s.
    assert float(at[1.48]["shoulder_position_deg"]) == pytest.approx(-45 + 12 + 0.28 * 120, abs=1e-5)
    assert float(at[1.48]["shoulder_velocity_deg_per_s"]) == pytest.approx(120.0)


def test_the_animated_glb_moves_as_the_shafts_do_and_not_as_they_are_sent(folder):
    target = folder / "up.glb"
    assert run(folder, "up", "--glb", target).exit_code == 0
    from pygltflib import GLTF2

    gltf = GLTF2().load_binary(str(target))
    (animation,) = gltf.animations
    node = next(k for k, n in enumerate(gltf.nodes) if n.name == "arm")
    channel = next(c for c in animation.channels if c.target.node == node and c.target.path == "rotation")
    sampler = animation.samplers[channel.sampler]
    times, turns = (floats(gltf, index) for index in (sampler.input, sampler.output))
    angle = np.degrees(2 * np.arcsin(np.linalg.norm(turns.reshape(-1, 4)[:, :3], axis=1)))
    k = int(np.argmin(np.abs(times - 1.48)))
    assert angle[k] == pytest.approx(abs(-45 + 12 + 0.28 * 120), abs=1e-2)


def floats(gltf, index):
    accessor = gltf.accessors[index]
    view = gltf.bufferViews[accessor.bufferView]
    size = {"SCALAR": 1, "VEC4": 4}[accessor.type] * accessor.count
    at = (view.byteOffset or 0) + (accessor.byteOffset or 0)
    return np.array(struct.unpack_from(f"<{size}f", gltf.binary_blob(), at))


def test_a_capture_cut_short_is_run_as_far_as_it_goes_and_gives_exit_status_1(folder):
    sent = [
        (k / 40, packets.ethernet(packets.data(slots=bytes([k, 0, 128, 0]), sequence=k))) for k in range(20)
    ]
    (folder / "take.pcapng").write_bytes(packets.pcapng(sent)[:-30])
    result = run(folder, folder / "take.pcapng", "--json")
    assert result.exit_code == 1
    told = json.loads(result.stdout)
    assert told["show"]["frames"] == 19
    errors = [(f["code"], f["subject"]) for f in told["findings"] if f["level"] == "error"]
    assert errors == [("cut-short", "packet 20")]


@pytest.mark.parametrize("show", ["nothing.toml", "shows", "prop.toml"])
def test_what_is_no_show_gives_exit_status_2_and_says_why(folder, show):
    result = run(folder, folder / show)
    assert result.exit_code == 2
    assert show in result.stderr


@pytest.mark.parametrize("within", ["nan", "inf", "0", "-1"])
def test_what_is_no_time_to_arrive_within_gives_exit_status_2(folder, within):
    result = run(folder, "up", "--within", within)
    assert result.exit_code == 2
    assert "within" in result.stderr and result.stdout == ""


def test_a_prop_without_drives_stands_through_a_show_and_tells_what_touches(tmp_path, statue_text):
    (tmp_path / "prop.toml").write_text(statue_text)
    (tmp_path / "still.toml").write_text("format = 1\n[[cues]]\nname = 'a'\nvalues = {}\nhold = 1.0\n")
    result = run(tmp_path, tmp_path / "still.toml", "--json", "--within", 1)
    assert result.exit_code == 1
    told = json.loads(result.stdout)
    assert (told["drives"], told["suggested"], told["show"]["settled"]) == ({}, {}, 0.0)
    assert [f["message"] for f in told["findings"]] == [
        "touch or overlap first at 0.000 s, where no drive moves them"
    ]


@pytest.mark.parametrize("csv_name", ["there.csv", "curves.txt"])
def test_no_file_is_written_where_a_place_for_another_is_not_free(folder, csv_name):
    (folder / "there.csv").write_text("mine")
    before = sorted(folder.rglob("*"))
    result = run(folder, "up", "--glb", folder / "up.glb", "--csv", folder / csv_name)
    assert result.exit_code == 2 and csv_name in result.stderr
    assert sorted(folder.rglob("*")) == before
    assert (folder / "there.csv").read_text() == "mine"
