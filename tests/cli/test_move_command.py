"""`posekit move` from the outside."""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner

from posekit.cli import main


@pytest.fixture
def wand(tmp_path, wand_text):
    (tmp_path / "prop.toml").write_text(wand_text)
    return str(tmp_path)


def test_a_move_through_a_post_tells_when_and_gives_exit_status_1(wand):
    done = CliRunner().invoke(main, ["move", wand, "1/1@0", "1/1@255", "--json"])
    assert done.exit_code == 1, done.output
    told = json.loads(done.output)
    assert list(told) == ["prop", "margin_mm", "pairs", "left_out", "findings"]
    (pair,) = told["pairs"]
    assert pair["pair"] == ["base", "wand"]
    assert pair["verdict"] == "strikes"
    assert pair["at_s"] == pytest.approx(0.4192, abs=2e-3)
    assert told["findings"][0]["code"] == "strikes"


def test_a_move_short_of_the_post_gives_exit_status_0(wand):
    done = CliRunner().invoke(main, ["move", wand, "1/1@0", "1/1@64"])
    assert done.exit_code == 0, done.output
    assert "clear" in done.output


def test_a_move_nearer_than_the_margin_is_told_and_gives_exit_status_1(wand, tmp_path, wand_text):
    (tmp_path / "prop.toml").write_text(wand_text + "[clearance]\nmargin = 10.0\n")
    done = CliRunner().invoke(main, ["move", wand, "1/1@0", "1/1@84", "--json"])
    assert done.exit_code == 1, done.output
    told = json.loads(done.output)
    (pair,) = told["pairs"]
    assert (pair["verdict"], pair["values"]) == ("near", {"wand": 84})
    assert 0.0 < pair["clear_by_mm"] < 10.0
    assert told["margin_mm"] == 10.0
    (finding,) = told["findings"]
    assert (finding["level"], finding["code"]) == ("error", "near")


def test_a_prop_without_drives_that_overlaps_strikes_at_once(tmp_path, statue_text):
    (tmp_path / "prop.toml").write_text(statue_text)
    done = CliRunner().invoke(main, ["move", str(tmp_path), "1/1@0", "1/1@255", "--json"])
    assert done.exit_code == 1, done.output
    (pair,) = json.loads(done.output)["pairs"]
    assert (pair["verdict"], pair["at_s"], pair["values"]) == ("strikes", pytest.approx(0.0, abs=1e-3), {})
