"""`posekit linkage` as a builder types it: table, JSON, what is written, exit status."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

import posekit
from posekit.authoring.movement import Proposals
from posekit.budgets import POSITIONS, SERVO_PLACES
from posekit.cli import linkage, main
from posekit.mechanism.reach import reach


def run(*words: str) -> Result:
    return CliRunner().invoke(main, ["linkage", *words])


@pytest.fixture
def folder(tmp_path: Path, arm_text: str) -> Path:
    (tmp_path / "prop.toml").write_text(arm_text)
    return tmp_path


def test_the_table_shows_numbered_linkages_and_one_of_them_is_written(folder: Path) -> None:
    asked = (str(folder), "shoulder", "--joint", "-10", "35", "--horn", "8,10,12.5,15", "--type", "four_bar")
    shown = run(*asked)
    assert shown.exit_code == 0, shown.output
    for word in ("from -10 to 35 deg", "least angle", "bend °", "dead point", "four_bar", "crank"):
        assert word in shown.output
    before = (folder / "prop.toml").read_text()
    found = json.loads(run(*asked, "--json").stdout)["candidates"]
    assert (folder / "prop.toml").read_text() == before
    written = run(*asked, "--write", "2")
    assert written.exit_code == 0, written.output
    assert "is now number 2, four_bar" in written.output
    prop = posekit.load(folder)
    assert reach(prop)[0] == pytest.approx(found[1]["reach"], abs=1e-3)
    assert prop.drives[0].linkage.crank in (8.0, 10.0, 12.5, 15.0)
    assert "# A plain arm" in prop.text


def test_the_json_has_the_promised_form(folder: Path) -> None:
    told = json.loads(run(str(folder), "shoulder", "--joint", "-10", "35", "--json").stdout)
    assert told["drive"] == "shoulder"
    assert {"gear", "four_bar"} <= {each["type"] for each in told["candidates"]}
    for each in told["candidates"]:
        assert {"type", "dimensions", "reach", "transmission_deg", "straightness_deg"} <= set(each)
        assert "type" not in each["dimensions"]
        assert each["reach"][0] <= -10.0 and each["reach"][1] >= 35.0


def test_where_nothing_fits_the_wish_in_the_way_is_told_with_exit_status_1(folder: Path) -> None:
    done = run(str(folder), "shoulder", "--joint", "-10", "35", "--type", "four_bar", "--rod", "400:420")
    assert done.exit_code == 1
    assert "the rods: one of" in done.output


def test_several_servo_places_are_tried_for_a_push_rod(folder: Path) -> None:
    places = ("--servo-at", "30,0,40", "--servo-at", "0,25,40", "--servo-axis", "0,1,0")
    told = json.loads(
        run(str(folder), "shoulder", "--joint", "0", "40", "--type", "push_rod", *places, "--json").stdout
    )
    assert {tuple(each["dimensions"]["shaft_at"]) for each in told["candidates"]} == {
        (30.0, 0.0, 40.0),
        (0.0, 25.0, 40.0),
    }


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--joint", "-10", "35", "--horn", "wide"), "write lengths as 8,10,12.5 or as 8:20"),
        (("--joint", "-10", "35", "--horn", "20:8"), "the smaller first"),
        (("--joint", "-10", "35", "--horn", "0"), "use 1 to 1000 mm"),
        (("--joint", "-10", "35", "--horn", "nan"), "write lengths as 8,10,12.5 or as 8:20"),
        (("--joint", "-10", "35", "--horn", ",".join(["9"] * 17)), "17 of them: give 16 at most"),
        (("--joint", "-10", "35", "--servo-at", "1,2"), "write three numbers as 0,35.5,30"),
        (("--joint", "-10", "35", "--servo-axis", "0,1,0"), "say where the servo's shaft is"),
        (("--joint", "-10", "35", "--servo-at", "0,0,0", "--servo-axis", "0,0,0"), "has no direction"),
        (("--joint", "-10", "35", "--at", "0:3"), "say either --joint or --at"),
        (("--joint", "-10", "35", "--teeth", "12,18.5"), "18.5 is no number of teeth"),
        (("--joint", "-10", "35", "--teeth", "0"), "'0': use 1 to 1000 teeth"),
        (
            ("--joint", "-10", "35", "--horn", "8, 10, 12,5"),
            "“12,5” can be read in two ways; write 12.5 or 12, 5",
        ),
        (
            ("--joint", "-10", "35", *["--servo-at", "0,0,9"] * (SERVO_PLACES + 1)),
            f"give {SERVO_PLACES} at most",
        ),
        ([f"--at={value}:{value / 9}" for value in range(POSITIONS + 1)], f"give {POSITIONS} at most"),
        (("--at", "low:3"), "write value and position as 128:12.5"),
        (("--at", "1.5:3", "--at", "9:8"), "write value and position as 128:12.5"),
        (("--joint", "-10", "35", "--type", "gear", "--write", "9"), "give one of their numbers"),
        (("--joint", "-10", "95"), "its hard stops stand at -80 and 80"),
    ],
)
def test_wrong_use_says_what_would_be_right_and_writes_nothing(
    folder: Path, words: tuple[str, ...], said: str
) -> None:
    before = (folder / "prop.toml").read_text()
    done = run(str(folder), "shoulder", *words)
    assert done.exit_code == 2, done.output
    assert said in done.output
    assert (folder / "prop.toml").read_text() == before


def test_nothing_is_written_into_a_glb(folder: Path, tmp_path: Path) -> None:
    glb = tmp_path / "arm.glb"
    posekit.gltf.write(
        posekit.load(folder), posekit.pose(posekit.load(folder), posekit.Snapshot.parse("1/1@9")), glb
    )
    before = glb.read_bytes()
    done = run(str(glb), "shoulder", "--joint", "-10", "35", "--type", "gear", "--write", "1")
    assert done.exit_code == 2
    assert "give the prop folder" in done.output
    assert glb.read_bytes() == before


def test_a_prop_file_that_was_changed_while_it_searched_stays(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    found, place = linkage.proposals, folder / "prop.toml"

    def meanwhile(*given: Any) -> Proposals:
        place.write_text(place.read_text() + "# from an editor\n")
        return found(*given)

    monkeypatch.setattr(linkage, "proposals", meanwhile)
    done = run(str(folder), "shoulder", "--joint", "-10", "35", "--type", "gear", "--write", "1")
    assert done.exit_code == 2, done.output
    assert place.read_text().endswith("# from an editor\n") and "gear" not in place.read_text()
