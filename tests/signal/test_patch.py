"""The patch reads coarse and fine, falls back to rest and says so."""

from __future__ import annotations

from collections.abc import Callable

import pytest

import posekit
from posekit.signal.patch import patched, sendable, snapshot_of


def test_a_sixteen_bit_drive_reads_coarse_then_fine(every_key: posekit.Prop) -> None:
    # coarse then fine is common practice; ANSI E1.11 itself knows single slots only
    values, _ = patched(every_key, posekit.Snapshot({(2, 1): 0x12, (2, 2): 0x34}))
    assert values[0] == 0x1234


def test_a_missing_address_stands_at_rest_and_is_noted(make_prop: Callable, arm_text: str) -> None:
    prop = make_prop(arm_text.replace("address = 1", "address = 1\nrest = 40"))
    values, notes = patched(prop, posekit.Snapshot({}))
    assert values.tolist() == [40]
    assert [(note.level, note.code, note.subject) for note in notes] == [
        ("note", "missing-address", "shoulder")
    ]


def test_without_a_rest_value_a_drive_stands_in_the_middle(
    arm: posekit.Prop, every_key: posekit.Prop
) -> None:
    assert patched(arm, posekit.Snapshot({}))[0].tolist() == [128]
    assert patched(every_key, posekit.Snapshot({}))[0][0] == 32768


def test_a_missing_fine_byte_is_that_of_rest(every_key: posekit.Prop) -> None:
    prop = posekit.edit(every_key, "drives.neck_a.rest", 0x8034)
    values, notes = patched(prop, posekit.Snapshot({(2, 1): 0x12}))
    assert values[0] == 0x1234
    assert notes[0].code == "missing-address" and notes[0].message.endswith("that of the rest value, 52")


def test_an_address_no_drive_uses_is_noted(arm: posekit.Prop) -> None:
    _, notes = patched(arm, posekit.Snapshot({(1, 1): 1, (4, 7): 1}))
    assert [note.code for note in notes] == ["unpatched"]
    assert "universe 4, address 7" in notes[0].message


def test_a_whole_frame_has_slots_for_others_without_a_note(arm: posekit.Prop) -> None:
    assert patched(arm, posekit.Snapshot.decode(bytes(512), ".bin")) == ([0.0], [])


def test_values_become_the_snapshot_they_came_from(every_key: posekit.Prop) -> None:
    snapshot = posekit.Snapshot(
        {
            (2, 1): 1,
            (2, 2): 2,
            (1, 1): 3,
            (1, 2): 4,
            (1, 3): 5,
            (1, 4): 6,
            (1, 5): 7,
            (1, 6): 8,
            (1, 7): 9,
            (1, 8): 10,
        }
    )
    assert snapshot_of(every_key, patched(every_key, snapshot)[0]) == snapshot


@pytest.mark.parametrize("given", ["128", None, [1], {}, True, float("nan"), "x" * 10_000])
def test_what_is_no_number_stands_at_rest_and_is_told_in_few_words(arm: posekit.Prop, given: object) -> None:
    row, findings = sendable(arm, {"shoulder": given})
    assert row.tolist() == [128]
    assert [(f.code, f.subject) for f in findings] == [("out-of-range", "shoulder")]
    assert len(findings[0].message) < 200


@pytest.mark.parametrize(
    ("given", "stands"), [(10**400, 255), (-(10**400), 0), (float("inf"), 255), (1.5, 2)]
)
def test_any_number_gives_the_nearest_value_that_can_be_sent(
    arm: posekit.Prop, given: float, stands: int
) -> None:
    row, findings = sendable(arm, {"shoulder": given})
    assert row.tolist() == [stands]
    assert [f.code for f in findings] == ["out-of-range"]


def test_addresses_that_no_drive_uses_are_written_out_by_universe(arm: posekit.Prop) -> None:
    _, notes = patched(arm, posekit.Snapshot({(1, 1): 5, (1, 9): 5, (1, 10): 5, (2, 3): 5}))
    assert [note.message for note in notes] == [
        "no drive of this prop uses universe 1, addresses 9, 10; universe 2, address 3"
    ]
