"""One question, one list: library, command line and page tell the same of a prop."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import tomlkit
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st

import posekit
from posekit.bridge import Dispatcher
from posekit.bridge.view_of_prop import drives_of_joints
from posekit.budgets import FINDINGS_TOLD
from posekit.cli import main
from posekit.errors import bounded, error, note
from posekit.prop.folder import PROP_FILE
from posekit.report.check import quick_check
from posekit.toml.places import parse

CASES = Path(__file__).parents[1] / "cases" / "valid"
TEXTS = {file.stem: file.read_text() for file in sorted(CASES.glob("*.toml"))}
MODELS = Path(__file__).parents[2] / "models"
BROKEN_LOOK = {"looks/broken.csv": b"universe,address,value\n1,1,256\n"}

Told = list[tuple[str, str, str, str]]


def told(findings: list[dict[str, Any]]) -> Told:
    return [(each["level"], each["code"], each["subject"], each["message"]) for each in findings]


def from_library(prop: posekit.Prop) -> Told:
    return told([finding.as_dict() for finding in posekit.check(prop)])


def from_command(prop: posekit.Prop, folder: Path) -> Told:
    posekit.save(prop, folder)
    done = CliRunner().invoke(main, ["check", str(folder), "--json"])
    assert done.exit_code in (0, 1), done.output
    return told(json.loads(done.stdout)["findings"])


def from_page(prop: posekit.Prop) -> Told:
    door = Dispatcher()
    blocks = [prop.text.encode(), *prop.files.values()]
    files = {path: {"$block": at} for at, path in enumerate([PROP_FILE, *prop.files])}
    assert door.handle("open", json.dumps({"files": files, "name": "prop"}), blocks)[0] == "done"
    outcome, result, _ = door.handle("check", "{}")
    assert outcome == "done", result
    return told(json.loads(result)["findings"])


@pytest.mark.native
def test_three_doors_tell_the_same_of_a_demo_prop(demo_at_length: posekit.Prop, tmp_path: Path) -> None:
    prop = demo_at_length
    assert from_library(prop) == from_command(prop, tmp_path) == from_page(prop)


@st.composite
def props(draw: st.DrawFn) -> posekit.Prop:
    """A prop of the cases with some of its end points, trims and stops moved about."""
    table = tomllib.loads(TEXTS[draw(st.sampled_from(sorted(TEXTS)))])
    for drive in table.get("drives", {}).values():
        for key, least, most in (("low", 300, 1499), ("high", 1501, 2900), ("trim", -700, 700)):
            if draw(st.booleans()):
                drive.setdefault("pulse", {})[key] = draw(st.integers(least, most))
    for joint in table["joints"].values():
        if joint["type"] != "fixed" and draw(st.booleans()):
            joint["stops"] = [draw(st.integers(-120, 0)), draw(st.integers(1, 120))]
    return posekit.read({PROP_FILE: tomlkit.dumps(table).encode()})


@pytest.mark.native
@settings(max_examples=12)
@given(props(), st.booleans())
def test_three_doors_tell_the_same_of_any_prop(
    tmp_path_factory: pytest.TempPathFactory, prop: posekit.Prop, with_a_broken_look: bool
) -> None:
    files = {**prop.files, **(BROKEN_LOOK if with_a_broken_look else {})}
    prop = posekit.read({PROP_FILE: prop.text.encode(), **files})
    told = from_library(prop)
    assert told == from_command(prop, tmp_path_factory.mktemp("prop")) == from_page(prop)
    assert with_a_broken_look == any(code == "bad-row" for _, code, _, _ in told)


@settings(max_examples=60)
@given(props(), st.data())
def test_what_any_pose_tells_of_ranges_is_among_what_the_check_tells(
    prop: posekit.Prop, data: st.DataObject
) -> None:
    values = [data.draw(st.sampled_from([0, drive.middle, drive.full_scale])) for drive in prop.drives]
    if prop.drives and data.draw(st.booleans()):
        values = [data.draw(st.integers(0, drive.full_scale)) for drive in prop.drives]
    known = {told_of(prop, finding) for finding in quick_check(prop)}
    for finding in posekit.pose_at(prop, np.array(values, float)).findings:
        assert told_of(prop, finding) & set().union(*known), (finding, sorted(map(sorted, known)))


def told_of(prop: posekit.Prop, finding: posekit.Finding) -> frozenset[tuple[str, str]]:
    """What kind of finding it is, for each drive that it concerns."""
    kind = {"pulse-clamped": "pulse", "end-point": "pulse", "trim": "pulse"}.get(finding.code, finding.code)
    path = parse(finding.subject)
    part = str(path[1] if path[0] in ("drives", "joints") else path[0])
    concerned = drives_of_joints(prop).get(part, (part,))
    return frozenset((kind, name) for name in concerned)


def test_findings_stand_in_the_lines_of_the_file_they_speak_of(arm_text: str) -> None:
    text = arm_text.replace("low = 1000", "low = 400").replace("stops = [-80, 80]", "stops = [-95, 95]")
    prop = posekit.read({PROP_FILE: text.encode(), **BROKEN_LOOK})
    end_point, look = posekit.check(prop, "arm/prop.toml")
    line = next(at for at, each in enumerate(text.split("\n"), start=1) if "low = 400" in each)
    assert str(end_point).startswith(f"arm/prop.toml:{line}: drives.shoulder.pulse.low = 400: ")
    assert str(look).startswith("looks/broken.csv: row 2: ")
    nameless = posekit.check(prop)[0]
    assert str(nameless).startswith(f"line {line}: drives.shoulder.pulse.low = 400: ")


def test_a_mesh_that_cannot_be_read_is_told_once_among_the_rest(arm_text: str) -> None:
    text = arm_text.replace("low = 1000", "low = 400").replace("stops = [-80, 80]", "stops = [-95, 95]")
    text += '\n[[links.arm.shapes]]\nmesh = "meshes/torn.stl"\n'
    prop = posekit.read({PROP_FILE: text.encode(), "meshes/torn.stl": b"solid torn\nfacet"})
    codes = [finding.code for finding in posekit.check(prop)]
    assert len(codes) == 2 and codes[0] == "end-point"


def test_of_very_many_findings_the_gravest_are_told_and_the_rest_counted() -> None:
    many = [note("a", str(n), "a note") for n in range(3000)] + [error("b", "last", "an error")]
    told = bounded(many)
    assert len(told) == FINDINGS_TOLD + 1
    assert told[0] == many[-1]
    assert told[-1].message.startswith(f"and {3001 - FINDINGS_TOLD} more findings")
    assert bounded(told) == told


def test_a_message_reads_on_from_its_subject_and_can_stand_alone() -> None:
    finding = error("out-of-range", "drives.jaw.address", "= 600: use 512 or less")
    assert finding.sentence == "drives.jaw.address = 600: use 512 or less"
    assert finding.alone == "found 600: use 512 or less"
