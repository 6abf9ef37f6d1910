"""Strikes through the door: what the page is told is what the library finds."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import trimesh

import posekit
from posekit.bridge.strike_views import NearView
from posekit.bridge.survey import Survey
from posekit.bridge.workbench import Workbench
from posekit.clearance.left_out import grouped
from posekit.errors import PosekitError
from posekit.report.envelope import envelope_report
from posekit.shape.piece_file import Pieces, write_pieces

CROSSING = (Path(__file__).parents[1] / "cases" / "valid" / "two_arms.toml").read_bytes()


@pytest.fixture
def desk() -> tuple[Workbench, Survey]:
    workbench = Workbench()
    workbench.open({"prop.toml": CROSSING}, "arms")
    return workbench, Survey(workbench)


def finished(survey: Survey, resolution: float):
    view = survey.survey(resolution)
    while view.phase != "done":
        view = survey.survey_on(0.05)
    return view


def near(survey: Survey, values) -> NearView:
    view = survey.near(values, 60.0)
    assert view is not None
    return view


def test_a_survey_in_steps_ends_with_the_verdicts_of_the_envelope(desk) -> None:
    workbench, survey = desk
    whole = posekit.clearance.envelope(workbench.prop, resolution=2.0)
    view = finished(survey, 2.0)
    assert view.settled == whole.pairs
    assert [found.verdict for found in view.settled] == ["strikes"]
    assert view.summary == envelope_report(workbench.prop, resolution=2.0).summary
    assert [(each.parts, each.why) for each in view.left_out] == grouped(
        posekit.clearance.left_out(workbench.prop)
    )
    for suggestion in view.suggestions:
        fixed = posekit.edit(
            workbench.prop, f"drives.{suggestion.drive}.pulse.{suggestion.end}", suggestion.pulse_us
        )
        again = posekit.clearance.envelope(fixed, resolution=0.5)
        assert {found.pair for found in again.of("clear")} >= set(suggestion.clears)


def test_a_stopped_survey_tells_what_is_left_as_open(desk) -> None:
    workbench, survey = desk
    survey.survey(0.01)
    view = survey.survey_stop()
    assert view.phase == "done" and view.stopped and view.suggestions == ()
    assert [found.pair for found in view.settled] == posekit.clearance.pairs(workbench.prop)
    assert all(found.finished or found.open_fraction > 0 for found in view.settled)
    with pytest.raises(PosekitError):
        survey.survey_on(0.1)


def test_near_tells_of_the_pairs_below_the_margin_with_points_in_the_picture(desk) -> None:
    workbench, survey = desk
    witness = finished(survey, 2.0).settled[0].witness
    view = near(survey, witness)
    assert [(near.pair, near.mm) for near in view.pairs] == [(("left", "right"), 0.0)]
    assert view.pairs[0].depth_mm >= 0.0
    assert view.points.shape == (1, 2, 3)
    rest = {drive.name: drive.rest_value for drive in workbench.prop.drives}
    assert near(survey, rest).pairs == ()
    assert posekit.clearance.distances(workbench.prop, np.zeros((1, 2)))[0, 0] == pytest.approx(50.0)


def test_near_pairs_come_in_steps_that_are_gone_on_with_for_the_same_pose_alone(desk) -> None:
    workbench, survey = desk
    crossed = finished(survey, 2.0).settled[0].witness
    asked = 1
    while (stepped := survey.near(crossed, 0.0)) is None:  # ends: with the steps to an answer
        workbench.pose({"left": asked})  # which comes between, and changes nothing
        asked += 1
    assert asked > 3, "a step is less than an answer"
    whole = near(survey, crossed)
    assert (stepped.pairs, stepped.points.tolist()) == (whole.pairs, whole.points.tolist())
    for values in ({}, crossed):
        assert survey.near(values, 0.0) is None, "of another pose it is begun anew"
    workbench.edit("clearance.margin", 60.0)
    wider = near(survey, {})
    assert [each.mm for each in wider.pairs] == [pytest.approx(50.0)], "and of another prop"


def test_the_map_of_a_pair_marks_the_values_that_stand(desk) -> None:
    _, survey = desk
    drawn = survey.strike_map(("left", "right"), {"left": 200, "right": 60})
    text = drawn.data.decode()
    assert drawn.name == "left-right.svg" and "left 200" in text and "right 60" in text
    assert {"url(#clear)", "url(#strikes)"} <= {word.strip('"') for word in text.replace("=", " ").split()}


def test_a_pair_nearer_than_the_margin_is_near_in_the_page_with_values_to_look_at() -> None:
    """The arms are 50 mm apart where they stand upright, and clear the margin of 2 mm; of 60 mm they do not."""
    workbench = Workbench()
    workbench.open({"prop.toml": CROSSING + b"[clearance]\nmargin = 60.0\n"}, "arms")
    workbench.edit("drives.left.pulse.low", 1490.0)
    workbench.edit("drives.left.pulse.high", 1510.0)
    workbench.edit("drives.right.pulse.low", 1490.0)
    workbench.edit("drives.right.pulse.high", 1510.0)
    survey = Survey(workbench)
    view = finished(survey, 1.0)
    (found,) = view.settled
    assert found.verdict == "near" and 0.0 < found.clear_by_mm <= 50.0
    assert ", 1 near, " in view.summary
    assert [each.mm for each in near(survey, found.witness).pairs] == [
        pytest.approx(found.nearest_mm, abs=0.1)
    ]
    assert b": near<" in survey.strike_map(found.pair, found.witness).data


def test_a_survey_tells_of_a_mesh_that_its_pieces_do_not_cover() -> None:
    arm = trimesh.creation.box([100.0, 10.0, 10.0])
    short = trimesh.creation.box([20.0, 10.0, 10.0])
    text = CROSSING.decode() + '[links.vane]\n[[links.vane.shapes]]\nmesh = "meshes/vane.stl"\n'
    text += 'pieces = "meshes/vane.json"\n[joints.vane]\ntype = "fixed"\nparent = "base"\nchild = "vane"\n'
    files = {
        "prop.toml": text.encode(),
        "meshes/vane.stl": arm.export(file_type="stl"),
        "meshes/vane.json": write_pieces(Pieces((np.array(short.vertices),), 0.0)),
    }
    workbench = Workbench()
    workbench.open(files, "arms")
    (finding,) = finished(Survey(workbench), 4.0).findings
    assert (finding.level, finding.code) == ("error", "pieces-short")
    assert "by up to 40.00 mm" in finding.message
