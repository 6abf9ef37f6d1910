"""Long work of the second worker in steps, run by Node with a worker whose answers wait for us."""

from __future__ import annotations

import pytest

from tests.web.in_node import needs_node, told_by

pytestmark = pytest.mark.native
# `click` is one on Stop, `open` brings another prop, `answer` tells how far the work is that the worker is asked for,
# `move` and `rest` are of a slider, `wait` lets so many milliseconds go by.
WORK = """
const signals = require("./node_modules/@preact/signals-core");
const { createStepped } = loaded("work/stepped", { "@preact/signals": signals });
const opened = signals.signal("heron");
let [now, moving, timers] = [0, false, []];
globalThis.performance = { now: () => now };
globalThis.setTimeout = (doing, ms) => void timers.push({ at: now + ms, doing });
const history = { record: signals.signal({ work: { files: {} } }) };
const session = { opened, history, engine: { moves: () => moving } };
const asked = [];
let waits = null;
const ask = (what) => (_, seconds) => {
  asked.push(seconds === 0 ? `${what} by a step` : what);
  return new Promise((resolve) => (waits = resolve));
};
const second = { ready: async () => null, held: () => session.history.record.value.work.files };
const work = createStepped(session, second, { on: ask("on"), stop: ask("stop") });
const does = {
  answer: (phase) => waits({ phase }),
  click: () => work.stop(),
  open: (prop) => void (opened.value = prop),
  move: () => void (moving = true),
  rest: () => void (moving = false),
};
async function wait(ms, settled) {
  for (const end = now + ms; now < end; ) {
    now += 1;
    const due = timers.filter(({ at }) => at <= now);
    timers = timers.filter(({ at }) => at > now);
    due.forEach(({ doing }) => doing());
    if (due.length > 0) await settled();
  }
}
(async () => {
  let ended = false;
  work.run(ask("begin"), () => null).then(() => (ended = true));
  const settled = () => new Promise((resolve) => setImmediate(resolve));
  await settled();
  for (const [what, which] of given) {
    if (does[what]) asked.push(what);
    if (what === "wait") await wait(which, settled);
    else does[what](which);
    await settled();
  }
  const told = asked.filter((what) => !["answer", "move", "rest"].includes(what));
  tell({ asked: told, ended, known: work.known.value?.view.phase ?? null });
})();
"""
MORE, DONE, CLICK, OPEN = ("answer", "looking"), ("answer", "done"), ("click", ""), ("open", "cabinet")
MOVE, REST, A_MOMENT, HALF_A_SECOND = ("move", ""), ("rest", ""), ("wait", 100), ("wait", 400)
Does = tuple[str, str] | tuple[str, int]


def gone(*does: Does) -> tuple[list[str], bool, str | None]:
    """What is asked of the worker, and done meanwhile; whether the work came to its end, and what is known of it."""
    told = told_by(WORK, does)
    return told["asked"], told["ended"], told["known"]


@needs_node
def test_work_that_nobody_stops_goes_on_until_it_is_done() -> None:
    assert gone(MORE, MORE, DONE) == (["begin", "on", "on"], True, "done")


@needs_node
@pytest.mark.parametrize("before", [0, 1, 2, 3])
def test_a_stop_is_told_once_and_next_whatever_was_waited_for(before: int) -> None:
    asked = ["begin", *["on"] * before]
    assert gone(*[MORE] * before, CLICK, MORE) == ([*asked, "click", "stop"], False, "looking")
    # What is stopped may take more steps to its end, and a second click changes nothing.
    ends = gone(*[MORE] * before, CLICK, MORE, MORE, CLICK, MORE, DONE)
    assert ends == ([*asked, "click", "stop", "on", "click", "on"], True, "done")


@needs_node
@pytest.mark.parametrize("before", [0, 1, 2, 3])
def test_work_on_a_prop_that_another_took_the_place_of_is_stopped_and_forgotten(before: int) -> None:
    asked = ["begin", *["on"] * before]
    assert gone(*[MORE] * before, OPEN, MORE, DONE) == ([*asked, "open", "stop"], True, None)


@needs_node
def test_no_step_is_taken_while_something_moves_and_the_next_when_it_rests() -> None:
    assert gone(MOVE, MORE, A_MOMENT) == (["begin"], False, "looking")
    assert gone(MOVE, MORE, A_MOMENT, REST, A_MOMENT)[0] == ["begin", "on by a step"]
    assert gone(MOVE, MORE, A_MOMENT, REST, A_MOMENT, MORE)[0] == ["begin", "on by a step", "on"]


@needs_node
@pytest.mark.parametrize("steps", [1, 2, 5])
def test_what_moves_on_and_on_lets_the_work_get_on_by_a_step_twice_a_second(steps: int) -> None:
    moving = gone(MOVE, *[MORE, HALF_A_SECOND] * steps, DONE)
    assert moving == (["begin", *["on by a step"] * steps], True, "done")


@needs_node
def test_a_stop_and_another_prop_are_heard_while_something_moves() -> None:
    assert gone(MOVE, MORE, CLICK, A_MOMENT)[0] == ["begin", "click", "stop"]
    assert gone(MOVE, MORE, OPEN, HALF_A_SECOND)[0] == ["begin", "open", "stop"]
