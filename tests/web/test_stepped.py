"""Long work of the second worker in steps, run by Node with a worker whose answers wait for us."""

from __future__ import annotations

import pytest

from tests.web.in_node import needs_node, told_by

pytestmark = pytest.mark.native
# `click` is one on Stop, `open` brings another prop, `answer` tells how far the work is that the worker is asked for.
WORK = """
const signals = require("./node_modules/@preact/signals-core");
const { createStepped } = loaded("work/stepped", { "@preact/signals": signals });
const opened = signals.signal("heron");
const session = { opened, history: { record: signals.signal({ work: { files: {} } }) } };
const asked = [];
let waits = null;
const ask = (what) => () => (asked.push(what), new Promise((resolve) => (waits = resolve)));
const second = { ready: async () => null, held: () => session.history.record.value.work.files };
const work = createStepped(session, second, { on: ask("on"), stop: ask("stop") });
const does = {
  answer: (phase) => waits({ phase }),
  click: () => work.stop(),
  open: (prop) => void (opened.value = prop),
};
(async () => {
  let ended = false;
  work.run(ask("begin"), () => null).then(() => (ended = true));
  const settled = () => new Promise((resolve) => setImmediate(resolve));
  await settled();
  for (const [what, which] of given) {
    asked.push(what);
    does[what](which);
    await settled();
  }
  tell({ asked: asked.filter((what) => what !== "answer"), ended, known: work.known.value?.view.phase ?? null });
})();
"""
MORE, DONE, CLICK, OPEN = ("answer", "looking"), ("answer", "done"), ("click", ""), ("open", "cabinet")


def gone(*does: tuple[str, str]) -> tuple[list[str], bool, str | None]:
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
