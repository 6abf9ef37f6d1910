"""Snapshots from CSV, JSON, raw frames and typed text.

512 slots of one byte: published (ANSI E1.11, clause 8, read in libraries that cite it). Universe 1..63999:
published (ANSI E1.31, 6.2.7, read likewise). 50 % as 128 with half rounding up: our choice.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from posekit import PosekitError, Snapshot
from posekit.budgets import FINDINGS_TOLD, SNAPSHOT_BYTES


def refusals(text: str, suffix: str) -> list[tuple[str, str]]:
    with pytest.raises(PosekitError) as refused:
        Snapshot.decode(text.encode(), suffix, "look")
    return [(finding.code, finding.subject) for finding in refused.value.findings]


def test_csv_json_and_typed_text_say_the_same() -> None:
    csv = Snapshot.decode(b"universe,address,value\n1,9,128\n1,10,64\n2,1,255\n", ".csv")
    json = Snapshot.decode(b'{"1": {"9": 128, "10": 64}, "2": {"1": 255}}', ".json")
    typed = Snapshot.parse("1/9@128, 10@64; 2/1@100%")
    assert csv == json == typed


@pytest.mark.parametrize("form", ["csv", "json", "text"])
def test_what_is_written_is_read_back(form: str) -> None:
    snapshot = Snapshot({(1, 1): 0, (1, 512): 255, (63999, 7): 3})
    suffix = {"csv": ".csv", "json": ".json", "text": ".txt"}[form]
    assert Snapshot.decode(getattr(snapshot, form)().encode(), suffix) == snapshot


def test_a_raw_frame_is_512_bytes_of_universe_1(tmp_path: Path) -> None:
    (tmp_path / "frame.bin").write_bytes(bytes(range(256)) * 2)
    snapshot = Snapshot.read(tmp_path / "frame.bin")
    assert len(snapshot.slots) == 512
    assert snapshot.slots[1, 1] == 0 and snapshot.slots[1, 512] == 255
    with pytest.raises(PosekitError, match="has 513 bytes"):
        Snapshot.decode(bytes(513), ".bin")


@pytest.mark.parametrize(
    ("percent", "value"), [("0%", 0), ("50%", 128), ("33%", 84), ("99%", 252), ("100%", 255)]
)
def test_percent_is_of_full_scale(percent: str, value: int) -> None:
    assert Snapshot.parse(f"1/9@{percent}").slots[1, 9] == value


def test_every_bad_row_is_told_with_its_row() -> None:
    text = "universe,address,value\n1,9,256\n1,513,0\n0,1,1\n1,x,1\n1,2\n1,3,1.5\n1,4,-1\n1,5,101%\n"
    assert refusals(text, ".csv") == [("bad-row", f"row {row}") for row in range(2, 10)]


@pytest.mark.parametrize("mark", [";", "\t", "; ", " ;"])
def test_cells_may_stand_apart_as_spreadsheets_of_many_countries_save_them(mark: str) -> None:
    text = "# bench\n\nuniverse,address,value\n1,9,128\n1,10,50 %\n".replace(",", mark)
    found = Snapshot({(1, 9): 128, (1, 10): 128})
    assert Snapshot.decode(text.encode(), ".csv") == found
    assert (
        Snapshot.decode(b"\xef\xbb\xbf" + text.encode(), "") == found
    )  # pasted, or a file without an ending


@pytest.mark.parametrize("written", ["50%", "50 %", "50\u00a0%", "50\u202f%"])
def test_a_percent_sign_may_stand_apart(written: str) -> None:
    assert Snapshot.parse(f"1/9@{written}, 10@1").slots == {(1, 9): 128, (1, 10): 1}
    for text, suffix in (
        (f"universe,address,value\n1,9,{written}\n", ".csv"),
        (f'{{"1": {{"9": "{written}"}}}}', ".json"),
    ):
        assert Snapshot.decode(text.encode(), suffix).slots == {(1, 9): 128}


def test_a_percentage_with_a_decimal_comma_is_read_where_the_comma_parts_nothing() -> None:
    assert Snapshot.decode(b"universe;address;value\n1;9;12,5 %\n", ".csv").slots == {(1, 9): 32}
    assert refusals("1/9@12,5%", ".txt") == [("bad-row", "line 1: '5%'")]


@pytest.mark.parametrize("suffix", ["", ".txt", ".csv", ".json", ".bin"])
@pytest.mark.parametrize("text", ["", " \n\n"])
def test_an_empty_file_is_no_snapshot_of_no_values(text: str, suffix: str) -> None:
    assert refusals(text, suffix) == [("empty", "")]


def test_a_text_of_notes_alone_holds_no_value() -> None:
    assert refusals("# to be filled in\n", ".txt") == refusals("# to be filled in\n", "") == [("empty", "")]


def test_a_double_entry_is_told_in_every_form() -> None:
    assert refusals("universe,address,value\n1,9,1\n1,9,2\n", ".csv") == [("double-entry", "row 3")]
    assert refusals('{"1": {"9": 1, "9": 2}}', ".json") == [("double-entry", '"1"."9"')]
    assert refusals("1/9@1, 9@2", ".txt") == [("double-entry", "line 1: '9@2'")]


@pytest.mark.parametrize(
    ("text", "suffix"),
    [("a,b\n", ".csv"), ("[1, 2]", ".json"), ('{"1": 3}', ".json"), ("{", ".json"), ("hello", ".txt")],
)
def test_what_is_no_snapshot_is_refused(text: str, suffix: str) -> None:
    assert refusals(text, suffix)


def test_digits_of_other_scripts_and_underscores_are_no_numbers() -> None:
    assert refusals("1/9@1_0", ".txt") == [("bad-row", "line 1: '1/9@1_0'")]
    assert refusals("1/9@١", ".txt") == [("bad-row", "line 1: '1/9@١'")]


@pytest.mark.parametrize("newline", ["\n", "\r\n", "\r"])
def test_lines_may_end_and_a_file_may_begin_as_any_editor_does_it(newline: str) -> None:
    text = newline.join(("# bench", "", " Universe, Address, Value ", "1, 9, 128", ""))
    assert Snapshot.decode(b"\xef\xbb\xbf" + text.encode(), ".csv") == Snapshot({(1, 9): 128})


@pytest.mark.parametrize(
    ("text", "code", "row"),
    [
        ("# nothing yet\n", "wrong-header", "row 1"),
        ("1,9,128\n", "wrong-header", "row 1"),
        (f"universe,address,value\n1,9,{'9' * 200_000}\n", "not-csv", "row 2"),
    ],
)
def test_a_table_without_its_first_row_or_with_an_endless_cell_is_refused(
    text: str, code: str, row: str
) -> None:
    assert refusals(text, ".csv") == [(code, row)]


@pytest.mark.parametrize(
    "slots", [{(1, 9): 256}, {(1, 9): -1}, {(0, 9): 1}, {(1, 513): 1}, {(1, 9): 1.5}, {"1": {"9": 128}}]
)
def test_a_snapshot_holds_slots_and_their_values_only(slots: object) -> None:
    with pytest.raises(PosekitError, match="such as \\(1, 9\\): 128"):
        Snapshot(slots)  # type: ignore[arg-type]  # the test is of what a caller may get wrong


@pytest.mark.parametrize("text", ["[]", '{"1": []}', '[["1", [["9", 128]]]]', '{"1": [["9", 128]]}', "null"])
def test_a_list_is_no_table_of_json(text: str) -> None:
    assert refusals(text, ".json") == [("wrong-type", "")]


def test_a_table_of_json_may_be_empty() -> None:
    assert Snapshot.decode(b"{}", ".json") == Snapshot.decode(b'{"1": {}}', ".json") == Snapshot({})


@pytest.mark.parametrize("slots", [{(1, 1): True}, {(True, 1): 1}, {(1, True): 1}])
def test_true_is_no_number_of_a_slot(slots: dict[tuple[int, int], int]) -> None:
    with pytest.raises(PosekitError, match="True"):
        Snapshot(slots)


@pytest.mark.parametrize("percent", ["5_0%", "٥%", "1e%", "nan%", "%", ".%", "-1%"])
def test_what_is_no_plain_number_is_no_percentage(percent: str) -> None:
    assert refusals(f"1/9@{percent}", ".txt") == [("bad-row", f"line 1: '1/9@{percent}'")]


@pytest.mark.parametrize(
    ("percent", "value"), [("12.5%", 32), (".5%", 1), ("100.%", 255), ("+1%", 3), ("1e1%", 26)]
)
def test_a_percentage_may_have_a_fraction(percent: str, value: int) -> None:
    assert Snapshot.parse(f"1/9@{percent}").slots[1, 9] == value


@pytest.mark.parametrize("name", ["a\0b.csv", "a" * 5000 + ".csv", "nothing.csv"])
def test_a_snapshot_that_cannot_be_a_file_is_unreadable(name: str) -> None:
    with pytest.raises(PosekitError, match="cannot be read"):
        Snapshot.read(name)


@pytest.mark.parametrize(
    "text",
    ["1" * 900_000, "1/" * 450_000, "1/1@" + "1" * 900_000, "1/1@" + "1" * 900_000 + "%", "@" * 900_000,
     "1" + " " * 900_000 + "@", "1/1@" + "." * 900_000 + "%", "a,b\n" * 200_000],
    ids=range(8),
)  # fmt: skip
@pytest.mark.native  # text without end is refused by the same lines in every Python
def test_typed_text_of_a_megabyte_is_refused_in_words_that_do_not_grow_with_it(text: str) -> None:
    for suffix in (".txt", ".csv", ".json"):
        with pytest.raises(PosekitError) as refused:
            Snapshot.decode(text.encode(), suffix)
        assert len(str(refused.value)) < 1_000_000
        assert len(refused.value.findings) <= FINDINGS_TOLD + 1


def test_a_snapshot_larger_than_the_budget_is_refused_by_its_size() -> None:
    with pytest.raises(PosekitError, match=r"a snapshot may have 1\.0 MiB at most"):
        Snapshot.decode(bytes(SNAPSHOT_BYTES + 1), ".txt")
