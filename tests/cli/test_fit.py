"""`posekit fit` turns a bench sheet into a line of the prop file."""

from __future__ import annotations

import json
import re
import tomllib
from pathlib import Path

import pytest
from click.testing import CliRunner

from posekit.cli import main


def test_the_printed_points_are_those_of_the_prop_file(tmp_path: Path) -> None:
    sheet = tmp_path / "bench.csv"
    sheet.write_text("us,degrees\n600,-80\n1050,-41\n1500,1\n1950,40.5\n2400,81\n")
    done = CliRunner().invoke(main, ["fit", str(sheet)])
    assert done.exit_code == 0, done.output
    line = next(line for line in done.output.splitlines() if line.startswith("points = "))
    assert tomllib.loads(line)["points"] == [[600, -80], [1050, -41], [1500, 1], [1950, 40.5], [2400, 81]]
    data = json.loads(CliRunner().invoke(main, ["fit", str(sheet), "--json"]).output)
    assert data["slope_deg_per_us"] == pytest.approx(161 / 1800, rel=0.01)
    assert len(data["residuals_deg"]) == 5


def test_a_row_that_no_bench_gives_is_told_with_its_row(tmp_path: Path) -> None:
    sheet = tmp_path / "bench.csv"
    sheet.write_text("us,degrees\n600,-80\nnan,3\n1500,inf\n\n-2000,1\n1e308,2\n")
    done = CliRunner().invoke(main, ["fit", str(sheet)])
    assert done.exit_code == 2
    told = re.findall(r"row (\d+): found an? (\w+) of (\S+);", done.output)
    assert told == [
        ("6", "pulse", "-2000"),
        ("7", "pulse", "1e+308"),
    ]
    assert re.findall(r"row (\d+): found '(\S+)'; give pulse and angle", done.output) == [
        ("3", "nan,3"),
        ("4", "1500,inf"),
    ]


def test_a_sheet_with_only_its_header_is_told_as_such(tmp_path: Path) -> None:
    sheet = tmp_path / "bench.csv"
    sheet.write_text("us,degrees\n")
    done = CliRunner().invoke(main, ["fit", str(sheet)])
    assert done.exit_code == 2
    assert "pairs found: 0" in done.output


def test_every_bad_row_is_told(tmp_path: Path) -> None:
    sheet = tmp_path / "bench.csv"
    sheet.write_text("us,degrees\n600,-80\nwide,3\n1500\n")
    done = CliRunner().invoke(main, ["fit", str(sheet)])
    assert done.exit_code == 2
    assert "row 3" in done.output and "row 4" in done.output
