"""Whatever happens to a prop file or a snapshot, it either works or is refused with PosekitError."""

from __future__ import annotations

import contextlib
import tomllib
from pathlib import Path
from typing import Any

import tomlkit
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import posekit

CASES = Path(__file__).parent.parent / "cases" / "valid"
TEXTS = [file.read_text() for file in sorted(CASES.glob("*.toml"))]

odd_values = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-(10**400), 10**400),
    st.floats(),
    st.text(max_size=8),
    st.lists(st.one_of(st.floats(), st.integers(-3, 3), st.text(max_size=2)), max_size=4),
    st.dictionaries(st.text(max_size=5), st.integers(), max_size=2),
)


def use(text: bytes) -> None:
    """All of the flow, so that a prop that loads is one that also works."""
    prop = posekit.read({"prop.toml": text})
    state = posekit.pose(prop, posekit.Snapshot({}))
    posekit.check(prop)
    assert len(state.links) == len(prop.links)


def places(data: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """Every key and every place in a list."""
    items = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    return [found for key, item in items for found in ((*path, key), *places(item, (*path, key)))]


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.data())
def test_a_prop_file_with_one_odd_value_works_or_is_refused(data: st.DataObject) -> None:
    table = tomllib.loads(data.draw(st.sampled_from(TEXTS)))
    *way, last = data.draw(st.sampled_from(places(table)))
    value = data.draw(odd_values)
    target: Any = table
    for key in way:
        target = target[key]
    if value is None:
        del target[last]
    else:
        target[last] = value
    try:
        text = tomlkit.dumps(table).encode()
    except Exception:  # TOML has no way to write this value, such as a list with None in it
        return
    with contextlib.suppress(posekit.PosekitError):
        use(text)


@settings(max_examples=300, deadline=None)
@given(st.data())
def test_a_prop_file_cut_or_garbled_works_or_is_refused(data: st.DataObject) -> None:
    text = data.draw(st.sampled_from(TEXTS)).encode()
    start = data.draw(st.integers(0, len(text)))
    end = data.draw(st.integers(start, min(len(text), start + 40)))
    garbled = text[:start] + data.draw(st.binary(max_size=12)) + text[end:]
    with contextlib.suppress(posekit.PosekitError):
        use(garbled)


@given(st.binary(max_size=60), st.sampled_from([".csv", ".json", ".txt", ".bin", ".xyz"]))
def test_any_bytes_are_a_snapshot_or_are_refused(content: bytes, suffix: str) -> None:
    with contextlib.suppress(posekit.PosekitError):
        posekit.Snapshot.decode(content, suffix)


@given(
    st.dictionaries(st.tuples(st.integers(1, 63999), st.integers(1, 512)), st.integers(0, 255), max_size=20)
)
def test_a_snapshot_is_read_back_from_each_form_it_is_written_in(slots: dict[tuple[int, int], int]) -> None:
    snapshot = posekit.Snapshot(slots)
    assert posekit.Snapshot.decode(snapshot.csv().encode(), ".csv") == snapshot
    assert posekit.Snapshot.decode(snapshot.json().encode(), ".json") == snapshot
    assert posekit.Snapshot.parse(snapshot.text()) == snapshot
