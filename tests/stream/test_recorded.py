"""Recorded streams as CSV."""

import numpy as np
import pytest

from posekit.errors import PosekitError
from posekit.motion import follow, readings
from posekit.stream.reader import read_show
from tests.motion.props import arm

GOOD = "time,universe,address,value\n0,1,1,128\n0,1,3,128\n0,1,4,0\n0.5,1,1,130\n0.75,1,3,1\n0.75,1,4,2\n2,1,1,130\n"


def read(text):
    return read_show(arm(), text.encode(), "rec/take.csv")


def test_rows_of_one_time_arrive_together_and_the_last_row_is_the_end():
    show = read(GOOD)
    np.testing.assert_array_equal(show.times, [0.0, 0.5, 0.75, 2.0])
    np.testing.assert_array_equal(show.values, [[128, 32768], [130, 32768], [130, 258], [130, 258]])
    assert show.findings == ()


@pytest.mark.parametrize("begin", [1_700_000_000.0, -100.0, 3.0])
def test_times_count_from_the_first_row_so_that_a_clock_of_any_beginning_gives_the_same_readings(begin):
    rows = [(0.0, 90), (1.0, 200), (1.5, 20), (3.0, 120)]

    def taken(begin):
        text = "time,universe,address,value\nx,1,1,1\n"
        text += "".join(f"{begin + time!r},1,1,{value}\n" for time, value in rows)
        show = read(text)
        return show.times, readings(arm(), follow(arm(), show.times, show.values))

    times, found = taken(begin)
    _, right = taken(0.0)
    np.testing.assert_array_equal(times, [0.0, 1.0, 1.5, 3.0])
    assert (found.drives, found.joints, found.parts) == (right.drives, right.joints, right.parts)
    assert found.settled == right.settled


def test_bad_rows_are_told_with_their_numbers_and_the_rest_is_offered():
    text = GOOD + "1.9,1,1,3\nx,1,1,1\n3,1,513,1\n3,1,1,256\n3,0,1,1\n3,1,1\nnan,1,1,1\n4,1,1,7\n"
    show = read(text)
    assert [(f.level, f.code, f.subject, f.line) for f in show.findings] == [
        ("error", "times-going-back", "row 9", 9),
        *(("error", "bad-row", f"row {row}", row) for row in (10, 11, 12, 13, 14, 15)),
    ]
    assert show.times[-1] == 4.0 and show.values[-1, 0] == 7
    assert "rec/take.csv:11: row 11: address 513 is not from 1 to 512" in map(str, show.findings)


@pytest.mark.parametrize("mark", [";", "\t"])
def test_a_spreadsheet_may_have_saved_it_with_other_marks_and_a_decimal_comma(mark):
    show, right = read(GOOD.replace(",", mark).replace(".", ",")), read(GOOD)
    np.testing.assert_array_equal(show.times, right.times)
    np.testing.assert_array_equal(show.values, right.values)
    assert show.findings == ()


def test_a_time_that_can_be_read_in_two_ways_is_told():
    show = read(GOOD.replace(",", ";") + "1,500;1;1;7\n")
    assert [(f.code, f.line) for f in show.findings] == [("bad-row", 9)]
    assert "time 1,500 can be read in two ways; write 1500 or 1.500" in str(show.findings[0])


@pytest.mark.parametrize("row", ["1_0,1,1,1", "1,1,1,1_0", "1,1,1_0,1", "1,1,1,٣", "٣,1,1,1", "1,1,1,1.0"])
def test_numbers_are_written_in_plain_digits_as_in_snapshots(row):
    show = read(GOOD + row.replace("1,", "3,", 1) + "\n")
    assert [(f.code, f.line) for f in show.findings] == [("bad-row", 9)]


def test_a_wild_time_is_told_with_its_row_and_does_not_stretch_the_show():
    show = read(GOOD + "1700000000,1,1,5\n3,1,1,7\n86400,1,1,8\n86400.5,1,1,9\n")
    assert [(f.level, f.code, f.line) for f in show.findings] == [
        ("error", "times-too-far", 9),
        ("error", "times-too-far", 12),
    ]
    assert "use 86400 s or less" in show.findings[0].message
    assert show.times[-2:].tolist() == [3.0, 86400.0] and show.values[-2:, 0].tolist() == [7, 8]


def test_many_bad_rows_are_told_in_part_with_how_many_more_there_are():
    show = read(GOOD + "bad\n" * 100)
    told = [f for f in show.findings if f.code == "bad-row"]
    assert len(told) == 11
    assert told[-1].message == "and 90 more rows like these, the last: row 108"


def test_addresses_that_no_drive_uses_are_told_once_each():
    show = read(GOOD + "3,1,2,5\n3.1,1,2,6\n3.2,2,1,6\n")
    assert [(f.level, f.code, f.subject) for f in show.findings] == [
        ("note", "unpatched", "row 9"),
        ("note", "unpatched", "row 11"),
    ]
    assert "universe 1, address 2" in show.findings[0].message


def test_a_drive_that_never_gets_a_value_stays_at_rest_and_is_told():
    show = read("time,universe,address,value\n0,1,1,9\n")
    assert show.values.tolist() == [[9, 32768]]
    assert [(f.level, f.code, f.subject) for f in show.findings] == [
        ("warning", "missing-address", "slide")
    ] * 2


def test_a_file_without_a_row_that_can_be_used_is_refused_with_every_reason():
    with pytest.raises(PosekitError) as refused:
        read("time,universe,address,value\n0,1,600,1\n")
    assert [f.code for f in refused.value.findings] == ["bad-row", "empty-show"]


@pytest.mark.parametrize("text", ["", "t,u,a,v\n0,1,1,1\n"])
def test_a_file_that_is_no_stream_is_refused(text):
    with pytest.raises(PosekitError):
        read(text)


def test_a_name_that_says_no_kind_of_show_is_refused_with_the_kinds():
    with pytest.raises(PosekitError, match=r"\.toml \(a cue list\), .*\.cap \(a capture\)"):
        read_show(arm(), b"", "show.mp4")
