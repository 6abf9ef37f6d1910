"""`posekit sheet` prints, writes and refuses."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from posekit.cli import main

HERON = str(Path(__file__).parents[2] / "models" / "heron")


@pytest.mark.parametrize(
    ("ending", "holds"), [(".html", b"<!doctype html>"), (".csv", b"\xef\xbb\xbf"), (".md", b"# Marsh")]
)
def test_each_ending_is_a_kind_of_sheet(tmp_path: Path, ending: str, holds: bytes) -> None:
    place = tmp_path / f"sheet{ending}"
    done = CliRunner().invoke(main, ["sheet", HERON, "-o", str(place)])
    assert done.exit_code == 0 and f"Wrote {place}" in done.output.replace("\n", "")
    assert place.read_bytes().startswith(holds) and b"neck_base" in place.read_bytes()
    again = CliRunner().invoke(main, ["sheet", HERON, "-o", str(place)])
    assert again.exit_code == 2 and "already exists" in again.output


def test_another_ending_is_refused_before_any_work(tmp_path: Path) -> None:
    done = CliRunner().invoke(main, ["sheet", HERON, "-o", str(tmp_path / "sheet.pdf")])
    assert done.exit_code == 2 and ".html" in done.output and ".csv" in done.output


def test_json_holds_what_the_table_shows() -> None:
    data = json.loads(CliRunner().invoke(main, ["sheet", HERON, "--json"]).output)
    shown = CliRunner().invoke(main, ["sheet", HERON]).output
    assert len(data["fingerprint"]) == 64 and data["fingerprint"][:4] in shown
    assert [outlet["address"] for outlet in data["outlets"]] == [1, 3, 5, 6, 7, 8, 9, 10]
    assert all(drive["drive"] in shown for drive in data["drives"])
