"""Strength and supply on the sheets: the figures of the report on strength, and what was not proved says so."""

from __future__ import annotations

import numpy as np
import pytest

import posekit
from posekit.report.figures import RECKONED, figures, figures_csv
from posekit.report.measured import compare
from posekit.report.power import CAUTION, power_report
from posekit.report.sheet import sheet
from posekit.report.sheet_document import sheet_html, sheet_markdown
from posekit.report.sheet_power import holding_words, power_blocks
from posekit.report.sheet_strength import sheet_strength
from posekit.statics import shaft_torques
from posekit.text import upward
from tests.conftest import demo_prop
from tests.report.test_power import arm, by_voltage

DAY = "2026-11-26"


def test_rows_are_those_of_the_report_on_strength() -> None:
    prop = arm(stall=0.45)
    report, strength = power_report(prop), sheet_strength(prop, 1e9)
    for row, each in zip(strength.rows, report.drives, strict=True):
        assert (row.drive, row.holding_nm, row.share) == (
            each.holding.drive,
            each.holding.most_nm,
            each.share,
        )
        assert (row.stall_nm, row.stall_a, row.may_sleep) == (0.45, 2.0, each.may_sleep)
        assert row.near and not row.cut and row.supply == "supply"
    assert strength.supplies == (("supply", report.supply),)
    text = sheet_markdown(sheet(prop, strength=strength), DAY)
    fuse, wanted = report.supply.fuse_a, report.supply.all_stalled_a
    assert f"fuse {fuse:g} A" in text and f"{upward(wanted)} A" in text and CAUTION in text
    html = sheet_html(sheet(prop, strength=strength), DAY).decode()
    assert "holds at most" in html and f"{upward(100 * report.drives[0].share, 0)}%" in html


@pytest.mark.native
def test_what_is_not_proved_in_the_time_says_so_and_is_a_bound_all_the_same() -> None:
    prop = demo_prop("heron")
    strength = sheet_strength(prop, 0.0)
    loose = [row for row in strength.rows if row.cut]
    assert loose and not any(row.near for row in loose)
    assert all("in the time given" in holding_words(row)[1] for row in loose)
    full = np.array([drive.full_scale for drive in prop.drives])
    values = np.rint(np.random.default_rng(1).random((500, len(full))) * full)
    most = np.abs(shaft_torques(prop, values)).max(axis=0)
    for row, found in zip(strength.rows, most.tolist(), strict=True):
        assert row.holding_nm is None or row.holding_nm >= found


def test_a_sheet_without_strength_has_no_word_of_it_and_needs_no_mesh() -> None:
    made = sheet(arm())
    assert made.strength is None and power_blocks(made.strength) == ()
    assert not any(figure.name in RECKONED for figure in figures(made))


def test_meshes_that_cannot_be_read_leave_the_rest_of_the_sheet() -> None:
    text = arm().text.replace("[links.fore]\n", '[links.fore]\nshapes = [{mesh = "none.stl"}]\n')
    assert "none.stl" in text
    prop = posekit.read({"prop.toml": text.encode(), "none.stl": b"solid nothing"})
    made = sheet(prop, strength=sheet_strength(prop))
    told = sheet_markdown(made, DAY)
    assert "could not be weighed" in told and "Calibration" in told
    assert "none.stl" in str(made.findings[-1])


def test_figures_of_strength_are_told_in_the_csv_and_not_compared() -> None:
    prop = arm()
    content = figures_csv(sheet(prop, strength=sheet_strength(prop, 1e9))).decode("utf-8-sig")
    rows = [line for line in content.splitlines() if "stall torque" in line]
    assert len(rows) == 2
    filled = content.replace(rows[0], rows[0].replace('"N*m",""', '"N*m",0.9').replace("N*m,,", "N*m,0.9,"))
    assert filled != content
    found = compare(prop, filled.encode(), "filled.csv")
    assert [each.code for each in found.findings if each.level == "warning"] == []
    assert "reckoned-figure" in [each.code for each in found.findings]


@pytest.mark.parametrize("name", list(RECKONED))
def test_every_reckoned_figure_stands_once_a_drive(name: str) -> None:
    prop = arm()
    made = sheet(prop, strength=sheet_strength(prop, 0.0))
    assert [figure.drive for figure in figures(made) if figure.name == name] == ["shoulder", "elbow"]


def test_wiring_adds_up_figures_by_voltage_at_the_voltage_that_servos_get() -> None:
    """Two servos of 1.6 A at 4.8 V and 2.4 A at 7.2 V, on 6 V: 2 A each."""
    (universe,) = sheet(by_voltage(arm(volts=6.0))).wiring
    assert (universe.stall_a, universe.unknown) == (pytest.approx(4.0), 0)
