"""An edit changes what is meant and nothing else, however the file is laid out."""

from __future__ import annotations

import copy
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path as FilePath
from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from posekit.toml import editing
from posekit.toml.places import Path

ROOT = FilePath(__file__).parents[2]
FILES = [
    *sorted(ROOT.glob("models/*/prop.toml")),
    *sorted(ROOT.glob("models/*/shows/*.toml")),
    *sorted(ROOT.glob("tests/cases/valid/*.toml")),
]
ODD = """\
# at the top
format = 1 # one

# ---- servos ----

servos = {s = {travel = 90, "t.u" = 3}, 't u' = {}} # in a line
drives.d = {servo = "s", pulse.low = 1000, pulse.high = 2_000}
drives."d d".servo = "s" # of dots

# ---- links ----
[links]
"a b".mass = 1.50 # a b
  c.shapes = [{box = [1, 2, 3]}, {sphere = {radius = 3}}]
[joints."the joint"] # comment
at = [ # each
  1, # x
  2, 3, # y and z
  ]
type = "revolute"

# ---- more drives ----
  [drives.e] # indented
  servo = 't.u'

  # of the linkage
  [drives.e.linkage]
  type = "gear"
# above x
[links.x]
[[links.x.shapes]] # first
box = [1, 2, 3]
# between
[[links.x.shapes]]
[links.x.shapes.sphere]
radius = 3

# ---- a joint apart from its kind ----
[joints.j2]
text = \"\"\"
[drives.none]
a = 1\"\"\"
[ deep . "er . r" . est ]
  x . y = [ 1 , 2 , ] # [x]
[clearance]
ignore = [["c", "x"],
          ['a b', "x"]]
empty = []
braces = {}
# at the end"""
TEXTS = [*(file.read_text(encoding="utf-8") for file in FILES), ODD, ODD.replace("\n", "\r\n"), ""]
DATA = [tomllib.loads(text) for text in TEXTS]


def paths_of(data: Any, path: Path = ()) -> Iterator[Path]:
    """Every table, list, item and key."""
    items = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for key, item in items:
        yield (*path, key)
        yield from paths_of(item, (*path, key))


PATHS = [list(paths_of(data)) for data in DATA]


def at(data: Any, path: Path) -> Any:
    for part in path:
        data = data[part]
    return data


def filled(data: Any) -> Any:
    """Without tables and lists that hold nothing: a table of dots is gone with its last key."""
    if isinstance(data, dict):
        return {key: each for key, value in data.items() if (each := filled(value)) not in ({}, [])}
    return [filled(value) for value in data] if isinstance(data, list) else data


def comments(text: str) -> list[str]:
    return [line.partition("#")[2] for line in text.splitlines() if "#" in line]


def is_within(lines: list[str], others: list[str]) -> bool:
    """Whether lines stand among others, in this order."""
    rest = iter(others)
    return all(line in rest for line in lines)


places = st.integers(0, len(TEXTS) - 1).flatmap(
    lambda i: st.tuples(st.just(i), st.sampled_from(PATHS[i]) if PATHS[i] else st.just(()))
)
values = st.sampled_from([0, -2.5, "text", True, [1, 2, 3], {"low": 1}, "with \" ' \\ and ä"])


@given(places, values)
def test_setting_a_value_changes_its_letters_alone(place: tuple[int, Path], value: Any) -> None:
    i, path = place
    if not path or isinstance(at(DATA[i], path), dict) or is_of_tables(at(DATA[i], path)):
        return
    text = editing.set_keys(TEXTS[i], {path: value})
    expected = copy.deepcopy(DATA[i])
    at(expected, path[:-1])[path[-1]] = value
    assert tomllib.loads(text) == expected
    before, after = TEXTS[i].splitlines(), text.splitlines()
    head = next((n for n, (a, b) in enumerate(zip(before, after, strict=False)) if a != b), len(after))
    changed = before[head : head + 1 + len(before) - len(after)]
    assert (
        before[:head] + before[head + len(changed) :]
        == after[:head] + after[head + len(after[head : head + 1]) :]
    )
    again = editing.set_keys(text, {path: value})
    assert again == text


def is_of_tables(value: Any) -> bool:
    return isinstance(value, list) and any(isinstance(each, dict) for each in value)


@given(places, st.sampled_from(["new", "a key", "z.z"]), values)
def test_a_new_key_stands_in_its_table_and_every_other_line_where_it_was(
    place: tuple[int, Path], name: str, value: Any
) -> None:
    i, path = place
    if not isinstance(at(DATA[i], path), dict):
        return
    text = editing.set_keys(TEXTS[i], {(*path, name): value})
    expected = copy.deepcopy(DATA[i])
    at(expected, path)[name] = value
    assert tomllib.loads(text) == expected
    assert comments(text) == comments(TEXTS[i])
    before, after = TEXTS[i].splitlines(), text.splitlines()
    if len(after) > len(before):
        assert is_within(before, after)
    else:  # into a table in braces
        changed = [line for line, new in zip(before, after, strict=True) if line != new]
        assert len(changed) == 1 and "{" in changed[0]


def heads(lines: list[str]) -> list[str]:
    """The lines that head a part of the file."""
    return [line for line in lines if line.startswith("# ----")]


def kept_heads(lines: list[str], path: Path) -> list[str]:
    """Those that do not stand between two tables of a path: the comments in what goes go with it."""
    within = re.compile(rf"\[+{re.escape('.'.join(map(str, path)))}[.\]]")
    tables = {
        row: bool(within.match(line)) for row, line in enumerate(lines) if line.lstrip().startswith("[")
    }
    kept = []
    for row, line in enumerate(lines):
        before = [goes for table, goes in tables.items() if table < row]
        after = [goes for table, goes in tables.items() if table > row]
        if not (before and after and before[-1] and after[0]):
            kept.append(line)
    return heads(kept)


@given(places)
@example((2, ("links",)))
def test_what_is_removed_goes_and_all_around_it_stays(place: tuple[int, Path]) -> None:
    i, path = place
    if not path:
        return
    text = editing.remove(TEXTS[i], path)
    expected = copy.deepcopy(DATA[i])
    del at(expected, path[:-1])[path[-1]]
    assert filled(tomllib.loads(text)) == filled(expected)
    assert heads(text.splitlines()) == kept_heads(TEXTS[i].splitlines(), path)
    kept = [line for line in text.splitlines() if line.strip()]
    changed = [line for line in kept if line not in TEXTS[i].splitlines()]
    assert len(changed) <= 1
    assert is_within([line for line in kept if line not in changed], TEXTS[i].splitlines())


@given(places)
def test_a_rename_to_and_fro_gives_the_text_again(place: tuple[int, Path]) -> None:
    i, path = place
    if not path or not isinstance(path[-1], str) or " " in path[-1] or "." in path[-1]:
        return
    text = editing.rename(TEXTS[i], path, "other_name")
    expected = copy.deepcopy(DATA[i])
    table = at(expected, path[:-1])
    renamed = {"other_name" if key == path[-1] else key: value for key, value in table.items()}
    table.clear()
    table.update(renamed)
    assert tomllib.loads(text) == expected
    assert editing.rename(text, (*path[:-1], "other_name"), path[-1]) == TEXTS[i]


@pytest.mark.parametrize("i", range(len(TEXTS)))
def test_a_new_table_stands_behind_its_kin(i: int) -> None:
    text = editing.add(TEXTS[i], ("drives", "new"), {"servo": "s"}, after=("joints", "links"))
    assert tomllib.loads(text)["drives"] == {**DATA[i].get("drives", {}), "new": {"servo": "s"}}
    text = editing.remove(text, ("drives", "new"))
    assert filled(tomllib.loads(text)) == filled(DATA[i])
    assert [line for line in text.splitlines() if line.strip()] == [
        line for line in TEXTS[i].splitlines() if line.strip()
    ]


def test_items_of_a_list_keep_its_layout() -> None:
    rows = 'pairs = [\n  ["a", "b"], # why\n  ["c", "d"]\n]\n'
    more = editing.append(rows, ("pairs",), ["e", "f"])
    assert more == 'pairs = [\n  ["a", "b"], # why\n  ["c", "d"],\n  ["e", "f"]\n]\n'
    assert editing.append(rows.replace('"d"]', '"d"], # last'), ("pairs",), 1) == (
        'pairs = [\n  ["a", "b"], # why\n  ["c", "d"], # last\n  1,\n]\n'
    )
    assert editing.append("pairs = [ # none yet\n]\n", ("pairs",), 1) == "pairs = [ # none yet\n1]\n"
    assert editing.remove(rows, ("pairs", 0)) == 'pairs = [\n  ["c", "d"]\n]\n'
    assert editing.remove("a = [1, 2, 3] # c\n", ("a", 0), ("a", 2)) == "a = [2] # c\n"
    assert editing.remove("a = {b = 1, c = 2}\n", ("a", "b"), ("a", "c")) == "a = {}\n"


@pytest.mark.parametrize(
    ("changes", "b"),
    [
        ({("a", "b"): [3, 4], ("a", "b", 0): 9}, [9, 4]),
        ({("a", "b", 0): 9, ("a", "b"): [3, 4]}, [3, 4]),
        ({("a", "b"): [3, 4, 5], ("a", "b", 2): 9}, [3, 4, 9]),
        ({("a",): {"b": [3, 4]}, ("a", "b", 0): 9}, [9, 4]),
    ],
)
def test_what_lies_within_another_change_is_changed_in_what_that_left(
    changes: dict[Path, Any], b: list[int]
) -> None:
    text = editing.set_keys("# kept\n[a]\nb = [1, 2]  # here\nc = 1\n", {("a", "c"): 7, **changes})
    assert tomllib.loads(text)["a"]["b"] == b
    assert text.startswith("# kept\n")
