"""When bars of strength are asked for, and what they have drawn: by Node, without a page."""

from __future__ import annotations

from itertools import pairwise

import pytest

from tests.web.in_node import needs_node, told_by

pytestmark = [pytest.mark.native, needs_node]

BEHIND = """
let busy = true;
let now = 1000;
performance.now = () => now;
const timers = [];
globalThis.window = { setTimeout: (then, ms) => timers.push({ then, at: now + ms }) };
globalThis.clearTimeout = (id) => void (timers[id - 1] = null);
const asked = [];
const { createBehind } = loaded("panels/strength/behind", {});
const behind = createBehind({ busy: () => busy }, () => asked.push(now));
// Poses of a hand 60 times a second, each followed by its near pairs, and Python always has something else to do.
for (let frame = 0; frame < given.frames; frame += 1) {
  now += 1000 / 60;
  behind.changed();
  now += 5;
  if (given.near) behind.turn();
  now -= 5;
  for (const timer of timers.splice(0)) {
    if (timer && timer.at <= now) timer.then();
    else timers.push(timer);
  }
}
busy = false;
now += 1000;
for (const timer of timers.splice(0)) timer?.then();
tell(asked.map((at) => at - 1000));
"""
# What is told is of the drive that is worst, then of the same with other words, then of another one.
DRAWN = """
const signals = require("@preact/signals-core");
const [said, told] = [[], []];
const say = (words) => said.push(words);
let draws = 0;
let ask;
const answers = given.map(([worst, share]) => ({ worst, loads: [{ share }, { share }] }));
const { createStrength } = loaded("panels/strength/strength", {
  "@preact/signals": signals,
  "../../engine/engine": { Stale: class {}, Stopped: class {} },
  "../../view/stage": { shownColour: () => "" },
  "../../view/strained": { markStrained: (figure, joint) => ({ figure, joint, say, remove() {} }) },
  "./behind": { createBehind: (engine, doing) => ((ask = doing), { changed() {}, turn() {} }) },
  "./words": { percent: ({ share }) => `${share} %` },
});
const named = (name) => ({ name, joint: name });
const prop = { drives: [named("base"), named("tip")], joints: [named("base"), named("tip")] };
const figure = {};
const session = {
  opened: signals.signal("one"), prop: signals.signal(prop), pose: signals.signal({}), values: () => ({}),
  engine: { ask: async (method) => (method === "held" ? answers.shift() : {}) },
};
const stage = { labels: {}, draw: () => (draws += 1) };
const view = { figure: () => figure, apart: signals.signal(false), shown: signals.signal(0), stage };
createStrength(session, view, { near: signals.signal(null) }, signals.signal(true), (problem) => { throw problem; });
void (async () => {
  for (const _ of given) {
    [draws, said.length] = [0, 0];
    ask();
    await new Promise((next) => setTimeout(next));
    told.push([draws, [...said]]);
  }
  tell(told);
})();
"""


def test_bars_are_asked_for_three_times_a_second_though_python_is_never_free() -> None:
    asked = told_by(BEHIND, {"frames": 120, "near": True})
    apart = [b - a for a, b in pairwise(asked)]
    assert 5 <= len(asked) <= 8, "in two seconds, and at rest"
    assert all(333.0 <= ms < 450.0 for ms in apart[:-1]), apart


def test_bars_whose_turn_never_comes_are_asked_for_all_the_same() -> None:
    asked = told_by(BEHIND, {"frames": 120, "near": False})
    assert 3 <= len(asked) <= 5


def test_a_picture_is_drawn_for_another_mark_and_not_for_other_words() -> None:
    told = told_by(DRAWN, [["base", 1], ["base", 2], ["base", 2], ["tip", 2], [None, 2]])
    assert told[0] == [1, ["◎ base 1 %"]]
    assert told[1] == [0, ["◎ base 2 %"]], "words stand over the picture"
    assert told[2] == [0, []]
    assert told[3] == [1, ["◎ tip 2 %"]]
    assert told[4][0] == 1
