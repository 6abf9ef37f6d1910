"""The bench through the door: the fit of `posekit fit`, poses for the bench, and a drive that swings."""

from __future__ import annotations

import json

import numpy as np
import pytest
from click.testing import CliRunner

import posekit
from posekit.bridge.picture import matrices
from posekit.cli import main
from posekit.mechanism.bench import BENCH_POSES, bench_values
from posekit.pipeline import pose_at
from tests.bridge.test_playback import FOLDER, HERON, Page, RefusedError

REST = {drive.name: drive.rest_value for drive in HERON.drives}
DRIVE = "head_turn"
SERVO = next(drive.servo for drive in HERON.drives if drive.name == DRIVE)
MEASURED = [
    (900, -54.0),
    (1100, -36.5),
    (1300, -17.0),
    (1500, 1.0),
    (1700, 40.0),
    (1900, 37.0),
    (1910, 36.8),
    (2100, 54.5),
    (2300, 71.0),
]


@pytest.fixture
def page() -> Page:
    return Page()


def typed(pairs) -> list[list[str]]:
    return [[str(us), str(deg)] for us, deg in pairs]


def test_the_fit_in_the_page_is_that_of_the_command(page, tmp_path):
    file = tmp_path / "measured.csv"
    file.write_text("us,degrees\n" + "".join(f"{us},{deg}\n" for us, deg in MEASURED))
    told = json.loads(CliRunner().invoke(main, ["fit", str(file), "--json"]).stdout)
    seen = page.ask("measured", {"servo": SERVO, "rows": typed(MEASURED)})
    assert [list(point) for point in seen["fit"]["points"]] == told["points"]
    assert [row["off_deg"] for row in seen["rows"]] == told["residuals_deg"]
    assert (
        [at + 1 for at, row in enumerate(seen["rows"]) if row["state"] == "left_out"]
        == told["outliers"]
        == [5]
    )
    assert [row["state"] for row in seen["rows"]].count("merged") == 2, "the shaft turned back there"
    (first, last) = seen["fit"]["line"]
    assert (last[1] - first[1]) / (last[0] - first[0]) == pytest.approx(told["slope_deg_per_us"])
    assert {finding["code"] for finding in told["findings"]} <= {
        finding["code"] for finding in seen["findings"]
    }


def test_rows_that_are_not_pairs_yet_are_told_and_the_others_fitted(page):
    rows = [["", ""], *typed(MEASURED[:4]), ["1600", ""], ["17oo", "3"]]
    seen = page.ask("measured", {"servo": SERVO, "rows": rows})
    assert [row["state"] for row in seen["rows"]] == [
        "empty",
        "used",
        "used",
        "used",
        "used",
        "half",
        "wrong",
    ]
    assert "17oo" in seen["rows"][-1]["told"] and seen["fit"]["points"]
    with pytest.raises(RefusedError, match=r"\['bad-row', 'bad-row'\]"):
        page.ask("take_measured", {"servo": SERVO, "rows": rows})


def test_a_single_pulse_gives_no_fit_and_says_why(page):
    assert page.ask("measured", {"servo": SERVO, "rows": []}) == {"rows": [], "fit": None, "findings": []}
    seen = page.ask("measured", {"servo": SERVO, "rows": [["1500", "1"], ["1500", "2"]]})
    assert seen["fit"] is None and [each["code"] for each in seen["findings"]] == ["too-few-points"]


def test_what_is_taken_is_the_fit_and_nothing_else_of_the_file(page):
    view = page.ask("take_measured", {"servo": SERVO, "rows": [*typed(MEASURED), ["", ""]]})
    points = page.ask("measured", {"servo": SERVO, "rows": typed(MEASURED)})["fit"]["points"]
    taken = posekit.read({**HERON.files, "prop.toml": view["text"].encode()}, "heron/prop.toml")
    now = next(servo for servo in taken.servos if servo.name == SERVO)
    assert np.array(now.points) == pytest.approx(np.array(points), abs=5e-4)
    assert len(set(view["text"].splitlines()) ^ set(HERON.text.splitlines())) <= 2


def test_the_pulses_to_measure_at_are_those_of_the_values_that_are_sent(page):
    sent = page.ask("to_measure", {"drive": DRIVE})
    d = [drive.name for drive in HERON.drives].index(DRIVE)
    for each in sent:
        values = [int(each["value"]) if i == d else drive.rest_value for i, drive in enumerate(HERON.drives)]
        assert float(each["pulse"]) == pytest.approx(pose_at(HERON, values).pulses[DRIVE], abs=0.05)
    assert [sent[0]["value"], sent[-1]["value"]] == ["0", str(HERON.drives[d].full_scale)]


@pytest.mark.parametrize("pose", list(BENCH_POSES))
def test_a_pose_for_the_bench_is_that_of_the_command(page, pose):
    seen = page.ask("bench_pose", {"pose": pose})
    assert list(seen["values"].values()) == bench_values(HERON, pose).tolist()
    told = json.loads(CliRunner().invoke(main, ["pose", str(FOLDER), f"@{pose}", "--json"]).stdout)
    assert {name: drive["value"] for name, drive in told["drives"].items()} == seen["values"]
    assert {each["code"] for each in seen["findings"]} <= {each["code"] for each in told["findings"]}


def swing(page: Page, speed: float | None = 120.0, acceleration: float | None = 500.0, **more):
    how = {"drive": DRIVE, "values": REST, "speed": speed, "acceleration": acceleration, **more}
    return page.ask("swing", how)


def test_a_drive_swings_from_where_it_stands_to_both_end_points_and_all_else_stands(page):
    seen = swing(page)
    d = [drive.name for drive in HERON.drives].index(DRIVE)
    frames = page.ask("swing_frames", {"begin": 0.0, "step": seen["period"] / 400, "count": 801})
    links = frames["links"]

    def drawn(value: int) -> np.ndarray:
        values = [value if i == d else drive.rest_value for i, drive in enumerate(HERON.drives)]
        return matrices(np.array(list(pose_at(HERON, values).links.values())))

    assert np.abs(links[0] - drawn(HERON.drives[d].rest_value)).max() < 1e-6
    for end in (0, HERON.drives[d].full_scale):
        assert np.abs(links - drawn(end)).max(axis=(1, 2)).min() < 1e-6
    moved = {link.name for i, link in enumerate(HERON.links) if np.ptp(links[:, i], axis=0).max() > 1e-6}
    sweep = page.ask("sweep", {"drive": DRIVE, "values": REST})["links"]
    assert moved == {
        link.name for i, link in enumerate(HERON.links) if np.ptp(sweep[:, i], axis=0).max() > 1e-6
    }


def test_limits_changed_on_the_way_go_on_from_there_and_are_not_those_of_the_prop(page):
    own = swing(page)["own"]
    at = 0.31
    before = page.ask("swing_frames", {"begin": at, "step": 0.01, "count": 1})["links"][0]
    slower = swing(page, 30.0, 100.0, at=at)
    after = page.ask("swing_frames", {"begin": at, "step": 0.01, "count": 3})["links"]
    assert np.abs(after[0] - before).max() < 1e-6 and np.abs(after[1] - before).max() > 1e-6
    assert (slower["limit"], slower["own"]) == ({"speed": 30.0, "acceleration": 100.0}, own)
    assert slower["sliders"]["speed"]["limits"][slower["sliders"]["speed"]["at"]] == 30.0
    assert swing(page, None, None)["limit"]["acceleration"] is None


def test_end_points_past_a_stop_are_told_before_it_swings(page):
    page.ask("edit_all", {"changes": {f"drives.{DRIVE}.pulse.low": 500, f"drives.{DRIVE}.pulse.high": 2500}})
    d = [drive.name for drive in HERON.drives].index(DRIVE)
    wide = posekit.edit(
        posekit.edit(HERON, f"drives.{DRIVE}.pulse.low", 500), f"drives.{DRIVE}.pulse.high", 2500
    )
    codes = set()
    for end in (0, 255):
        values = [end if i == d else drive.rest_value for i, drive in enumerate(HERON.drives)]
        codes |= {(each.code, each.message) for each in pose_at(wide, values).findings}
    assert codes and {(each["code"], each["message"]) for each in swing(page)["findings"]} == codes


def test_nothing_is_played_that_does_not_swing(page):
    with pytest.raises(RefusedError, match="no-swing"):
        page.ask("swing_frames", {"begin": 0.0, "step": 0.1, "count": 1})
    with pytest.raises(RefusedError):
        swing(page, drive="hed_turn")


def test_a_drive_put_back_in_the_page_is_that_of_the_command(page, tmp_path):
    view = page.ask("reset_drive", {"drive": DRIVE})
    out = tmp_path / "reset"
    done = CliRunner().invoke(main, ["edit", str(FOLDER), "reset", DRIVE, "-o", str(out)])
    assert done.exit_code in (0, 1)
    assert (out / "prop.toml").read_text() == view["text"]
