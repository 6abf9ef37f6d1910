"""What the batched functions take: rows of finite numbers, one column for each drive or joint."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

import posekit

FUNCTIONS = {
    "pulses": posekit.pulses,
    "positions": posekit.positions,
    "forward": posekit.forward,
    "values": posekit.values,
}


@pytest.fixture(params=FUNCTIONS)
def function(request: pytest.FixtureRequest) -> Callable[..., Any]:
    return FUNCTIONS[request.param]


def columns(function: Callable[..., Any], prop: posekit.Prop) -> int:
    return len(prop.drives if function in (posekit.pulses, posekit.positions) else prop.joints)


def test_lists_single_precision_and_whole_numbers_give_what_float64_gives(
    function: Callable[..., Any], every_key: posekit.Prop
) -> None:
    table = np.full((3, columns(function, every_key)), 4.0)
    right = function(every_key, table)
    assert right.dtype == np.float64 and right.shape[0] == 3
    for given in (table.tolist(), table.astype(np.float32), table.astype(int)):
        assert np.array_equal(function(every_key, given), right)


def test_no_pose_gives_no_rows(function: Callable[..., Any], every_key: posekit.Prop) -> None:
    N = columns(function, every_key)
    none, one = (function(every_key, np.zeros((P, N))) for P in (0, 1))
    assert none.shape == (0, *one.shape[1:])


@pytest.mark.parametrize(
    "spoil",
    [
        lambda table: table[:, :-1],
        lambda table: np.append(table, table, axis=1),
        lambda table: np.full_like(table, np.nan),
        lambda table: [["a"] * table.shape[1]],
        lambda table: table[0, 0],
    ],
    ids=["few", "many", "nan", "text", "one number"],
)
def test_what_does_not_fit_is_refused_with_what_does(
    function: Callable[..., Any], every_key: posekit.Prop, spoil: Callable[[Any], Any]
) -> None:
    N = columns(function, every_key)
    with pytest.raises(
        posekit.PosekitError, match=rf"give \(P, {N}\) finite numbers, a column for each of: "
    ):
        function(every_key, spoil(np.zeros((2, N))))


def test_a_batch_of_batches_of_pulses_is_no_batch_of_poses(arm: posekit.Prop) -> None:
    with pytest.raises(posekit.PosekitError, match=r"pulses: has shape \(2, 3, 1\)"):
        posekit.positions(arm, np.full((2, 3, 1), 1500.0))


def test_a_pose_is_that_of_the_whole_values_it_tells(arm: posekit.Prop) -> None:
    between, whole = posekit.pose_at(arm, [100.4]), posekit.pose_at(arm, [100.0])
    assert (
        (between.values, between.pulses)
        == (whole.values, whole.pulses)
        == ({"shoulder": 100}, {"shoulder": 1390.625})
    )


@pytest.mark.parametrize("values", [[[0.0], [255.0]], np.zeros((0, 1))])
def test_a_pose_is_of_one_row(arm: posekit.Prop, values: Any) -> None:
    with pytest.raises(posekit.PosekitError, match=r"values: has [02] rows; a pose is one row of 1 values"):
        posekit.pose_at(arm, values)


@pytest.mark.parametrize("value", [300, 255.6, -0.6, -5])
def test_a_value_that_no_slot_holds_gives_no_pose(arm: posekit.Prop, value: float) -> None:
    with pytest.raises(posekit.PosekitError, match=r"shoulder = -?[0-9]+: use a value of 0 to 255"):
        posekit.pose_at(arm, [value])
    assert posekit.pose_at(arm, [255.4]).values == {"shoulder": 255}


def test_every_value_that_no_slot_holds_is_told(every_key: posekit.Prop) -> None:
    row = [1e6] * len(every_key.drives)
    with pytest.raises(posekit.PosekitError) as refused:
        posekit.pose_at(every_key, row)
    assert [f.subject for f in refused.value.findings] == [drive.name for drive in every_key.drives]
