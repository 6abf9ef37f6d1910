"""Several supplies in one prop: what each has to give, and that what is told of one is told of it alone."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

import posekit
from posekit.authoring.remove import goes_with, remove
from posekit.authoring.rename import rename
from posekit.cli import main
from posekit.prop.feeds import feeds
from posekit.report.power import power_report
from posekit.stream.reader import read_show
from tests.conftest import prop_of
from tests.report.test_power import SWING, arm, told

RATED = "rated = [[4.0, 200.0, 0.6, 1.4], [6.0, 300.0, 1.0, 2.0]]\n"
WINGS = "[supplies.wings]\nvoltage = {volts}\ncurrent = {amperes}\n{wire}"


def fed(
    volts: float = 6.0, amperes: float = 5.0, wire: str = "", own: str = "elbow", stall: float = 1.0
) -> posekit.Prop:
    """The two-link arm, one of its drives on a supply of its own."""
    text = arm(stall).text.replace(
        "[servos.s]\n", f"{WINGS.format(volts=volts, amperes=amperes, wire=wire)}[servos.s]\n"
    )
    text = text.replace("idle_current", f"{RATED}idle_current", 1)
    return prop_of(text.replace(f'joint = "{own}"\n', f'joint = "{own}"\nsupply = "wings"\n'))


def test_each_supply_is_told_of_its_own_servos_and_all_together_are_all() -> None:
    prop = fed()
    report = power_report(prop, read_show(prop, SWING, "shows/swing.toml"))
    one = power_report(arm(), read_show(arm(), SWING, "shows/swing.toml")).supply
    first, wings = report.supplies["supply"], report.supplies["wings"]
    assert (first, list(report.supplies)) == (report.supply, ["supply", "wings"])
    assert (first.drives, wings.drives) == (("shoulder",), ("elbow",))
    for name in (
        "all_idle_a",
        "all_holding_a",
        "all_moving_a",
        "all_stalled_a",
        "show_mean_a",
        "power_on_at_once_a",
    ):
        assert getattr(first, name) + getattr(wings, name) == pytest.approx(getattr(one, name)), name
    # The shoulder lifts, the elbow hangs still: the most of both together is no less than that of either.
    assert first.show_peak_a is not None and wings.show_peak_a is not None and one.show_peak_a is not None
    assert (
        max(first.show_peak_a, wings.show_peak_a)
        < one.show_peak_a
        <= first.show_peak_a + wings.show_peak_a + 1e-9
    )


def test_what_a_wire_takes_is_missing_on_its_own_supply_alone() -> None:
    """3 m of 0.75 mm2 at 5 A: 0.689655 V (2 L I rho / A); both figures go in a line from 4 to 6 V."""
    report = power_report(fed(wire="wire = {length = 3000, area = 0.75}\n"))
    assert [each.rating.volts for each in report.drives] == pytest.approx([6.0, 6.0 - 0.689655], abs=1e-6)
    wings = report.supplies["wings"]
    assert wings.torque_left == pytest.approx(1.0 - 0.4 * 0.689655 / 2, abs=1e-6)
    assert wings.speed_left == pytest.approx((300.0 - 100.0 * 0.689655 / 2) / 300.0, abs=1e-6)
    assert (report.supply.torque_left, report.supply.speed_left) == (1.0, 1.0)
    assert wings.fuse_a is not None
    assert report.supply.wire_mm2 is None
    assert wings.wire_mm2 == pytest.approx(2 * 3.0 * wings.fuse_a / 58 / 0.3)
    # Without figures by voltage nobody knows what is left of them.
    blank = power_report(prop_of(report.prop.text.replace(RATED, "")))
    assert blank.supplies["wings"].torque_left is None


@pytest.mark.parametrize(("volts", "level"), [(12.0, "error"), (4.0, "warning")])
def test_a_voltage_is_judged_by_the_servos_on_it_and_too_much_is_told_first(volts: float, level: str) -> None:
    prop = fed(volts=volts)
    for findings in (power_report(prop).findings, tuple(posekit.check(prop))):
        (wrong,) = [each for each in findings if each.code == "supply-voltage"]
        assert (wrong.level, wrong.subject) == (level, "supplies.wings.voltage")
        assert level != "error" or findings[0] == wrong
    # With no servo on it nothing is destroyed.
    lone = prop_of(prop.text.replace('supply = "wings"\n', ""))
    assert ("idle-supply", "supplies.wings") in {(each.code, each.subject) for each in posekit.check(lone)}
    assert "supply-voltage" not in {each.code for each in posekit.check(lone)}


def test_a_drive_that_nothing_feeds_is_told() -> None:
    prop = prop_of(fed().text.replace("[supply]\nvoltage = 6.0\ncurrent = 5.0\n", ""))
    assert [feed.name for feed in feeds(prop)] == ["supply", "wings"]
    assert {(each.level, each.subject) for each in posekit.check(prop) if each.code == "no-supply"} == {
        ("warning", "drives.shoulder")
    }
    report = power_report(prop)
    assert report.supply.voltage_v is None
    assert "no-supply" in {each.code for each in report.findings}
    both = prop_of(prop.text.replace('joint = "shoulder"\n', 'joint = "shoulder"\nsupply = "wings"\n'))
    report = power_report(both)
    assert list(report.supplies) == ["wings"] and report.supply.drives == ()
    assert "no-supply" not in {each.code for each in posekit.check(both)}


def test_servos_that_would_overload_their_supply_are_proposed_for_others() -> None:
    """Two of 2 A stalled on 3 A: one goes to the wings, whose 6 V it takes; at 12 V it would be destroyed there."""
    prop = prop_of(
        fed(amperes=3.0).text.replace('supply = "wings"\n', "").replace("current = 5.0", "current = 3.0")
    )
    report = power_report(prop)
    assert [(group.like, group.more, group.members) for group in report.groups] == [
        (0, False, (0,)),
        (1, False, (1,)),
    ]
    assert told(report)["grouping", "drives"] == "note"
    high = power_report(
        prop_of(prop.text.replace("[supplies.wings]\nvoltage = 6.0", "[supplies.wings]\nvoltage = 12.0"))
    )
    assert [(group.like, group.more) for group in high.groups] == [(0, False), (0, True)]
    (said,) = [each.message for each in high.findings if each.code == "grouping"]
    assert "one more like 'supply'" in said and "proposal" in said
    assert power_report(fed()).groups == ()
    # A current that is not known is in no sum.
    dim = report.prop.text.replace(RATED, "").replace("stall_current = 2.0\n", "")
    assert power_report(prop_of(dim)).groups == ()


def test_a_supply_is_renamed_and_removed_with_what_names_it() -> None:
    prop = fed()
    other = rename(prop, "supplies", "wings", "arms")
    assert [drive.supply for drive in other.drives] == [None, "arms"]
    assert rename(other, "supplies", "arms", "wings") == prop
    (goes,) = goes_with(prop, "supplies", "wings")
    assert str(goes) == "drives.elbow.supply (is fed by 'wings'; [supply] would feed it)"
    with pytest.raises(posekit.PosekitError, match="not alone"):
        remove(prop, "supplies", "wings")
    left = remove(prop, "supplies", "wings", with_all=True)
    assert left.supplies == () and [drive.supply for drive in left.drives] == [None, None]


def test_the_command_has_a_column_a_supply(tmp_path: Path) -> None:
    (tmp_path / "prop.toml").write_text(fed(volts=12.0, stall=0.15).text)
    run = CliRunner()
    assert (
        run.invoke(
            main, ["edit", str(tmp_path), "add", "supply", "eyes", "voltage=5", "current=2", "--write"]
        ).exit_code
        == 0
    )
    data = json.loads(run.invoke(main, ["power", str(tmp_path), "--json"]).output)
    assert list(data["supplies"]) == ["supply", "wings", "eyes"]
    assert data["supplies"]["supply"] == data["supply"]
    assert (
        data["supplies"]["wings"]["drives"] == ["elbow"] and data["supplies"]["eyes"]["all_stalled_a"] is None
    )
    said = run.invoke(main, ["power", str(tmp_path)]).output
    assert said.index("destroys servo") < said.index("holds at most")
    for word in ("wings", "eyes", "12 V", "torque that wires leave", "local codes"):
        assert word in said
    assert np.isfinite(data["supplies"]["wings"]["show_peak_a"] or 0.0)


def test_currents_over_a_show_are_told_of_servos_of_which_torque_and_current_are_known() -> None:
    text = arm(1.0).text.replace("stall_torque = 1.0\n", "")
    assert "stall_torque" not in text and "stall_current" in text
    prop = prop_of(text)
    supply = power_report(prop, read_show(prop, SWING, "shows/swing.toml")).supply
    assert (supply.show_peak_a, supply.show_mean_a) == (None, None)
    assert (supply.supply_needed_a, supply.fuse_a) == (None, None), "nothing is chosen without them"
    assert supply.all_stalled_a is not None


def test_a_servo_that_stalls_in_a_show_is_not_told_a_speed_of_nothing() -> None:
    prop = arm(0.02)
    found = power_report(prop, read_show(prop, SWING, "shows/swing.toml")).findings
    weak = [finding.message for finding in found if "into the show" in finding.message]
    assert weak and all("reaches 0 deg/s" not in message for message in weak)
    assert any("no limit of its speed helps" in message for message in weak)
