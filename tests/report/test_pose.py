"""What is told of one pose: the same to the command line and the page."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

import posekit
from posekit.bridge.survey import Survey
from posekit.bridge.workbench import Workbench
from posekit.cli import main


@pytest.mark.native
@pytest.mark.parametrize("value", [0, 128, 255])
def test_a_pose_with_strikes_tells_the_same_on_the_command_line_and_in_the_page(
    wand_text: str, tmp_path: Path, value: int
) -> None:
    prop = posekit.read({"prop.toml": wand_text.encode()})
    posekit.save(prop, tmp_path)
    drive = prop.drives[0]
    snapshot = f"{drive.universe}/{drive.address}@{value}"
    report = posekit.pose_report(prop, posekit.Snapshot.parse(snapshot))
    library = [finding.as_dict() for finding in report.findings]
    done = CliRunner().invoke(main, ["pose", str(tmp_path), snapshot, "--json"])
    assert json.loads(done.stdout)["findings"] == library
    assert done.exit_code == (1 if any(each["level"] == "error" for each in library) else 0)
    checked = CliRunner().invoke(main, ["check", str(tmp_path), snapshot, "--json"])
    assert [each for each in library if each not in json.loads(checked.stdout)["findings"]] == []

    workbench = Workbench()
    workbench.open({"prop.toml": wand_text.encode()}, "wand")
    values = {drive.name: value}
    near = Survey(workbench).near(values, 60.0)
    assert near is not None
    page = [*workbench.pose(values).findings, *near.findings]
    assert [(each.level, each.code, each.subject) for each in page] == [
        (each["level"], each["code"], each["subject"]) for each in library
    ]


def test_parts_that_strike_are_among_the_findings_of_a_pose(two_arms_text: str) -> None:
    prop = posekit.read({"prop.toml": two_arms_text.encode()})
    struck = [
        posekit.pose_report(prop, posekit.Snapshot.parse(f"1/1@{a}, 1/2@{b}")).findings
        for a in (0, 255)
        for b in (0, 255)
    ]
    assert any(finding.code == "strikes" for findings in struck for finding in findings)
