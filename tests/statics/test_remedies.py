"""What a spring and a counterweight leave, by hand and by the worst case of a prop whose file has them."""

from __future__ import annotations

import numpy as np
import pytest

import posekit
from posekit.statics import worst_holding
from posekit.statics.burden import STANDARD_GRAVITY, burden_of
from posekit.statics.remedies import Counterweight, Spring, remedies
from posekit.statics.ways import ways_of
from tests.conftest import demo_prop, prop_of
from tests.statics.test_statics import ARM, FORE

LEVEL_NM = 0.120 * 0.085 * STANDARD_GRAVITY


def found(prop: posekit.Prop, d: int = 0) -> tuple[Spring, Counterweight]:
    helps = remedies(prop, ways_of(prop, burden_of(prop)), d, worst_holding(prop)[d].most_nm)
    spring, weight = helps
    assert isinstance(spring, Spring) and isinstance(weight, Counterweight)
    return spring, weight


def test_a_rigid_arm_is_balanced_by_a_weight_and_half_helped_by_a_spring() -> None:
    """Of 120 g at 85 mm, from 45 degrees down to 45 up: cos from 0.707 to 1, the middle of which a spring takes."""
    spring, weight = found(prop_of(ARM))
    least = LEVEL_NM * float(np.cos(np.radians(45.0)))
    assert spring.torque_nm == pytest.approx((LEVEL_NM + least) / 2, rel=1e-3)
    assert spring.most_nm == pytest.approx((LEVEL_NM - least) / 2, rel=0.04)
    assert weight.link == "upper"
    assert weight.mass_g * np.hypot(*weight.at_mm[::2]) == pytest.approx(120 * 85, rel=0.02)
    assert weight.at_mm[0] < 0
    assert weight.most_nm < 0.03 * LEVEL_NM


def test_what_is_promised_holds_once_it_stands_in_the_file() -> None:
    prop = prop_of(ARM + FORE)
    spring, weight = found(prop)
    wound = prop.text.replace('child = "upper"', f'child = "upper"\ntorque = {spring.torque_nm!r}')
    assert worst_holding(prop_of(wound))[0].most_nm == pytest.approx(spring.most_nm, rel=0.03)
    hung = f"[loads.counterweight]\nlink = '{weight.link}'\nmass = {weight.mass_g!r}\nat = {list(weight.at_mm)}\n"
    assert worst_holding(prop_of(prop.text + hung))[0].most_nm == pytest.approx(weight.most_nm, rel=0.03)


@pytest.mark.native
def test_shafts_that_share_a_linkage_and_slides_get_no_such_advice() -> None:
    prop = demo_prop("bellows")
    ways = ways_of(prop, burden_of(prop))
    assert [remedies(prop, ways, d, 1.0) for d in (0, 1, 2)] == [(), (), ()]
