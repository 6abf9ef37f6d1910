"""When near pairs are looked for while something moves, and of which pose: by Node, without a page."""

from __future__ import annotations

import pytest

from tests.web.in_node import needs_node, told_by

pytestmark = [pytest.mark.native, needs_node]

# `given` is what happens: "pose" sets the next pose, "part" changes the parts, "wait" lets a second pass; what is left
# are Python's answers: "more", "found" or "refused". Poses are told by number: which were asked about, whose are shown.
NEARNESS = """
const signals = require("@preact/signals-core");
class Refused extends Error {}
const { createNearness } = loaded("panels/clearance/nearness", {
  "@preact/signals": signals,
  "../../engine/engine": { Refused },
  "../../view/stage": { shownColour: () => "" },
  "../../view/strikes": { createStrikes: () => ({ show() {}, remove() {} }) },
});
let [now, moves] = [0, true];
performance.now = () => now;
const timers = [];
globalThis.setTimeout = (then) => void timers.push(then);
const work = signals.signal({ opened: "a", files: {}, values: 0 });
const [asked, waiting] = [[], []];
const engine = {
  moves: () => moves,
  ask: (method, { values }) => {
    if (method === "prepare") return Promise.resolve({ summary: "", left_out: [] });
    asked.push(values);
    return new Promise((resolve, reject) => waiting.push({ resolve, reject }));
  },
};
const session = {
  engine, pose: signals.signal(null), progress: signals.signal({ stage: "ready" }),
  history: { record: { get value() { return { work: work.value }; } }, work: () => work.peek() },
};
const stage = { draw() {}, labels: {} };
const view = { shown: signals.signal(0), apart: signals.signal(false), figure: () => null, stage };
const failed = [];
const nearness = createNearness(session, view, (problem) => failed.push(problem.message));
const does = {
  pose: () => { work.value = { ...work.value, values: work.value.values + 1 }; session.pose.value = {}; },
  part: () => void (work.value = { ...work.value, files: {} }),
  rest: () => void (moves = false),
  wait: () => { now += 1000; for (const then of timers.splice(0)) then(); },
  more: () => waiting.shift().resolve(null),
  found: () => waiting.shift().resolve({ pairs: [asked.at(-1)], points: { data: [] }, findings: [] }),
  refused: () => waiting.shift().reject(new Refused("refused")),
};
void (async () => {
  for (const what of given) {
    does[what]();
    if (what === "pose") session.pose.value = null;
    for (let turn = 0; turn < 20; turn += 1) await null;
  }
  tell({ asked, shown: nearness.near.value?.pairs[0] ?? null, failed });
})();
"""


def asked(*happens: str) -> list[int]:
    found: list[int] = told_by(NEARNESS, happens)["asked"]
    return found


def test_a_pose_is_looked_at_to_its_end_however_many_come_meanwhile() -> None:
    moving = ("pose", "more", "pose", "more", "pose")
    assert asked(*moving) == [1, 1, 1]
    assert told_by(NEARNESS, [*moving, "found"])["shown"] == 1, "it is shown until more is known"
    assert asked(*moving, "found") == [1, 1, 1], "then Python is left to what moves"
    assert asked(*moving, "found", "wait") == [1, 1, 1, 3], "the newest comes next"
    assert told_by(NEARNESS, [*moving, "found", "wait", "found"])["shown"] == 3
    assert asked(*moving, "found", "wait", "found", "wait", "wait") == [1, 1, 1, 3], "nothing is asked twice"


def test_what_stands_is_looked_at_without_a_rest() -> None:
    assert asked("pose", "rest", "more", "pose", "found", "more") == [1, 1, 2, 2]


def test_a_pose_of_other_parts_is_left_and_one_that_is_refused_is_told_once() -> None:
    assert asked("pose", "more", "part", "pose", "more") == [1, 1, 2]
    told = told_by(NEARNESS, ["pose", "found", "wait", "pose", "refused", "wait"])
    assert told == {"asked": [1, 2], "shown": None, "failed": ["refused"]}
    assert asked("pose", "refused", "wait", "pose") == [1, 2], "the next is looked at again"
    assert asked("pose", "pose", "refused") == [1, 2], "also where it came meanwhile"
