"""Tables of measurements that a browser keeps, run by Node: none goes without the builder's word."""

from __future__ import annotations

import pytest

from tests.web.in_node import needs_node, told_by

pytestmark = pytest.mark.native
KEEP = """
const held = new Map();
globalThis.addEventListener = () => undefined;
globalThis.localStorage = { getItem: (key) => held.get(key) ?? null, setItem: (key, text) => void held.set(key, text) };
const draft = loaded("panels/bench/draft", { "@preact/signals": { signal: (value) => ({ value }) } });
const rows = [["1500", "0"]];
const told = [];
for (let each = 0; each <= draft.MOST; each += 1) told.push(draft.keepRows(`prop${each}`, "a servo", rows, "Heron"));
const at = (kept) => kept.map(({ servo, prop, rows }) => [servo, prop, rows.length]);
const before = { kept: at(draft.keptTables()), full: draft.full.value };
const grown = draft.keepRows("prop0", "a servo", [...rows, ["1600", "9"]], "Heron");
draft.letGo(draft.keptTables().find(({ key }) => key.startsWith("prop1 ")).key);
const again = draft.keepRows("last", "a servo", rows, "Heron");
const keys = draft.keptTables().map(({ key }) => key);
const stored = Object.keys(JSON.parse([...held.values()][0]));
tell({ most: draft.MOST, told, before, grown, again, full: draft.full.value, keys, stored });
"""


@needs_node
def test_a_table_more_than_are_kept_is_refused_and_none_of_the_others_goes() -> None:
    found = told_by(KEEP, None)
    most = found["most"]
    assert found["told"] == [True] * most + [False]
    assert found["before"] == {"kept": [["a servo", "Heron", 1]] * most, "full": 1}
    assert found["grown"], "what is kept already goes on"
    assert found["again"] and found["full"] == 0, "there is room again"
    names = {f"prop{each} a servo" for each in range(most) if each != 1} | {"last a servo"}
    assert set(found["keys"]) == set(found["stored"]) == names
