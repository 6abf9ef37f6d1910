"""In which order the page lets requests out to Python, run by Node with a worker and frames that wait for us."""

from __future__ import annotations

import json
import shutil
import subprocess

import pytest

from tests.conftest import ROOT

pytestmark = pytest.mark.native
# `ask` asks for some kinds in turn, `answer` answers what is asked of the worker, `frame` begins the next frame.
ASK = """
const ts = require("./node_modules/typescript");
const read = (name) => require("fs").readFileSync(`src/engine/${name}.ts`, "utf8");
function loaded(name, parts) {
  const made = { exports: {} };
  const text = ts.transpileModule(read(name), { compilerOptions: { module: "commonjs", target: "es2022" } }).outputText;
  new Function("exports", "require", text)(made.exports, (asked) => parts[asked]);
  return made.exports;
}
let frames = [];
globalThis.document = { hidden: false };
globalThis.requestAnimationFrame = (doing) => void frames.push(doing);
globalThis.setTimeout = () => 0; // frames come when they are told to
const sent = [];
let hearer = null;
const worker = { postMessage: (message) => sent.push(message), terminate() {} };
const protocol = loaded("protocol", {});
const launch = { newWorker: (hears) => ((hearer = hears), worker) };
const { Engine } = loaded("engine", { "./launch": launch, "./protocol": protocol });
const engine = new Engine(() => undefined);
const does = {
  ask: (method) => void engine.ask(method, {}).catch(() => undefined),
  answer: () => hearer.hear({ kind: "result", id: sent.at(-1).id, result: { posekit: protocol.POSEKIT } }),
  frame: () => { const due = frames; frames = []; due.forEach((doing) => doing()); },
};
for (const [what, method] of JSON.parse(process.argv[1])) does[what](method);
process.stdout.write(JSON.stringify(sent.map(({ method }) => method)));
"""
ANSWER, FRAME = ("answer", ""), ("frame", "")


def asked(*kinds: str) -> list[tuple[str, str]]:
    return [("ask", kind) for kind in kinds]


def sent(*does: tuple[str, str]) -> list[str]:
    """What went out to the worker, after the greeting."""
    words = ["node", "-e", ASK, json.dumps([ANSWER, *does])]
    told = subprocess.run(words, cwd=ROOT / "web", capture_output=True, text=True, check=True).stdout
    greeting, *rest = json.loads(told)
    assert greeting == "hello"
    return list(rest)


needs_node = pytest.mark.skipif(shutil.which("node") is None, reason="needs node")


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
