"""What begins is asked about anew where another prop came in between, run by Node."""

from __future__ import annotations

import pytest

from tests.web.in_node import needs_node, told_by

pytestmark = pytest.mark.native
LOOK = """
class Stale extends Error {}
class Overtaken extends Stale {}
class Refused extends Error { constructor(findings) { super("no"); this.findings = findings; } }
const parts = {
  "@preact/signals": { signal: (value) => ({ value }), computed: (read) => ({ get value() { return read(); } }) },
  "../../engine/engine": { Overtaken, Refused },
  "../../engine/step/read-step": {},
  "../../engine/protocol": { KINDS: { STEPS: [] } },
  "../../work/files": { endingOf: () => ".stl" },
  "./pictures": { picturesIn: async () => ({}) },
};
const asked = [];
const answers = {
  overtaken() { throw new Overtaken(); },
  refused() { throw new Refused([given]); },
  view: () => ({ name: "x" }),
};
const engine = { ask: async (method) => answers[given[asked.push(method) - 1]]() };
const begin = loaded("dialogs/begin/begin", parts).createBegin({ engine, progress: { value: {} } });
void begin.bring("x", { "a.stl": [] }, []).then(() =>
  tell({ asked: asked.length, view: begin.view.value, wrong: begin.wrong.value.length, busy: begin.busy.value }),
);
"""


@needs_node
@pytest.mark.parametrize("times", [1, 2])
def test_what_begins_is_asked_about_again_and_shown(times: int) -> None:
    found = told_by(LOOK, ["overtaken"] * times + ["view"])
    assert found == {"asked": times + 1, "view": {"name": "x"}, "wrong": 0, "busy": None}


@needs_node
def test_what_is_refused_then_is_told() -> None:
    found = told_by(LOOK, ["overtaken", "refused"])
    assert found == {"asked": 2, "view": None, "wrong": 1, "busy": None}
