"""A file full of rubbish is refused in as many words as a person reads, and no more of them are made, at every door."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

import posekit
from posekit.budgets import ALIKE_TOLD, FINDINGS_TOLD, NOTES
from posekit.cli.fit import read_measured
from posekit.errors import Faults, Finding, PosekitError, bounded, error
from posekit.prop.notes import read_notes
from posekit.report.figures import figures_csv
from posekit.report.measured import compare
from posekit.report.sheet import sheet
from posekit.report.steps import read_steps
from posekit.stream import read_show

ARM = posekit.load(Path(__file__).parents[1] / "cases" / "valid" / "arm.toml")


MANY = 10 * FINDINGS_TOLD


def rows(header: str, row: str) -> bytes:
    """A file of that header and many times that row."""
    return f"{header}\n".encode() + f"{row}\n".encode() * MANY


def fitted(content: bytes, folder: Path) -> object:
    (folder / "measured.csv").write_bytes(content)
    return read_measured(str(folder / "measured.csv"))


SHEET = figures_csv(sheet(ARM)).decode().splitlines()[0]
KEYS = "\n".join(f"x{number} = 1" for number in range(MANY))
Door = Callable[[Path], object]
DOORS: dict[str, Door] = {
    "snapshot, typed": lambda _: posekit.Snapshot.parse("x/y," * MANY),
    "snapshot, CSV": lambda _: posekit.Snapshot.decode(rows("universe,address,value", "a,b,c"), ".csv"),
    "snapshot, JSON": lambda _: posekit.Snapshot.decode(
        b'{"1": {"9": "x"' + b', "9": "x"' * MANY + b"}}", ".json"
    ),
    "sheet filled in": lambda _: compare(ARM, rows(SHEET, "x"), "sheets.csv"),
    "times of steps": lambda _: read_steps(rows("drive,setting,step,seconds", "a,b,c,d"), "times.csv"),
    "a servo measured": lambda folder: fitted(rows("us,degrees", "a,b"), folder),
}
# These hold no more notes and keys than a budget, far below what takes seconds.
TABLES: dict[str, Door] = {
    "notes": lambda _: read_notes(json.dumps({"posekit_notes": 1, "notes": [{"x": 1}] * NOTES}).encode()),
    "prop file": lambda _: posekit.read({"prop.toml": f"format = 1\n{KEYS}".encode()}),
}


@pytest.fixture
def made(monkeypatch: pytest.MonkeyPatch) -> list[Finding]:
    """The findings that are made, told or not."""
    made: list[Finding] = []
    begin = Finding.__post_init__

    def kept(finding: Finding) -> None:
        made.append(finding)
        begin(finding)

    monkeypatch.setattr(Finding, "__post_init__", kept)
    return made


@pytest.mark.parametrize("door", DOORS.values(), ids=DOORS)
def test_no_more_is_made_of_rubbish_than_is_told(door: Door, tmp_path: Path, made: list[Finding]) -> None:
    told_in_short(door, tmp_path)
    assert len(made) <= FINDINGS_TOLD + 2


@pytest.mark.parametrize(
    "row", ["a", "a,b,c,d", '"1,500",1,1,1', "-1,1,1,1", "1,0,1,1", "1,1,1,256", "1,1,513,1"]
)
def test_of_a_recording_only_the_first_few_findings_of_a_kind_are_made(row: str, made: list[Finding]) -> None:
    """The others are counted; of a show what is right in it is used."""
    good = "0,1,1,7\n99999,1,1,7"
    show = read_show(ARM, rows(f"time,universe,address,value\n{good}", row), "show.csv")
    told = [finding for finding in show.findings if finding.level == "error"]
    assert told[-1].message == f"and {MANY - ALIKE_TOLD} more rows like these, the last: row {MANY + 3}"
    assert len(told) == ALIKE_TOLD + 2  # one is of the time far off
    assert len(made) <= len(show.findings) + 2


def told_in_short(door: Door, folder: Path) -> None:
    """It is refused, and says how many findings more there are than it tells."""
    with pytest.raises(PosekitError) as refused:
        door(folder)
    *told, last = refused.value.findings
    assert len(told) == FINDINGS_TOLD and last.code == "more" and "more findings" in last.message


@pytest.mark.parametrize("door", TABLES.values(), ids=TABLES)
def test_of_tables_no_more_is_told(door: Door, tmp_path: Path) -> None:
    told_in_short(door, tmp_path)


@pytest.mark.parametrize("count", [1, FINDINGS_TOLD, FINDINGS_TOLD + 1, FINDINGS_TOLD + 2, 5 * FINDINGS_TOLD])
def test_faults_of_rows_are_told_as_any_findings(count: int) -> None:
    faults = Faults("a.csv")
    for row in range(count):
        faults.add("bad-row", f"row {row}", "is none", row)
    with pytest.raises(PosekitError) as refused:
        faults.refuse()
    same = [error("bad-row", f"row {row}", "is none", file="a.csv", line=row) for row in range(count)]
    assert refused.value.findings == bounded(same)
