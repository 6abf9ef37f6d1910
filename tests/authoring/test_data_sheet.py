"""Figures of data sheets in the units of the prop file. Factors: NIST SP 811 (2008), appendix B.8."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

import posekit
from posekit.authoring.data_sheet import figure, has_units

TORQUES = [
    ("0.34", 0.34),
    ("0,34 N·m", 0.34),
    ("34 N.cm", 0.34),
    ("340 mN*m", 0.34),
    # SP 811: kgf·m to N·m 9.80665 exactly; ozf·in to N·m 7.061 552 E-03.
    ("1 kgf.cm", 0.0980665),
    ("3.0 kgf·cm", 0.2941995),
    ("3.5kg-cm", 0.34323275),
    ("3.5 KG CM", 0.34323275),
    ("12 kg*cm", 1.176798),
    ("1 ozf.in", 0.00706155181422604),
    ("42 oz-in", 0.29658517619749367),
    ("1e1 ozf·in", 0.0706155181422604),
]
SPEEDS = [
    ("375", 375.0),
    ("400 deg/s", 400.0),
    ("400 °/s", 400.0),
    ("0.15 s/60deg", 400.0),
    ("0.15s/60°", 400.0),
    ("0,16 sec/60 degrees", 375.0),
    (".19 s/60", 315.7894736842105),
    ("60 rpm", 360.0),
    ("1 rad/s", 57.29577951308232),
]
CURRENTS = [("1.4", 1.4), ("1,4 A", 1.4), ("850 mA", 0.85), ("6mA", 0.006)]


@pytest.mark.parametrize(
    ("text", "unit", "right"),
    [
        *((text, "N*m", right) for text, right in TORQUES),
        *((text, "deg/s", right) for text, right in SPEEDS),
        *((text, "A", right) for text, right in CURRENTS),
    ],
)
def test_a_figure_of_a_data_sheet_is_turned_into_the_unit_of_the_file(
    text: str, unit: str, right: float
) -> None:
    assert has_units(unit)
    assert figure(text, unit) == pytest.approx(right, rel=1e-14)


@pytest.mark.parametrize(
    "text",
    ["", " ", "kgf.cm", "3.5 kgf/cm", "3.5 kgf.cm@6V", "3-4 kgf.cm", "-3 kgf.cm", "0 N.m", "0", "nan", "inf",
     "1e999", "1e-999", "0.15 s/60deg", "1" * 5000, "3.5 kgf.cm\x1b[2J", "٣"],
)  # fmt: skip
def test_what_is_no_torque_is_refused_with_what_would_be(text: str) -> None:
    with pytest.raises(posekit.PosekitError) as refused:
        figure(text, "N*m", "servos.neck.stall_torque")
    (finding,) = refused.value.findings
    assert finding.subject == "servos.neck.stall_torque"
    assert "0.34 N.m, 3.5 kgf.cm or 48 ozf.in" in finding.message
    assert "\x1b" not in str(finding)


def test_a_comma_that_may_set_off_thousands_or_decimals_is_asked_about() -> None:
    with pytest.raises(posekit.PosekitError, match=r"can be read in two ways; write 1200 or 1\.200"):
        figure("1,200 deg/s", "deg/s")
    assert figure("0,110 s/60deg", "deg/s") == pytest.approx(60 / 0.11)
    assert figure("1,25 N.m", "N*m") == 1.25


@pytest.mark.parametrize("text", ["0 s/60deg", "0.15 s/90deg", "3.5 kgf.cm", "1e-310 s/60deg"])
def test_what_is_no_speed_is_refused_with_what_would_be(text: str) -> None:
    with pytest.raises(posekit.PosekitError, match=r"400 deg/s or 0\.15 s/60deg"):
        figure(text, "deg/s")


@given(seconds=st.floats(0.02, 2.0))
def test_seconds_for_sixty_degrees_come_back(seconds: float) -> None:
    assert 60.0 / figure(f"{seconds:.6f} s/60deg", "deg/s") == pytest.approx(seconds, abs=1e-6)


@given(text=st.text(max_size=80), unit=st.sampled_from(["N*m", "deg/s", "A"]))
def test_any_text_is_a_figure_above_nought_or_refused(text: str, unit: str) -> None:
    try:
        assert 0.0 < figure(text, unit) < float("inf")
    except posekit.PosekitError as refused:
        assert refused.findings[0].code == "wrong-value"


def test_a_figure_with_as_many_digits_as_are_read_at_all_is_read() -> None:
    assert figure("0.33333333333333333333333333333 N.m", "N*m") == pytest.approx(1 / 3)


@pytest.mark.parametrize(
    ("text", "unit"), [("0", "A"), ("0 mA", "A"), ("0 N.m", "N*m"), ("0 s/60deg", "deg/s")]
)
def test_nothing_is_a_figure_only_where_the_key_may_be_nothing(text: str, unit: str) -> None:
    assert figure(text, unit, nought=True) == 0.0
    with pytest.raises(posekit.PosekitError, match="above 0"):
        figure(text, unit)
    with pytest.raises(posekit.PosekitError, match=r"1\.2 A or 850 mA"):
        figure("0 V", "A", nought=True)
