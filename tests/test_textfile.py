"""JSON of others, and rows of a table."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from posekit.budgets import DIGITS, JSON_DEPTH
from posekit.textfile import json_value

MUCH = 1_000_000

anything = st.recursive(
    st.none() | st.booleans() | st.integers(-(10**30), 10**30) | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(), inner, max_size=4),
)  # fmt: skip


@given(anything)
def test_json_within_the_budgets_is_read_as_the_standard_library_reads_it(value: object) -> None:
    text = json.dumps(value, ensure_ascii=False)
    assert json_value(text) == json.loads(text) == json_value(text.encode("utf-8", "surrogatepass"))


@pytest.mark.parametrize("signs", ["[]", "{}"])
def test_lists_and_tables_are_read_as_deep_as_is_stated_and_brackets_in_texts_are_no_depth(
    signs: str,
) -> None:
    def nested(depth: int) -> str:
        if signs == "[]":
            return "[" * depth + "]" * depth
        return '{"a":' * (depth - 1) + "{}" + "}" * (depth - 1)

    json_value(nested(JSON_DEPTH))
    with pytest.raises(ValueError, match=f"more than {JSON_DEPTH} deep"):
        json_value(nested(JSON_DEPTH + 1))
    assert json_value(json.dumps(['"' + "[" * 100 + "\\"])) == ['"' + "[" * 100 + "\\"]


@pytest.mark.timeout(20)
@pytest.mark.parametrize(
    "text",
    [
        "1" * (DIGITS + 1),
        "1" * 1_000_000,
        "NaN",
        "[Infinity]",
        "[" * 1_000_000,
        '"' * 1_000_001,
        '"' + "\\" * 1_000_001,
    ],
)
def test_numbers_and_texts_without_end_are_refused_in_no_time(text: str) -> None:
    with pytest.raises(ValueError):
        json_value(text)
