"""A file that comes while another prop is on its way to Python, run by Node: the worker waits for us."""

from __future__ import annotations

import pytest

from tests.web.in_node import needs_node, told_by

pytestmark = pytest.mark.native
# A file is left from before; the rest is as `given`: `ask` takes it up, `bring` brings a prop, `answer` and `refuse`
# are the worker's.
TAKE = """
const sent = [];
let hearer = null;
const worker = { postMessage: (message) => sent.push(message), terminate() {} };
const protocol = loaded("engine/protocol", {});
const launch = { newWorker: (hears) => ((hearer = hears), worker) };
const doors = loaded("engine/engine", { "./launch": launch, "./protocol": protocol });
const engine = new doors.Engine(() => undefined);
const parts = {
  "@preact/signals": { signal: (value) => ({ value }) },
  "../engine/engine": doors,
  "./benches": { keysOf: () => ({ files: "files/" }) },
  "./changes": {},
  "./files": {},
  "./journal": {},
};
const kept = new Set(["files/1"]);
const storage = { keys: async () => [...kept], read: async () => ({ name: "old.posekit", data: [] }) };
const place = { id: "1", mine: { value: true } };
const autosave = { dropWith: (key) => void kept.delete(key) };
const take = () => engine.ask("read_snapshot", {});
const incoming = loaded("work/incoming", parts).createIncoming(place, storage, autosave, {}, take);
const told = [];
const does = {
  bring: () => void engine.bring("open", {}).catch(() => undefined),
  ask: () => void incoming.resume((problem, name) => told.push(`${name}: ${problem.constructor.name}`)),
  refuse: () => hearer.hear({ kind: "refused", id: sent.at(-1).id, findings: [] }),
  answer: () => hearer.hear({ kind: "result", id: sent.at(-1).id, result: { posekit: protocol.POSEKIT } }),
};
const turn = () => new Promise(setImmediate);
void (async () => {
  for (const what of given) {
    does[what]();
    await turn(); // whoever waits for an answer has it before the next
  }
  tell({ sent: sent.map(({ method }) => method), told, kept: [...kept], waiting: incoming.waiting.value });
})();
"""
BEHIND = ["answer", "bring", "ask", "answer"]


@needs_node
def test_a_broken_file_behind_a_prop_is_asked_about_anew_and_told() -> None:
    assert told_by(TAKE, [*BEHIND, "refuse", "refuse"]) == {
        "sent": ["hello", "open", "read_snapshot", "read_snapshot"],
        "told": ["old.posekit: Refused"],
        "kept": [],
        "waiting": 0,
    }


@needs_node
def test_a_file_that_was_refused_beside_another_prop_is_kept_until_it_is_judged() -> None:
    found = told_by(TAKE, [*BEHIND, "refuse"])
    assert (found["told"], found["kept"], found["waiting"]) == ([], ["files/1"], 1)
    assert told_by(TAKE, [*BEHIND, "refuse", "answer"])["told"] == []
