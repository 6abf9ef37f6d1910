"""In which order requests go out to Python, and which refusals count, run by Node: worker and frames wait for us."""

from __future__ import annotations

import pytest

from tests.web.in_node import needs_node, told_by

pytestmark = pytest.mark.native
# `ask` asks for some kinds in turn, `answer` answers what is asked of the worker, `frame` begins the next frame, and
# `pass` lets so many ms pass without one; `look` tells whether something moves.
ASK = """
let frames = [];
globalThis.document = { hidden: false };
globalThis.requestAnimationFrame = (doing) => void frames.push(doing);
let timers = [];
globalThis.setTimeout = (doing, ms) => void timers.push({ doing, ms }); // time passes when it is told to
let now = 1000;
globalThis.performance = { now: () => now };
const sent = [];
let hearer = null;
const worker = { postMessage: (message) => sent.push(message), terminate() {} };
const protocol = loaded("engine/protocol", {});
const launch = { newWorker: (hears) => ((hearer = hears), worker) };
const { Engine } = loaded("engine/engine", { "./launch": launch, "./protocol": protocol });
const engine = new Engine(() => undefined);
const told = [];
const heard = (method) => [() => undefined, (problem) => void told.push(`${method}: ${problem.constructor.name}`)];
const does = {
  ask: (method) => void engine.ask(method, {}).then(...heard(method)),
  bring: (method) => void engine.bring(method, {}).then(...heard(method)),
  place: (prop) => void engine.bring("open", {}, prop).then(...heard("open")),
  make: (prop) => void engine.make("glb", {}, prop).then(...heard("glb")),
  overtake: () => engine.overtake(),
  refuse: () => hearer.hear({ kind: "refused", id: sent.at(-1).id, findings: [] }),
  answer: () => hearer.hear({ kind: "result", id: sent.at(-1).id, result: { posekit: protocol.POSEKIT } }),
  look: () => void told.push(engine.moves() ? "moves" : "rests"),
  frame: () => { const due = frames; frames = []; due.forEach((doing) => doing()); },
  pass: (ms) => {
    now += Number(ms);
    const due = timers.filter((timer) => timer.ms <= ms);
    timers = timers.filter((timer) => timer.ms > ms);
    due.forEach(({ doing }) => doing());
  },
};
void (async () => {
  for (const [what, method] of given) {
    does[what](method);
    await null; // whoever waits for an answer has it before the next
  }
  tell({ sent: sent.map(({ method }) => method), told });
})();
"""
ANSWER, FRAME, REFUSE = ("answer", ""), ("frame", ""), ("refuse", "")
LOOK = ("look", "")


def asked(*kinds: str) -> list[tuple[str, str]]:
    return [("ask", kind) for kind in kinds]


def sent(*does: tuple[str, str]) -> list[str]:
    """What went out to the worker, after the greeting."""
    greeting, *rest = told_by(ASK, [ANSWER, *does])["sent"]
    assert greeting == "hello"
    return rest


def told(*does: tuple[str, str]) -> list[str]:
    """What was not done, and why; what was seen."""
    return told_by(ASK, [ANSWER, *does])["told"]


@needs_node
def test_the_pose_of_a_pull_waits_for_no_frame_behind_the_next_pull() -> None:
    # The next pull comes within the same frame, and waits for the next; the first is answered, and its pose asked for.
    pulls = [*asked("reach", "reach"), ANSWER, *asked("pose")]
    assert sent(*pulls) == ["reach", "pose"]
    assert sent(*pulls, ANSWER, FRAME) == ["reach", "pose", "reach"]


@needs_node
def test_a_second_pose_in_a_frame_waits_and_what_belongs_to_it_behind_it() -> None:
    poses = [*asked("pose", "pose", "near"), ANSWER]
    assert sent(*poses) == ["pose"]
    assert sent(*poses, FRAME, ANSWER) == ["pose", "pose", "near"]


@needs_node
def test_what_is_looked_for_in_steps_comes_between_poses_and_hurries_none() -> None:
    for step in ("near", "prepare"):
        moving = [*asked("pose"), ANSWER, FRAME, *asked(step), *asked("pose"), ANSWER, *asked(step)]
        assert sent(*moving) == ["pose", step, "pose"], "a pose waits for one of them, and not for its frame"
        assert sent(*moving, ANSWER) == ["pose", step, "pose", step], "the next waits for no frame either"
        second = [*asked("pose", "pose"), ANSWER, *asked(step)]
        assert sent(*second) == ["pose"], "what waits for its frame goes on doing so"
        assert sent(*second, FRAME, ANSWER) == ["pose", "pose", step]


@needs_node
def test_a_change_waits_for_no_frame_and_overtakes_nothing() -> None:
    changes = [*asked("pose", "pose", "near", "edit"), ANSWER, ANSWER, ANSWER]
    assert sent(*changes) == ["pose", "pose", "near", "edit"]


@needs_node
def test_what_is_refused_behind_another_prop_was_asked_of_the_one_before() -> None:
    behind = [("bring", "open"), *asked("readings"), ANSWER]
    assert told(*behind, REFUSE) == ["readings: Overtaken"]
    assert told(*behind, *asked("strength"), ANSWER, REFUSE) == ["strength: Refused"], (
        "it came when that stood"
    )
    assert told(*asked("readings"), ("overtake", ""), REFUSE) == ["readings: Overtaken"], (
        "the page went ahead"
    )


@needs_node
def test_what_is_refused_of_the_prop_that_stands_is_told() -> None:
    assert told(*asked("readings"), ("bring", "open"), REFUSE) == ["readings: Refused"]
    assert told(("bring", "edit"), REFUSE) == ["edit: Refused"]
    assert told(("bring", "edit"), ("bring", "rename"), ANSWER, REFUSE) == ["rename: Refused"], (
        "a change is none"
    )
    assert told(("bring", "open"), *asked("near"), REFUSE, REFUSE) == ["open: Refused", "near: Refused"]


@needs_node
def test_something_moves_for_a_moment_after_what_repeats_was_asked_for() -> None:
    for other in ("survey", "near", "prepare"):
        assert told(LOOK, *asked(other), ANSWER, LOOK) == ["rests", "rests"]
    assert told(*asked("pose"), LOOK, ANSWER, ("pass", "100"), LOOK) == ["moves", "moves"]
    assert told(*asked("pose"), ANSWER, ("pass", "300"), LOOK) == ["rests"]


@needs_node
def test_a_file_is_made_of_the_prop_it_was_asked_of_or_not_at_all() -> None:
    heron = [("place", "heron"), ANSWER]
    assert told(*heron, ("make", "heron"), ANSWER) == []
    # The prop is the same one after a change, and after it was taken in anew.
    assert told(*heron, ("bring", "edit"), ("make", "heron"), ANSWER, ANSWER) == []
    assert told(*heron, ("place", "heron"), ("make", "heron"), ANSWER, ANSWER) == []
    # Another came before Python came to the file, or does not know yet that it is to have it.
    assert told(*heron, ("place", "arm"), ("make", "heron"), ANSWER, ANSWER) == ["glb: Overtaken"]
    assert told(*heron, ("place", "arm"), ("make", "heron"), REFUSE, ANSWER) == ["open: Refused"]
    assert told(*heron, ("make", "heron"), ("place", "arm"), ANSWER, ANSWER) == []
    assert told(*heron, ("place", "arm"), ("make", "heron"), ANSWER, REFUSE) == ["glb: Overtaken"]
    assert told(*heron, ("make", "arm"), ANSWER) == ["glb: Overtaken"]
    # Asked of one that has gone already, as after a fetch: that the other cannot do it is nothing to tell.
    assert told(*heron, ("make", "arm"), REFUSE) == ["glb: Overtaken"]
    assert told(*heron, ("make", "heron"), REFUSE) == ["glb: Refused"]
