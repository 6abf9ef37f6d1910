"""Findings stand on the line of their key, however the file is laid out; and to find it takes time like the text."""

from __future__ import annotations

import re
import time
import tomllib
from collections.abc import Iterator
from pathlib import Path as FilePath
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from posekit.toml.lines import line_of, lines_of_keys
from posekit.toml.places import Path, parse

ROOT = FilePath(__file__).parents[2]
FILES = [
    *sorted(ROOT.glob("models/*/prop.toml")),
    *sorted(ROOT.glob("models/*/shows/*.toml")),
    *sorted(ROOT.glob("tests/cases/valid/*.toml")),
]
ODD = """\
format = 1 # [not.a.table]
note = \"\"\"
[links.fake]
x = 1\"\"\"
quiet = '''
[[fake]]'''
[servos."a]b"] # ]
points = [
  [1000, -45],
  [2000, 45], # [drives.fake]
]
pulse = {low = 1,
  high = 2}
[[cues]]
look = "looks/[a].csv"
[[cues]]
values.jaw = 3
[cues.inner]
deep = [{a = 1},
        {a = 2, b = [1,
                     2]}]
"""


def leaves(data: Any, path: Path = ()) -> Iterator[tuple[Path, Any]]:
    items = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else None
    if items is None:
        yield path, data
    else:
        for key, item in items:
            yield from leaves(item, (*path, key))


def stands_in(row: str, path: Path, value: Any) -> bool:
    """Whether a row of the file has this key, or where it is an entry of a list, this value."""
    if isinstance(path[-1], str):
        return path[-1] in row
    numbers = re.findall(r"[-+0-9.e]+", row)
    return (
        value in row
        if isinstance(value, str)
        else value in [float(found) for found in numbers if is_number(found)]
    )


def is_number(found: str) -> bool:
    try:
        float(found)
    except ValueError:
        return False
    return True


@pytest.mark.parametrize("file", FILES, ids=lambda file: "/".join(file.parts[-2:]))
def test_every_key_of_a_file_is_found_on_the_line_that_has_it(file: FilePath) -> None:
    text = file.read_text(encoding="utf-8")
    lines, rows = lines_of_keys(text), text.split("\n")
    for path, value in leaves(tomllib.loads(text)):
        line = line_of(path, lines)
        assert line is not None and stands_in(rows[line - 1], path, value), path


def test_rows_of_lists_and_texts_of_many_lines_are_no_tables() -> None:
    tomllib.loads(ODD.replace("low = 1,\n  high", "low = 1, high"))  # the brace of two lines is of TOML 1.1
    assert lines_of_keys(ODD) == {
        ("format",): 1,
        ("note",): 2,
        ("quiet",): 5,
        ("servos",): 7,  # without a header of its own
        ("servos", "a]b"): 7,
        ("servos", "a]b", "points"): 8,
        ("servos", "a]b", "points", 0): 9,
        ("servos", "a]b", "points", 1): 10,
        ("servos", "a]b", "pulse"): 12,
        ("servos", "a]b", "pulse", "high"): 13,
        ("cues",): 14,
        ("cues", 0): 14,
        ("cues", 0, "look"): 15,
        ("cues", 1): 16,
        ("cues", 1, "values"): 17,  # likewise
        ("cues", 1, "values", "jaw"): 17,
        ("cues", 1, "inner"): 18,
        ("cues", 1, "inner", "deep"): 19,
        ("cues", 1, "inner", "deep", 1): 20,
        ("cues", 1, "inner", "deep", 1, "b", 1): 21,
    }


def test_a_key_that_is_missing_is_told_at_the_first_line_of_its_own_table() -> None:
    lines = lines_of_keys(
        "[drives.jaw]\nservo = 'a'\n[drives.neck.linkage]\ntype = 'gear'\n[drives.neck]\nbits = 8\n"
    )
    assert line_of(("drives", "jaw", "joint"), lines) == 1
    assert line_of(("drives", "neck", "joint"), lines) == 5  # its own header, wherever it stands
    without = lines_of_keys("[drives.jaw]\nservo = 'a'\n[drives.neck.linkage]\ntype = 'gear'\n")
    assert line_of(("drives", "neck", "joint"), without) == 3
    assert line_of(("drives",), without) == 1


@given(st.text(st.sampled_from("[]{}=,.\"'#\\ \n\tab1-"), max_size=60))
def test_any_text_has_lines(text: str) -> None:
    last = text.count("\n") + 1
    assert all(1 <= line <= last for line in lines_of_keys(text).values())


HOSTILE = {
    "spaces": " ",
    "spaces in a header": "[a ",
    "open brackets": "[",
    "closed brackets": "]",
    "quotes": '"',
    "backslashes": '"\\',
    "texts of many lines": '"""a\n',
    "dots": "a . ",
    "words": "a",
    "marks": "#",
    "empty rows": "\n ",
    "rows of a list": "[1, 2],\n",
    "entries": "[[a]]\n",
    "keys": "a=1\n",
}


@pytest.mark.native  # a page has no clock of the processor
@pytest.mark.parametrize("piece", HOSTILE.values(), ids=HOSTILE.keys())
@pytest.mark.parametrize("work", [lines_of_keys, parse], ids=["lines", "key paths"])
@pytest.mark.parametrize("before", ["", "x = [", "["])
def test_time_grows_with_the_text(work: Any, before: str, piece: str) -> None:
    short, long = (work_s(work, before + piece * (size // len(piece))) for size in (4_000, 32_000))
    # Eight times the text takes eight times as long; were it the square, 64 times.
    assert long < 24 * max(short, 2e-4)


@pytest.mark.native
def test_a_key_of_many_parts_takes_no_longer_than_its_letters() -> None:
    short, long = (work_s(lines_of_keys, "a." * (size // 2) + "a=1") for size in (4_000, 32_000))
    assert long < 24 * max(short, 2e-4)


def work_s(work: Any, text: str) -> float:
    """Processor time of this process, the least of some tries, so that other work on the machine does not count."""
    times = []
    for _ in range(3):
        start = time.process_time()
        work(text)
        times.append(time.process_time() - start)
    return min(times)
