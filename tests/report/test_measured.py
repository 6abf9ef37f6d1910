"""Sheets that come back filled in: what differs is told with the key that would change, and nothing is written."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest

import posekit
from posekit.errors import PosekitError
from posekit.report.figures import HEADER, figures, figures_csv
from posekit.report.measured import Comparison, compare
from posekit.report.sheet import sheet
from tests.conftest import demo_prop

HERON = Path(__file__).parents[2] / "models" / "heron"


@pytest.fixture(scope="module")
def heron() -> posekit.Prop:
    return demo_prop("heron")


def filled(prop: posekit.Prop, typed: dict[tuple[str, str], str], delimiter: str = ",") -> bytes:
    """The sheet as a spreadsheet saves it, with these figures of drives typed in."""
    text = figures_csv(sheet(prop)).decode("utf-8-sig")
    out = io.StringIO()
    writer = csv.writer(out, delimiter=delimiter)
    for row in csv.reader(io.StringIO(text, newline="")):
        found = typed.get((row[1], row[3]))
        row[6] = row[6] if found is None else found
        writer.writerow(
            cell.replace(".", ",") if delimiter == ";" and i in (4, 6) else cell for i, cell in enumerate(row)
        )
    return out.getvalue().encode()


def remedies(found: Comparison) -> dict[str, object]:
    return {each.key: each.would_be for each in found.remedies}


def test_what_is_as_planned_tells_nothing(heron: posekit.Prop) -> None:
    typed = {(f.drive, f.name): f"{f.planned}" for f in figures(sheet(heron)) if f.planned is not None}
    found = compare(heron, filled(heron, typed), "filled.csv")
    assert len(found.compared) == len(typed) and not any(each.differs for each in found.compared)
    assert found.findings == () and found.remedies == ()


@pytest.mark.parametrize(
    ("done", "ticked"),
    [("x", True), ("TRUE", True), ("✓", True), ("FALSE", False), ("no", False), ("☐", False)],
)
def test_a_box_that_stands_empty_is_not_ticked(heron: posekit.Prop, done: str, ticked: bool) -> None:
    rows = list(csv.reader(io.StringIO(figures_csv(sheet(heron)).decode("utf-8-sig"), newline="")))
    for row in rows[1:]:
        row[7] = done
    out = io.StringIO()
    csv.writer(out).writerows(rows)
    assert compare(heron, out.getvalue().encode(), "ticked.csv").ticked == ticked * (len(rows) - 1)


@pytest.mark.parametrize("delimiter", [",", ";"])
def test_what_differs_is_told_with_the_key_that_would_change(heron: posekit.Prop, delimiter: str) -> None:
    typed = {
        ("neck_base", "low pulse"): "1010",
        ("neck_base", "middle pulse"): "1750.5",
        ("beak", "address"): "17",
        ("lids", "position at 0%"): "4.2",
        ("lids", "position at 100%"): "82.1",
        ("head_turn", "position at 0%"): "-63",
        ("head_turn", "position at 100%"): "63",
        ("wing_left", "position at 50%"): "3",
        ("neck_top", "low to high"): "1.4",
    }
    found = compare(heron, filled(heron, typed, delimiter), "filled.csv")
    told = remedies(found)
    assert told["drives.neck_base.pulse.low"] == 1010
    assert told["drives.neck_base.pulse.trim"] == pytest.approx(1750.5 - (1010 + 2433) / 2)
    assert told["drives.beak.address"] == 17
    assert told["drives.lids.linkage.offset"] == pytest.approx(4.23, abs=0.01)
    assert told["servos.standard.travel"] == pytest.approx(180 * 63 / 70.02, rel=0.01)
    assert told["drives.wing_left.linkage"] is None  # one place tells no shift from a wrong travel
    # Put into the prop, each makes the prop do what was measured.
    mended = posekit.edit(heron, "drives.lids.linkage.offset", told["drives.lids.linkage.offset"])
    ways = next(row for row in sheet(mended).drives if row.drive == "lids").ways
    assert ways[0].positions[0] == pytest.approx(4.2, abs=0.05)
    slower = posekit.edit(heron, "drives.neck_top.speed", told["drives.neck_top.speed"])
    assert next(r for r in sheet(slower).drives if r.drive == "neck_top").times.whole_s == pytest.approx(
        1.4, abs=0.01
    )
    assert {finding.level for finding in found.findings} == {"warning"}
    assert {finding.subject for finding in found.findings} == set(told)


def test_pulses_that_differ_are_to_be_mended_before_positions(heron: posekit.Prop) -> None:
    typed = {
        ("beak", "low pulse"): "1400",
        ("beak", "position at 0%"): "-8",
        ("beak", "position at 25%"): "2",
    }
    found = compare(heron, filled(heron, typed), "filled.csv")
    assert remedies(found) == {"drives.beak.pulse.low": 1400, "drives.beak.linkage": None}


def test_a_sheet_of_another_state_is_known_as_such(heron: posekit.Prop) -> None:
    content = filled(heron, {("beak", "low pulse"): "1500"})
    changed = posekit.edit(heron, "drives.beak.pulse.low", 1450)
    found = compare(changed, content, "filled.csv")
    assert [finding.code for finding in found.findings] == ["other-prop", "measured"]
    assert found.of != found.now


def test_an_empty_sheet_says_that_nothing_was_compared(heron: posekit.Prop) -> None:
    found = compare(heron, figures_csv(sheet(heron)), "empty.csv")
    assert [finding.code for finding in found.findings] == ["not-filled-in"]


def test_rows_that_cannot_be_read_are_all_told(heron: posekit.Prop) -> None:
    head = ",".join(HEADER)
    rows = [
        "1,beak,,low pulse,1500,us,wide,,", "1,beak,,high pulse,1,us,1e99,,", "1,beak", "1,beak,,rest,0,value,1_0,,",
        "1,beak,,middle pulse,1,us,1,,", "1,beak,,middle pulse,1,us,2,,",
    ]  # fmt: skip
    with pytest.raises(PosekitError) as refused:
        compare(heron, "\n".join([head, *rows]).encode(), "bad.csv")
    assert [finding.line for finding in refused.value.findings] == [2, 3, 4, 5, 7]


def test_names_come_back_whatever_a_spreadsheet_would_make_of_them() -> None:
    text = """
format = 1
name = "=1+1"
[servos.small]
[links.base]
[links.arm]
[joints."@j"]
type = "revolute"
parent = "base"
child = "arm"
[drives."=cmd|' /C calc'!A0"]
servo = "small"
joint = "@j"
address = 1
"""
    prop = posekit.read({"prop.toml": text.encode()})
    content = figures_csv(sheet(prop)).decode("utf-8-sig")
    assert "\"'=cmd|" in content and '"\'@j"' in content
    name = prop.drives[0].name
    typed = {(f"'{name}", "low pulse"): "1100", (f"'{name}", "position at 0%"): "-45"}
    for bare in (False, True):
        back = filled(prop, typed)
        back = back.replace(b"'=cmd", b"=cmd").replace(b"'@j", b"@j") if bare else back
        found = compare(prop, back, "filled.csv")
        assert [each.measured for each in found.compared] == [1100, -45]
        assert not [f for f in found.findings if f.code == "unknown-figure"]


@pytest.mark.parametrize("delimiter", [",", ";"])
def test_a_comma_before_three_digits_is_asked_about_in_any_sheet(heron: posekit.Prop, delimiter: str) -> None:
    with pytest.raises(posekit.PosekitError, match=r"can be read in two ways; write 1500 or 1\.500"):
        compare(heron, filled(heron, {("neck_base", "low pulse"): "1,500"}, delimiter), "filled.csv")
