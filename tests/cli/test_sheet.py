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


def test_cards_are_printed_and_written_with_steps(tmp_path: Path) -> None:
    steps = tmp_path / "steps.csv"
    steps.write_text("drive,setting,step,seconds\nbeak,speed,1,1.5\nbeak,speed,9,0.3\n")
    place = tmp_path / "cards.html"
    done = CliRunner().invoke(
        main, ["sheet", HERON, "--cards", "--steps", str(steps), "-o", str(place), "--json"]
    )
    data = json.loads(done.output)
    assert done.exit_code == 0 and place.read_bytes().count(b"<svg") == 3 * 8
    assert [card["steps"][0]["step"] for card in data["cards"] if card["drive"] == "beak"] == [9]
    assert CliRunner().invoke(main, ["sheet", HERON, "--steps", str(steps)]).exit_code == 2
    assert CliRunner().invoke(main, ["sheet", HERON, "--cards", "-o", str(tmp_path / "a.csv")]).exit_code == 2


def test_a_filled_in_sheet_is_compared_and_nothing_is_written(tmp_path: Path) -> None:
    sheet = tmp_path / "sheet.csv"
    CliRunner().invoke(main, ["sheet", HERON, "-o", str(sheet)])
    lines = sheet.read_text(encoding="utf-8-sig").split("\n")
    at = next(i for i, line in enumerate(lines) if '"beak"' in line and '"low pulse"' in line)
    lines[at] = lines[at].replace('"us",""', '"us",1480')
    sheet.write_text("\n".join(lines), encoding="utf-8")
    before = (Path(HERON) / "prop.toml").read_bytes()
    done = CliRunner().invoke(main, ["sheet", HERON, "--compare", str(sheet)])
    assert done.exit_code == 0 and "drives.beak.pulse.low = 1500: measured 1480" in done.output
    assert (Path(HERON) / "prop.toml").read_bytes() == before
    data = json.loads(CliRunner().invoke(main, ["sheet", HERON, "--compare", str(sheet), "--json"]).output)
    assert data["remedies"] == [
        {"key": "drives.beak.pulse.low", "was": 1500.0, "would_be": 1480.0, "why": "measured 1480 µs, -20"}
    ]
