"""Shows through the door: the same motion as the library gives, and changes that act on it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from click.testing import CliRunner

import posekit
from posekit.bridge import Dispatcher
from posekit.bridge.picture import matrices
from posekit.cli import main
from posekit.mechanism.joints import solve
from posekit.motion import Motion, Readings, follow, readings
from posekit.signal.patch import snapshot_of
from posekit.stream import read_show
from posekit.stream.cue_file import parse
from tests.conftest import demo_prop

FOLDER = Path(__file__).parents[2] / "models" / "heron"
HERON = demo_prop("heron")
FISHING = "shows/fishing.toml"
RECORDED = b"time,universe,address,value\n0,1,1,100\n1,1,1,200\n"


class RefusedError(Exception):
    """What the door would not do."""


class Page:
    """Asks the door as the page's worker does."""

    def __init__(self) -> None:
        self.door = Dispatcher()
        self.open()

    def open(self) -> None:
        files = {"prop.toml": HERON.text.encode(), **HERON.files}
        named = {path: {"$block": i} for i, path in enumerate(files)}
        self.ask("open", {"files": named, "name": "heron"}, files.values())

    def ask(self, method: str, params: dict[str, Any], blocks: Any = ()) -> Any:
        state, text, made = self.door.handle(method, json.dumps(params), list(blocks))
        if state != "done":
            raise RefusedError([finding["code"] for finding in json.loads(text)])

        def whole(item: Any) -> Any:
            if isinstance(item, dict) and "$block" in item:
                block = made[item["$block"]]
                return block if item["shape"] is None else np.asarray(block).reshape(item["shape"])
            if isinstance(item, dict):
                return {name: whole(entry) for name, entry in item.items()}
            return [whole(entry) for entry in item] if isinstance(item, list) else item

        return whole(json.loads(text))


@pytest.fixture
def page() -> Page:
    page = Page()
    page.ask("open_show", {"name": FISHING})
    return page


def followed(prop: posekit.Prop = HERON, content: bytes | None = None) -> Any:
    show = read_show(prop, content or prop.files[FISHING], FISHING)
    return follow(prop, show.times, show.values)


def test_curves_are_those_of_follow_to_the_last_bit_of_float32(page: Page) -> None:
    curves = page.ask("curves", {"begin": 0.0, "end": 20.0, "count": 501})
    times = np.linspace(0.0, 20.0, 501)
    position, velocity, _ = followed().at(times)
    np.testing.assert_array_equal(curves["position"], position.astype(np.float32))
    np.testing.assert_array_equal(curves["velocity"], velocity.astype(np.float32))
    np.testing.assert_array_equal(curves["commanded"], followed().commanded(times).astype(np.float32))


def test_the_limits_that_a_drive_comes_near_to_are_told(page: Page) -> None:
    column = [drive.name for drive in HERON.drives].index("beak")
    page.ask("edit", {"path": "drives.beak.speed", "value": 50.0})
    assert page.ask("curves", {"begin": 0.0, "end": 25.0, "count": 1001})["limits"][column] == [50.0, -50.0]
    page.ask("edit", {"path": "drives.beak.speed", "value": 1e6})
    calm = page.ask("curves", {"begin": 0.0, "end": 25.0, "count": 1001})
    top = np.abs(calm["velocity"][:, column]).max()
    limit = page.ask("show", {})["limits"]["beak"]["speed"]
    assert bool(calm["limits"][column]) == (top > 0.8 * limit)


def test_frames_are_the_poses_of_the_real_and_of_the_commanded_motion(page: Page) -> None:
    frames = page.ask("frames", {"begin": 16.0, "step": 1 / 60, "count": 30, "commanded": True})
    times = 16.0 + np.arange(30) / 60
    for key, shafts in (("links", followed().position(times)), ("commanded", followed().commanded(times))):
        wanted = matrices(posekit.forward(HERON, solve(HERON, shafts).position))
        np.testing.assert_array_equal(frames[key], wanted)
    assert np.abs(frames["links"] - frames["commanded"]).max() > 0.01  # the strike is a jump of the values


def test_frames_without_the_commanded_pose_carry_none(page: Page) -> None:
    assert (
        page.ask("frames", {"begin": 0.0, "step": 0.1, "count": 2, "commanded": False})["commanded"] is None
    )


def test_an_edited_limit_acts_on_the_open_show(page: Page) -> None:
    page.ask("edit", {"path": "drives.beak.speed", "value": 50.0})
    assert page.ask("show", {})["limits"]["beak"]["speed"] == 50.0
    curves = page.ask("curves", {"begin": 0.0, "end": 25.0, "count": 2501})
    edited = posekit.edit(HERON, "drives.beak.speed", 50.0)
    np.testing.assert_array_equal(
        curves["position"], followed(edited).position(np.linspace(0.0, 25.0, 2501)).astype(np.float32)
    )
    beak = [drive.name for drive in HERON.drives].index("beak")
    assert np.abs(curves["velocity"][:, beak]).max() == 50.0


def test_new_end_points_are_followed_to(page: Page) -> None:
    page.ask("edit", {"path": "drives.beak.pulse.high", "value": 2000.0})
    curves = page.ask("curves", {"begin": 0.0, "end": 25.0, "count": 1001})
    edited = posekit.edit(HERON, "drives.beak.pulse.high", 2000.0)
    wanted = followed(edited).position(np.linspace(0.0, 25.0, 1001)).astype(np.float32)
    np.testing.assert_array_equal(curves["position"], wanted)


def test_a_show_that_is_undone_away_is_told(page: Page) -> None:
    page.ask("begin_show", {"title": "Mine", "values": {}})
    page.ask("open_show", {"name": "shows/Mine.toml"})
    page.open()
    with pytest.raises(RefusedError, match="no-show"):
        page.ask("show", {})


def test_cues_are_recorded_timed_ordered_and_removed(page: Page) -> None:
    page.ask("begin_show", {"title": "Mine", "values": {"beak": 10}})
    file = "shows/Mine.toml"
    page.ask("add_cue", {"file": file, "at": 1, "name": "open", "values": {"beak": 200}})
    page.ask("change_cue", {"file": file, "cue": 1, "changes": {"fade": 0.5, "hold": 3}})
    page.ask("move_cue", {"file": file, "cue": 1, "to": 0})
    shown = page.ask("open_show", {"name": file})
    assert [(cue["name"], cue["begin"], cue["fade"], cue["hold"]) for cue in shown["cues"]] == [
        ("open", 0.0, 0.5, 3.0),
        ("1", 3.5, 2.0, 1.0),
    ]
    page.ask("change_cue", {"file": file, "cue": 0, "changes": {"values": {"beak": 90}}})
    page.ask("drop_cue", {"file": file, "cue": 1})
    kept = page.ask("files", {})
    cue_list, _ = parse(bytes(kept[file]), file)
    assert [(cue.name, cue.values) for cue in cue_list.cues] == [("open", {"beak": 90})]


@pytest.mark.parametrize(
    ("method", "params"), [("change_cue", {"cue": 0, "changes": {"fade": -1}}), ("drop_cue", {"cue": 0})]
)
def test_a_change_that_no_show_could_run_with_is_refused_and_changes_nothing(
    page: Page, method: str, params: dict[str, Any]
) -> None:
    page.ask("begin_show", {"title": "Mine", "values": {"beak": 10}})
    before = page.ask("file", {"path": "shows/Mine.toml"})
    with pytest.raises(RefusedError):
        page.ask(method, {"file": "shows/Mine.toml", **params})
    assert page.ask("file", {"path": "shows/Mine.toml"}) == before


def test_a_show_is_removed_with_its_file(page: Page) -> None:
    page.ask("drop_file", {"path": FISHING})
    assert page.ask("file", {"path": FISHING}) is None
    with pytest.raises(RefusedError, match="no-show"):
        page.ask("show", {})


@pytest.mark.parametrize("title", ["", "a/b", "fishing"])
def test_a_name_that_cannot_be_a_new_show_is_refused(page: Page, title: str) -> None:
    with pytest.raises(RefusedError, match="bad-name"):
        page.ask("begin_show", {"title": title, "values": {}})


def test_a_dropped_recording_is_played_and_its_faults_are_told(page: Page) -> None:
    recording = b"time,universe,address,value\n0,1,7,0\n0.5,1,7,255\n0.4,1,7,3\n2,1,7,9\n"
    shown = page.ask("open_show", {"name": "rec.csv", "data": {"$block": 0}}, [recording])
    assert shown["cues"] == [] and shown["last"] == 2.0
    assert "times-going-back" in [finding["code"] for finding in shown["findings"]]
    page.ask("edit", {"path": "drives.beak.speed", "value": 50.0})
    assert page.ask("show", {})["name"] == "rec.csv"


def test_the_same_readings_are_found_once(page: Page, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whether the panel opens anew or the prop is again as it was; what changes is read anew."""
    asked: list[posekit.Prop] = []

    def counted(prop: posekit.Prop, motion: Motion) -> Readings:
        asked.append(prop)
        return readings(prop, motion)

    monkeypatch.setattr("posekit.bridge.playback.readings", counted)
    own = page.ask("readings", {})
    page.ask("open_show", {"name": "other.csv", "data": {"$block": 0}}, [RECORDED])
    page.open()
    page.ask("open_show", {"name": FISHING})
    assert page.ask("readings", {}) == own
    assert len(asked) == 1
    page.ask("edit", {"path": "joints.neck_top.at", "value": [0.0, 0.0, 500.0]})
    assert page.ask("readings", {})["parts"] != own["parts"]  # the motion is the same, a joint is elsewhere
    page.ask("limit", {"limits": {"beak": [20.0, 100.0]}})
    assert page.ask("readings", {})["drives"] != own["drives"]
    page.ask("open_show", {"name": "other.csv", "data": {"$block": 0}}, [RECORDED])
    assert len(page.ask("readings", {})["parts"]) < len(own["parts"])
    assert len(asked) == 4


def test_readings_under_other_limits_leave_the_prop_alone(page: Page) -> None:
    own = page.ask("readings", {})
    slow = page.ask("readings", {"limits": {"beak": [20.0, 100.0]}})
    beak = [drive.name for drive in HERON.drives].index("beak")
    assert slow["drives"][beak]["lag_s"] > own["drives"][beak]["lag_s"]
    assert slow["drives"][0] == own["drives"][0]
    assert page.ask("readings", {}) == own


def test_suggested_limits_are_taken_as_one_change_and_hold_what_they_promise(page: Page) -> None:
    found = page.ask("suggest", {"lag_s": 1.0})
    wanted = {name: [limit["speed"], limit["acceleration"]] for name, limit in found["limits"].items()}
    page.ask("limit", {"limits": wanted})
    for reading in page.ask("readings", {})["drives"]:
        assert reading["lag_s"] == pytest.approx(found["lag_s"][reading["drive"]], abs=1e-9)


def test_csv_and_glb_are_those_of_the_command_line(page: Page, tmp_path) -> None:
    csv, glb = tmp_path / "curves.csv", tmp_path / "motion.glb"
    CliRunner().invoke(main, ["motion", str(FOLDER), "fishing", "--csv", str(csv), "--glb", str(glb)])
    assert page.ask("motion_csv", {})["data"] == csv.read_bytes()
    assert page.ask("motion_glb", {})["data"] == glb.read_bytes()


def test_the_first_strike_of_a_show_is_told_with_its_time(page: Page) -> None:
    """The recording leans the neck down onto the plinth two seconds in; before that nothing is near."""
    rest = {
        a: byte
        for (_, a), byte in snapshot_of(HERON, [drive.rest_value for drive in HERON.drives]).slots.items()
    }
    down = {1: 255, 2: 255, 3: 255, 4: 255, 5: 60}
    rows = [
        f"{time},1,{slot},{value}" for time, look in ((0, rest), (2, down)) for slot, value in look.items()
    ]
    recording = "\n".join(["time,universe,address,value", *rows, "4,1,7,0"]).encode()
    page.ask("open_show", {"name": "rec.csv", "data": {"$block": 0}}, [recording])
    assert page.ask("strikes", {"begin": 0.0, "end": 2.0}) == []
    first = page.ask("strikes", {"begin": 0.0, "end": 4.0})[0]
    assert first["verdict"] == "strikes" and 2.0 < first["at"] < 4.0
    show = read_show(HERON, recording, "rec.csv")
    motion = follow(HERON, show.times, show.values)
    k = posekit.clearance.pairs(HERON).index(tuple(first["pair"]))

    def apart(time: float) -> float:
        return posekit.clearance.distances(HERON, solve(HERON, motion.position([time])).position)[0, k]

    assert apart(first["at"] + 0.002) == 0.0 < apart(first["at"] - 0.01)
