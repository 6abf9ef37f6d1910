"""A servo at the voltage it gets: figures between those of the data sheet, and a word where there are none."""

from __future__ import annotations

import pytest

import posekit
from posekit.statics.ratings import rating, rating_findings
from tests.conftest import prop_of
from tests.statics.test_statics import ARM

RATED = "rated = [[4.8, 310.0, 0.8, 1.8], [6.0, 370.0, 1.0, 2.2]]\nstall_torque = 9.0\n"


def on_all(volts: float | None) -> list[float | None]:
    """The same voltage for each drive of the arm."""
    return [volts] * len(prop_of(ARM).drives)


def fed(volts: float, rated: str = RATED) -> posekit.Prop:
    supply = f"[supply]\nvoltage = {volts}\ncurrent = 5.0\n[servos.s]\n{rated}"
    return prop_of(ARM.replace("[servos.s]\n", supply))


def test_between_two_voltages_of_a_data_sheet_figures_go_in_a_straight_line() -> None:
    servo = fed(5.4).servos[0]
    found = rating(servo, 5.4)
    assert (found.speed_deg_s, found.stall_nm, found.stall_a) == pytest.approx((340.0, 0.9, 2.0))
    assert found.source == "between"
    assert rating_findings(fed(5.4), on_all(5.4)) == []


@pytest.mark.parametrize(("volts", "torque"), [(4.0, 0.8), (7.4, 1.0)])
def test_beyond_the_data_sheet_nothing_is_reckoned_and_that_is_said(volts: float, torque: float) -> None:
    found = rating(fed(volts).servos[0], volts)
    assert (found.stall_nm, found.source) == (torque, "nearest")
    (told,) = rating_findings(fed(volts), on_all(volts))
    assert (told.level, told.code, told.subject) == ("warning", "rated-voltage", "servos.s.rated")
    assert f"{volts:g} V" in told.message


def test_figures_without_their_voltage_stand_as_they_are_and_that_is_said() -> None:
    prop = fed(6.0, "stall_torque = 1.2\n")
    assert rating(prop.servos[0], 6.0).stall_nm == 1.2
    (told,) = rating_findings(prop, on_all(6.0))
    assert (told.level, told.subject) == ("note", "servos.s.stall_torque")
    assert rating_findings(prop_of(ARM), on_all(None)) == []
    (told,) = rating_findings(prop_of(ARM.replace("[servos.s]\n", f"[servos.s]\n{RATED}")), on_all(None))
    assert (told.level, told.subject) == ("note", "servos.s.rated")


def test_voltages_of_a_data_sheet_rise() -> None:
    with pytest.raises(posekit.PosekitError, match=r"rated\[1\]\[0\] = 4\.8: follows 6 V"):
        fed(6.0, "rated = [[6.0, 370.0, 1.0, 2.2], [4.8, 310.0, 0.8, 1.8]]\n")
