"""In which order the page lets requests out to Python, run by Node with a worker and frames that wait for us."""

from __future__ import annotations

import pytest

from tests.web.in_node import needs_node, told_by

pytestmark = pytest.mark.native
# `ask` asks for some kinds in turn, `answer` answers what is asked of the worker, `frame` begins the next frame.
ASK = """
let frames = [];
globalThis.document = { hidden: false };
globalThis.requestAnimationFrame = (doing) => void frames.push(doing);
globalThis.setTimeout = () => 0; // frames come when they are told to
const sent = [];
let hearer = null;
const worker = { postMessage: (message) => sent.push(message), terminate() {} };
const protocol = loaded("engine/protocol", {});
const launch = { newWorker: (hears) => ((hearer = hears), worker) };
const { Engine } = loaded("engine/engine", { "./launch": launch, "./protocol": protocol });
const engine = new Engine(() => undefined);
const does = {
  ask: (method) => void engine.ask(method, {}).catch(() => undefined),
  answer: () => hearer.hear({ kind: "result", id: sent.at(-1).id, result: { posekit: protocol.POSEKIT } }),
  frame: () => { const due = frames; frames = []; due.forEach((doing) => doing()); },
};
for (const [what, method] of given) does[what](method);
tell(sent.map(({ method }) => method));
"""
ANSWER, FRAME = ("answer", ""), ("frame", "")


def asked(*kinds: str) -> list[tuple[str, str]]:
    return [("ask", kind) for kind in kinds]


def sent(*does: tuple[str, str]) -> list[str]:
    """What went out to the worker, after the greeting."""
    greeting, *rest = told_by(ASK, [ANSWER, *does])
    assert greeting == "hello"
    return rest


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
def test_a_change_waits_for_no_frame_and_overtakes_nothing() -> None:
    changes = [*asked("pose", "pose", "near", "edit"), ANSWER, ANSWER, ANSWER]
    assert sent(*changes) == ["pose", "pose", "near", "edit"]
