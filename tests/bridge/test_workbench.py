"""The requests of the page, asked through the door as its worker asks them."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import posekit
from posekit.bridge import Dispatcher
from posekit.bridge.picture import PICTURE_FROM_PROP
from posekit.output import gltf
from posekit.pipeline import pose_at
from tests.conftest import demo_prop
from tests.counted import lines_run

HERON = Path(__file__).parents[2] / "models" / "heron"


class Page:
    """Asks the door; arrays and bytes come back in their places, as the worker puts them."""

    def __init__(self) -> None:
        self.door = Dispatcher()

    def open(self, prop: posekit.Prop) -> Any:
        files = {"prop.toml": prop.text.encode(), **prop.files}
        return self.ask(
            "open",
            {"files": {path: {"$block": i} for i, path in enumerate(files)}, "name": "x"},
            [*files.values()],
        )

    def ask(self, method: str, params: dict[str, Any], blocks: Sequence[bytes] = ()) -> Any:
        state, text, made = self.door.handle(method, json.dumps(params), blocks)
        assert state == "done", text
        return json.loads(text, object_hook=lambda item: _filled(item, made))

    def refused(self, method: str, params: dict[str, Any]) -> Any:
        state, text, made = self.door.handle(method, json.dumps(params))
        assert state == "refused", text
        assert made == []
        return json.loads(text)


def _filled(item: dict[str, Any], made: Sequence[Any]) -> Any:
    if "$block" not in item:
        return item
    block = made[item["$block"]]
    return block if item["shape"] is None else block.reshape(item["shape"])


@pytest.fixture
def page(arm: posekit.Prop) -> Page:
    page = Page()
    page.open(arm)
    return page


def test_a_prop_is_shown_with_where_its_end_points_and_stops_lie(arm: posekit.Prop) -> None:
    view = Page().open(arm)
    (drive,) = view["drives"]
    assert drive["joint_at_end_points"] == [-45.0, 45.0]
    assert drive["blocked"] == []
    assert view["values"] == {"shoulder": 128}
    assert view["joints"][0]["stops"] == [-80, 80]


def test_values_that_press_against_a_stop_are_the_blocked_ones(arm_text: str) -> None:
    prop = posekit.read({"prop.toml": arm_text.replace("stops = [-80, 80]", "stops = [-80, 20]").encode()})
    (drive,) = Page().open(prop)["drives"]
    ((low, high),) = drive["blocked"]
    first = round(low * 255)
    reached = [posekit.positions(prop, posekit.pulses(prop, [[value]]))[0, 0] for value in (first - 1, first)]
    assert high == 1.0
    assert reached[0] < 20 and reached[1] == 20  # the first value past the stop is drawn at the stop


def test_where_a_joint_turns_back_only_the_values_that_press_are_blocked(arm_text: str) -> None:
    """A rocker that passes its stop and comes back: the values on both sides of that are free."""
    bars = (
        '[drives.shoulder.linkage]\ntype = "four_bar"\ncrank = 20\ncoupler = 60\nrocker = 30\nground = 60\n'
        "shaft_zero = 18.573\n"
    )
    text = arm_text.replace("stops = [-80, 80]", "stops = [-360, 360]") + bars
    free = posekit.read({"prop.toml": text.encode()})
    joint = posekit.positions(free, posekit.pulses(free, np.arange(256.0)[:, None]))[:, 0]
    least, most = joint.min(), joint.max()
    turns_low = int(np.argmin(joint)) not in (0, 255)
    stop = [least + 1.0, most + 1.0] if turns_low else [least - 1.0, most - 1.0]
    prop = posekit.read(
        {"prop.toml": text.replace("[-360, 360]", str([float(end) for end in stop])).encode()}
    )
    ((low, high),) = Page().open(prop)["drives"][0]["blocked"]
    pressing = np.flatnonzero((joint < stop[0]) | (joint > stop[1]))
    assert pressing[0] > 0 and pressing[-1] < 255
    assert [low * 255, high * 255] == pytest.approx([pressing[0], pressing[-1]])


def test_a_pose_through_the_door_is_the_pose_of_the_library_to_float32(demo: posekit.Prop) -> None:
    page = Page()
    view = page.open(demo)
    rng = np.random.default_rng(3)
    values = {drive["name"]: int(rng.integers(drive["full_scale"] + 1)) for drive in view["drives"]}
    shown = page.ask("pose", {"values": values})
    state = pose_at(demo, list(values.values()))
    assert shown["pulses_us"] == list(state.pulses.values())
    assert shown["joints"] == list(state.joints.values())
    for matrix, world_from_link in zip(shown["links"], state.links.values(), strict=True):
        picture_from_link = matrix.reshape(4, 4).T
        np.testing.assert_allclose(
            picture_from_link[:3, :3], PICTURE_FROM_PROP @ world_from_link[:3, :3], atol=1e-6
        )
        np.testing.assert_allclose(
            picture_from_link[:3, 3] * 1000, PICTURE_FROM_PROP @ world_from_link[:3, 3], atol=1e-3
        )


def test_a_finding_of_a_pose_names_the_row_it_belongs_to(arm_text: str) -> None:
    prop = posekit.read({"prop.toml": arm_text.replace("stops = [-80, 80]", "stops = [-80, 20]").encode()})
    page = Page()
    page.open(prop)
    (finding,) = page.ask("pose", {"values": {"shoulder": 255}})["findings"]
    assert (finding["code"], finding["drive"]) == ("past-stop", "shoulder")


def test_clearance_through_the_door_is_that_of_the_library(demo: posekit.Prop) -> None:
    page = Page()
    page.open(demo)
    page.ask("edit", {"path": "clearance.margin", "value": 40.0})
    shown = page.ask("near", {"values": {}, "seconds": 60.0})
    prop = posekit.edit(demo, "clearance.margin", 40.0)  # what a bearing takes depends on the margin, too
    rest = [drive.rest_value for drive in demo.drives]
    distances = posekit.clearance.distances(prop, posekit.positions(prop, posekit.pulses(prop, [rest])))[0]
    wanted = {
        pair: mm for pair, mm in zip(posekit.clearance.pairs(prop), distances, strict=True) if mm < 40.0
    }
    assert {tuple(near["pair"]) for near in shown["pairs"]} == set(wanted) != set()
    for near, (a, b) in zip(shown["pairs"], shown["points"], strict=True):
        assert near["mm"] == pytest.approx(wanted[tuple(near["pair"])], abs=0.02)
        if near["mm"] > 0:
            assert np.linalg.norm(a - b) * 1000 == pytest.approx(near["mm"], abs=0.05)


def test_an_edit_keeps_the_comments_and_shows_at_once(page: Page) -> None:
    view = page.ask("edit", {"path": "drives.shoulder.pulse.low", "value": 1200})
    assert "low = 1200" in view["text"]
    assert "# the end points of the bench" in view["text"]
    assert view["drives"][0]["joint_at_end_points"] == [-27.0, 45.0]


def test_a_drive_with_a_dot_in_its_name_is_edited_by_the_paths_of_its_fields(arm_text: str) -> None:
    text = arm_text.replace("[drives.shoulder]", '[drives."arm.left"]').replace("low = 1000", "low = 400")
    page = Page()
    view = page.open(posekit.read({"prop.toml": text.encode()}))
    (drive,) = view["drives"]
    assert drive["path"] == 'drives."arm.left"'
    assert {"arm.left"} == {
        finding["drive"] for finding in view["findings"] if finding["code"] == "end-point"
    }
    assert {field["path"] for field in drive["fields"]} > {'drives."arm.left".pulse.low'}
    page.ask("edit", {"path": f"{drive['path']}.pulse.low", "value": 1100})
    (edited,) = page.ask("limit", {"limits": {"arm.left": [90.0, None]}})["drives"]
    assert edited["pulse_low"] == 1100
    assert [field["value"] for field in edited["fields"] if field["path"].endswith(".speed")] == [90.0]


def test_an_edit_that_breaks_the_prop_is_refused_and_changes_nothing(page: Page) -> None:
    (finding,) = page.refused("edit", {"path": "drives.shoulder.address", "value": 513})
    assert finding["subject"] == "drives.shoulder.address"
    assert "513" in finding["message"]
    assert page.ask("pose", {"values": {"shoulder": 0}})["pulses_us"] == [1000.0]


def test_a_text_goes_back_as_it_was(page: Page, arm: posekit.Prop) -> None:
    page.ask("edit", {"path": "drives.shoulder.pulse.trim", "value": 40})
    assert page.ask("rewrite", {"text": arm.text})["text"] == arm.text


def test_a_sweep_goes_from_end_to_end_and_its_trace_moves_with_the_part(page: Page) -> None:
    shown = page.ask("sweep", {"drive": "shoulder", "values": {}, "steps": 9})
    assert (shown["positions"][0], shown["positions"][-1]) == (-45.0, 45.0)
    assert shown["links"].shape == (9, 2, 16)
    # The outermost point of the arm turns about the shoulder, 10 mm up: all of the trace is as far from it.
    shoulder = PICTURE_FROM_PROP @ [0.0, 0.0, 0.010]
    away = np.linalg.norm(shown["trace"] - shoulder, axis=1)
    np.testing.assert_allclose(away, away[0], rtol=1e-6)
    assert np.ptp(shown["trace"], axis=0).max() > 0.05


@pytest.mark.parametrize(
    ("data", "name"),
    [
        (b"universe,address,value\n1,1,200\n", "look.csv"),
        (b'{"1": {"1": 200}}', "pasted"),
        (b"universe,address,value\n1,1,200\n", "pasted"),
        (b"1/1@200", "pasted"),
        (bytes([200]) + bytes(511), "frame.bin"),
    ],
)
def test_a_snapshot_is_read_in_whatever_form_it_comes(page: Page, data: bytes, name: str) -> None:
    assert page.ask("read_snapshot", {"data": {"$block": 0}, "name": name}, [data])["values"] == {
        "shoulder": 200
    }


@pytest.mark.parametrize(("form", "ending"), [("csv", ".csv"), ("json", ".json"), ("text", ".txt")])
def test_a_snapshot_that_was_written_is_read_back(page: Page, form: str, ending: str) -> None:
    written = page.ask("write_snapshot", {"values": {"shoulder": 77}, "form": form})
    again = page.ask("read_snapshot", {"data": {"$block": 0}, "name": f"x{ending}"}, [written.encode()])
    assert again["values"] == {"shoulder": 77}


def test_a_look_is_kept_beside_the_prop_and_forgotten_again(page: Page) -> None:
    (look,) = page.ask("store_look", {"name": "wave", "values": {"shoulder": 240}})["looks"]
    assert (look["name"], look["values"]) == ("wave", {"shoulder": 240})
    assert "looks/wave.csv" in page.ask("files", {})
    assert page.ask("drop_look", {"name": "wave"})["looks"] == []


@pytest.mark.parametrize("there", ["looks/calm.csv", "looks/Calm.csv", "looks/calm.json"])
def test_a_look_is_not_stored_over_another_unless_that_is_meant(arm: posekit.Prop, there: str) -> None:
    old = b"universe,address,value\n1,1,7\n" if there.endswith("csv") else b'{"1": {"1": 7}}'
    page = Page()
    page.open(posekit.read({"prop.toml": arm.text.encode(), there: old}))
    (refused,) = page.refused("store_look", {"name": "calm", "values": {"shoulder": 200}})
    assert refused["code"] == "name-taken" and "calm" in refused["subject"]
    assert page.ask("files", {})[there] == old
    view = page.ask("store_look", {"name": "calm", "values": {"shoulder": 200}, "replace": True})
    assert [(look["name"], look["values"]) for look in view["looks"]] == [("calm", {"shoulder": 200})]


def test_a_file_is_not_kept_over_another_unless_that_is_meant(page: Page) -> None:
    one, other = b'format = 1\nname = "one"\n', b'format = 1\nname = "other"\n'
    path = {"path": "shows/a.toml", "data": {"$block": 0}}
    page.ask("keep_file", path, [one])
    page.ask("keep_file", path, [one])  # the same once more is no loss
    state, text, _ = page.door.handle("keep_file", json.dumps(path), [other])
    assert state == "refused" and json.loads(text)[0]["code"] == "name-taken"
    assert page.ask("files", {})["shows/a.toml"] == one
    page.ask("keep_file", {**path, "replace": True}, [other])
    assert page.ask("files", {})["shows/a.toml"] == other


@pytest.mark.parametrize(("given", "stands"), [(1e308, 255), (-5, 0), (1.4, 1), (-1e308, 0), (128, 128)])
def test_values_of_others_are_held_within_what_a_drive_can_be_sent(
    page: Page, given: float, stands: int
) -> None:
    view = page.ask("fit", {"values": {"shoulder": given}})
    assert view["values"] == {"shoulder": stands}
    assert [found["code"] for found in view["findings"]] == ([] if given == stands else ["out-of-range"])


def test_a_value_for_a_drive_that_is_not_there_is_told_and_left_out(page: Page) -> None:
    view = page.ask("fit", {"values": {"tail": 9}})
    assert view["values"] == {"shoulder": 128}
    assert [(found["code"], found["subject"]) for found in view["findings"]] == [("unknown-drive", "tail")]


@pytest.mark.parametrize("name", ["", "  ", "../out", "a/b", "c:d"])
def test_a_name_that_would_leave_the_folder_is_refused(page: Page, name: str) -> None:
    (finding,) = page.refused("store_look", {"name": name, "values": {}})
    assert finding["code"] == "bad-name"


def test_a_glb_from_the_page_opens_again_in_its_pose(page: Page, arm: posekit.Prop) -> None:
    glb = page.ask("glb", {"values": {"shoulder": 31}})["data"]
    other = Page()
    view = other.ask("open_glb", {"glb": {"$block": 0}, "name": "arm.glb"}, [glb])
    assert view["values"] == {"shoulder": 31}
    assert view["text"] == arm.text


def test_the_scene_has_a_node_for_each_link(page: Page, arm: posekit.Prop) -> None:
    scene = page.ask("scene", {})["data"]
    assert scene.startswith(b"glTF")
    assert len(scene) < len(gltf.encode(arm, pose_at(arm, [128])))
    for link in arm.links:
        assert f'"name":"{link.name}"'.encode() in scene.replace(b": ", b":")


def test_what_the_door_does_not_know_is_refused_in_words(page: Page) -> None:
    assert page.refused("pose", {"values": {}, "speed": 3})[0]["subject"] == "speed"
    assert page.refused("pose", {"values": {"shoulder": "high"}})[0]["subject"] == "values.shoulder"
    assert page.refused("sweep", {"drive": "elbow", "values": {}})[0]["code"] == "unknown-drive"


def test_without_a_prop_there_is_nothing_to_pose() -> None:
    assert Page().refused("pose", {"values": {}})[0]["code"] == "no-prop"


def test_a_fault_of_our_own_comes_with_its_traceback_and_the_door_stays_open(page: Page, monkeypatch) -> None:
    def broken(*_: object, **__: object) -> None:
        raise ZeroDivisionError("on purpose")

    with monkeypatch.context() as patched:
        patched.setattr("posekit.bridge.last_poses.pose_at", broken)
        (finding,) = page.refused("pose", {"values": {}})
    assert finding["code"] == "fault"
    assert "on purpose" in finding["subject"]
    assert page.ask("pose", {"values": {}})["joints"] == [0.0]


def test_a_module_that_is_not_here_yet_is_asked_for_by_name(page: Page, monkeypatch) -> None:
    def absent(*_: object, **__: object) -> None:
        raise ModuleNotFoundError("No module named 'trimesh'", name="trimesh")

    monkeypatch.setattr("posekit.bridge.last_poses.pose_at", absent)
    assert page.door.handle("pose", '{"values": {}}') == ("missing", "trimesh", [])


def test_a_part_is_brought_to_a_point_of_the_prop_as_to_the_same_point_of_the_picture(
    demo: posekit.Prop,
) -> None:
    page = Page()
    page.open(demo)
    link = demo.joints[-1].child
    target = np.array([30.0, -20.0, 250.0])
    asked = {"link": link, "grip": [0.0, 0.0, 0.0], "values": {}}
    pulled = page.ask("reach", {**asked, "target": (PICTURE_FROM_PROP @ target / 1000).tolist()})
    brought = page.ask("bring", {**asked, "target_mm": target.tolist()})
    assert pulled["values"] == brought["values"]
    assert brought["target_mm"] == target.tolist()
    np.testing.assert_allclose(pulled["target_mm"], target, rtol=0, atol=1e-9)


def test_a_key_of_few_words_that_may_be_left_out_has_them_to_choose_from_and_none(page: Page) -> None:
    def typical(view: Any) -> Any:
        (servo,) = view["servos"]
        return next(field for field in servo["fields"] if field["path"] == "servos.standard.typical")

    view = page.ask("edit", {"path": "servos.standard.typical", "value": "micro"})
    assert typical(view)["value"] == "micro"
    assert typical(view)["choices"][:3] == ["", "sub_micro", "micro"]
    view = page.ask("edit", {"path": "servos.standard.typical", "value": None})
    assert typical(view)["value"] is None and typical(view)["choices"][0] == ""


@pytest.mark.native
@pytest.mark.parametrize("name", ["heron", "longwood"])
def test_a_pose_is_soon_told(name: str) -> None:
    """Sixty a second are asked for, and a slider waits for each; most have nothing to tell."""
    prop, page = demo_prop(name), Page()
    page.open(prop)
    values = {drive.name: drive.middle for drive in prop.drives}
    page.ask("pose", {"values": values})  # what is found once for all of them
    (drive, *_) = prop.drives
    other = {**values, drive.name: drive.middle + 1}
    lines = lines_run(lambda: page.door.handle("pose", json.dumps({"values": other})))
    assert lines <= 550 + 50 * len(prop.drives)


def test_parts_are_got_ready_in_steps_and_anew_after_an_edit() -> None:
    heron = posekit.load(HERON)
    page, ready = Page(), {"seconds": 0.0}
    page.open(heron)
    steps = 1
    while not page.ask("prepare", ready):  # ends: with the parts of the prop
        assert page.ask("pose", {"values": {}})["findings"] == [], "a pose comes between"
        steps += 1
    assert steps > len(heron.links), "a step is less than a part"
    judged = page.ask("prepare", ready)
    page.ask("edit", {"path": "clearance.margin", "value": 20.0})
    assert not page.ask("prepare", ready), "other parts"
    assert not page.ask("prepare", ready)
    assert page.ask("near", {"values": {}, "seconds": 60.0}), (
        "who asks in the middle has the rest in its own time"
    )
    assert page.ask("prepare", {"seconds": 60.0}) == judged


def test_parts_that_cannot_be_read_are_refused_each_time() -> None:
    heron, page, mesh = posekit.load(HERON), Page(), "meshes/skull.pieces.json"
    page.open(replace(heron, files={**heron.files, mesh: b"no pieces"}))
    for _ in range(2):
        (problem,) = page.refused("prepare", {"seconds": 60.0})
        assert problem["subject"] == "links.head.shapes[0].pieces"
