"""Cues recorded, timed, ordered and removed in a file that keeps its comments."""

from __future__ import annotations

import pytest

from posekit.errors import PosekitError
from posekit.stream import cue_edit
from posekit.stream.cue_file import parse
from posekit.stream.cues import Cue

FILE = b"""# the morning show
format = 1
name = "Waking up"
rate = 44

[[cues]]
name = "alert"          # the head first
look = "looks/alert.csv"
fade = 2.0
hold = 1.0

[[cues]]
name = "down"
values = {neck_top = 12}
fade = 0.5
"""


def names(content: bytes) -> list[str]:
    return [cue.name for cue in parse(content, "a.toml")[0].cues]


def test_a_cue_is_put_before_the_one_that_is_named() -> None:
    new = {"name": "wait", "values": {"beak": 3}, "fade": 1.0, "hold": 4.5}
    changed = cue_edit.add(FILE, 1, new)
    assert names(changed) == ["alert", "wait", "down"]
    cue = parse(changed, "a.toml")[0].cues[1]
    assert (cue.values, cue.fade, cue.hold) == ({"beak": 3}, 1.0, 4.5)
    assert b"# the morning show" in changed and b"# the head first" in changed


def test_a_cue_past_the_end_is_the_last() -> None:
    assert names(cue_edit.add(FILE, 99, {"name": "end", "values": {}})) == ["alert", "down", "end"]


def test_a_file_begins_with_its_first_cue() -> None:
    made = cue_edit.add(cue_edit.begin("New"), 0, {"name": "one", "values": {"beak": 1}, "fade": 2})
    cue_list, _ = parse(made, "new.toml")
    assert (cue_list.name, [cue.name for cue in cue_list.cues], cue_list.rate) == ("New", ["one"], 44.0)


def test_the_last_cue_can_go_and_another_come() -> None:
    none = cue_edit.drop(cue_edit.drop(FILE, 0), 0)
    assert names(none) == []
    assert names(cue_edit.add(none, 0, {"name": "one", "values": {}})) == ["one"]


def test_a_pose_takes_the_place_of_a_look() -> None:
    cue = parse(cue_edit.change(FILE, 0, {"values": {"beak": 9}}), "a.toml")[0].cues[0]
    assert (cue.look, cue.values, cue.fade) == (None, {"beak": 9}, 2.0)


def test_a_time_changes_alone() -> None:
    changed = cue_edit.change(FILE, 0, {"fade": 3.25})
    assert changed == FILE.replace(b"fade = 2.0", b"fade = 3.25")


@pytest.mark.parametrize(
    ("cue", "to", "order"), [(0, 1, ["down", "alert"]), (1, 0, ["down", "alert"]), (0, 0, ["alert", "down"])]
)
def test_a_cue_moves_to_its_new_place(cue: int, to: int, order: list[str]) -> None:
    moved = cue_edit.move(FILE, cue, to)
    assert names(moved) == order
    assert b"# the head first" in moved


TABLES = (
    b'format = 1\nname = "x"\n[[cues]]\nname = "a"\nvalues = {s = 3}\n[[cues]]\nname = "b"\ntext = "1/1@4"\n'
)
IN_LINE = b'format = 1\ncues = [{name = "a", values = {s = 3}}, {name = "b", text = "1/1@4"}]\nname = "x"\n'
IN_LINES = (
    b'format = 1\ncues = [\n  {name = "a", values = {s = 3}}, # one\n  {name = "b", text = "1/1@4"},\n]\n'
)


@pytest.mark.parametrize(
    "content",
    [TABLES, IN_LINE, IN_LINES, b"\xef\xbb\xbf" + TABLES, TABLES.replace(b"\n", b"\r\n"), TABLES[:-1]],
    ids=["tables", "in line", "in lines", "byte order mark", "crlf", "no last line end"],
)
def test_every_change_gives_a_file_that_reads_however_the_cues_are_written(content: bytes) -> None:
    new = {"name": "new", "values": {"s": 5}, "fade": 1.5}
    for at, order in enumerate((["new", "a", "b"], ["a", "new", "b"], ["a", "b", "new"])):
        added = cue_edit.add(content, at, new)
        assert names(added) == order
        assert parse(added, "a.toml")[0].cues[at] == Cue(name="new", values={"s": 5}, fade=1.5)
    for cue in (0, 1):
        changed = parse(cue_edit.change(content, cue, {"values": {"s": 8}}), "a.toml")[0].cues[cue]
        assert (changed.look, changed.text, changed.values) == (None, None, {"s": 8})
        assert names(cue_edit.move(content, cue, 1 - cue)) == ["b", "a"]
        assert names(cue_edit.drop(content, cue)) == ["ba"[cue]]


def test_a_cue_that_is_not_there_is_told_with_how_many_there_are() -> None:
    with pytest.raises(PosekitError) as refused:
        cue_edit.drop(FILE, 2)
    assert [f.code for f in refused.value.findings] == ["unknown-cue"]
    assert "2 cues" in refused.value.findings[0].message


NOTED = """\
format = 1

# ---- morning ----

# first of all
[[cues]]
name = "a"  # light
values = {s = 3}

# then
[[cues]]
name = "b"
values.s = 4

# ---- evening ----

[[cues]]
name = "c"
text = "1/1@4"
"""


def test_a_comment_above_a_cue_moves_with_it_and_a_heading_stays_in_its_place() -> None:
    first = NOTED[NOTED.index("# first") : NOTED.index("# then")]
    then = NOTED[NOTED.index("# then") : NOTED.index("# ---- evening")]
    moved = cue_edit.move(NOTED.encode(), 1, 0).decode()
    assert moved == NOTED.replace(first + then, then + first)
    assert cue_edit.move(moved.encode(), 1, 0).decode() == NOTED
    assert cue_edit.drop(NOTED.encode(), 0).decode() == NOTED.replace(
        first.partition("\n")[2].rstrip("\n") + "\n", ""
    )
    new = '[[cues]]\nname = "new"\nfade = 2.0\n\n'
    added = cue_edit.add(NOTED.encode(), 1, {"name": "new", "fade": 2.0}).decode()
    assert added == NOTED.replace("# then", new + "# then")
