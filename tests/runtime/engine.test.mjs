// The page's side of the door, against a worker that this test plays: node --test engine.test.mjs

import assert from "node:assert/strict";
import { beforeEach, test } from "node:test";
import { build } from "../../web/node_modules/vite/dist/node/index.js";

const built = await build({
  root: new URL("../../web", import.meta.url).pathname,
  configFile: false,
  logLevel: "error",
  build: { write: false, minify: false, lib: { entry: "src/engine/engine.ts", formats: ["es"] } },
  plugins: [{ name: "no-worker", enforce: "pre", transform: (code, id) => (id.endsWith("launch.ts") ? code.replace(/new URL\([^)]*\)/, '"worker"') : null) }],
});
const code = built[0].output[0].code;
const { Engine, Refused, Stale, Stopped } = await import(`data:text/javascript,${encodeURIComponent(code)}`);
const VERSION = /POSEKIT = "([^"]+)"/.exec(code)[1];

/** The worker as the engine sees it. */
class PlayedWorker {
  static all = [];
  got = [];
  ended = false;
  constructor() {
    PlayedWorker.all.push(this);
  }
  postMessage(message) {
    this.got.push(message);
  }
  terminate() {
    this.ended = true;
  }
  say(data) {
    this.onmessage(new MessageEvent("message", { data }));
  }
  /** Answer the request that was sent last. */
  answer(result) {
    this.say({ kind: "result", id: this.got.at(-1).id, result });
  }
}

/** Frames as this test draws them; nobody looks until it says so. */
const frames = [];
globalThis.document = { hidden: true };
globalThis.requestAnimationFrame = (doing) => frames.push(doing);

globalThis.Worker = PlayedWorker;
const HELLO = { posekit: VERSION, python: "3.13", numpy: "2" };
let stages;

beforeEach(() => {
  document.hidden = true;
  frames.length = 0;
  PlayedWorker.all = [];
  stages = [];
});

function started() {
  const engine = new Engine(({ stage, reason }) => stages.push(reason ? `${stage}: ${reason}` : stage));
  const worker = PlayedWorker.all.at(-1);
  worker.answer(HELLO);
  return { engine, worker };
}

const settled = () => new Promise((resolve) => setTimeout(resolve));

test("it greets the worker first and is ready when the versions agree", async () => {
  const { worker } = started();
  await settled();
  assert.equal(worker.got[0].method, "hello");
  assert.deepEqual(stages, ["starting", "ready"]);
});

test("a worker of another version is stopped and the builder told to reload", async () => {
  new Engine(({ stage, reason }) => stages.push(reason ?? stage));
  PlayedWorker.all[0].answer({ ...HELLO, posekit: "0.0.1" });
  await settled();
  assert.ok(PlayedWorker.all[0].ended);
  assert.match(stages.at(-1), /0\.0\.1.*reload/);
});

test("one request runs at a time, in the order they were made", async () => {
  const { engine, worker } = started();
  const edit = engine.ask("edit", { path: "a", value: 1 });
  const scene = engine.ask("scene", {});
  assert.equal(worker.got.at(-1).method, "edit");
  worker.answer("edited");
  assert.equal(worker.got.at(-1).method, "scene");
  worker.answer("drawn");
  assert.deepEqual(await Promise.all([edit, scene]), ["edited", "drawn"]);
});

test("of many poses only the first and the newest are worked out", async () => {
  const { engine, worker } = started();
  const asked = [1, 2, 3, 4, 5].map((value) => engine.ask("pose", { values: { jaw: value } }));
  const outcomes = Promise.allSettled(asked);
  worker.answer("first");
  assert.deepEqual(worker.got.at(-1).params, { values: { jaw: 5 } });
  worker.answer("newest");
  const found = await outcomes;
  assert.deepEqual(found.map(({ status }) => status), ["fulfilled", "rejected", "rejected", "rejected", "fulfilled"]);
  assert.ok(found.slice(1, 4).every(({ reason }) => reason instanceof Stale));
  assert.equal(found[4].value, "newest");
  assert.equal(worker.got.filter(({ method }) => method === "pose").length, 2);
});

test("of what repeats the first of a frame goes out, and the next waits no longer than until something else is asked", () => {
  const { engine, worker } = started();
  document.hidden = false;
  const sent = () => worker.got.slice(1).map(({ method }) => method);
  const pose = () => void engine.ask("pose", { values: {} }).catch(() => undefined);
  pose();
  pose();
  worker.answer("first");
  void engine.ask("near", { values: {} });
  assert.deepEqual(sent(), ["pose"], "the near pairs of a pose come after it");
  frames.shift()();
  assert.deepEqual(sent(), ["pose", "pose"]);
  pose();
  worker.answer("second");
  assert.deepEqual(sent(), ["pose", "pose", "near"]);
  worker.answer("pairs");
  assert.deepEqual(sent().slice(3), ["pose"], "what waited for the frame does not count as its first");
  worker.answer("third");
  pose();
  assert.equal(sent().length, 4, "no frame has shown the third pose");
  void engine.ask("edit", { path: "a", value: 1 });
  assert.deepEqual(sent().slice(4), ["pose"]);
  worker.answer("fourth");
  assert.deepEqual(sent().slice(4), ["pose", "edit"]);
});

test("what is asked in the middle of a frame goes out at once, for the next frame to show", () => {
  const { engine, worker } = started();
  document.hidden = false;
  const sent = () => worker.got.slice(1).map(({ params }) => params.values.jaw);
  const pose = (jaw) => void engine.ask("pose", { values: { jaw } }).catch(() => undefined);
  for (const jaw of [1, 2, 3]) {
    pose(jaw);
    assert.equal(sent().at(-1), jaw, "nothing went out since the frame began");
    worker.answer("posed");
    frames.shift()();
  }
  pose(4);
  frames.shift()(); // this one shows what was there before the answer
  worker.answer("late");
  pose(5);
  assert.deepEqual(sent(), [1, 2, 3, 4, 5]);
});

/** Events of a hand, one request each, against Python and a screen on one clock; how long each waited to go out [ms]. */
function waits({ events, frameMs, answerMs = 5 }) {
  const { engine, worker } = started();
  document.hidden = false;
  frames.length = 0;
  const wentAt = new Map();
  const perFrame = new Map();
  let answered = null;
  let sent = worker.got.length;
  const last = events.at(-1) + 3 * frameMs;
  const look = (at) => {
    for (const { params } of worker.got.slice(sent)) {
      wentAt.set(params.values.jaw, at);
      const frame = Math.floor(at / frameMs);
      perFrame.set(frame, (perFrame.get(frame) ?? 0) + 1);
      answered = at + answerMs;
    }
    sent = worker.got.length;
  };
  for (let at = 0; at <= last; at += 1) {
    if (at === answered) worker.answer("posed");
    look(at);
    if (at % frameMs === 0) for (const begun of frames.splice(0)) begun();
    look(at);
    if (events.includes(at)) void engine.ask("pose", { values: { jaw: at } }).catch(() => undefined);
    look(at);
  }
  return { waited: events.map((at) => (wentAt.get(at) ?? Infinity) - at), most: Math.max(...perFrame.values()) };
}

test("two events in one frame make none wait in the frames after it", () => {
  const each = (frame) => frame * 16 + 9;
  const events = [1, ...Array.from({ length: 30 }, (_, frame) => each(frame))];
  const { waited } = waits({ events, frameMs: 16 });
  assert.deepEqual(waited.slice(0, 2), [0, 7], "the second of a frame waits for the next");
  assert.ok(waited.slice(2).every((ms) => ms === 0), `they waited ${waited.join(", ")} ms`);
});

test("however many events a slow frame has, two of a kind go out, and the newest", () => {
  const events = Array.from({ length: 120 }, (_, count) => 3 + count * 16);
  const { waited, most } = waits({ events, frameMs: 100 });
  assert.equal(most, 2);
  assert.ok(Number.isFinite(waited.at(-1)), "what was asked last goes out, too");
});

test("edits are never dropped, however many wait", async () => {
  const { engine, worker } = started();
  const asked = [1, 2, 3].map((value) => engine.ask("edit", { path: "a", value }));
  for (const value of [1, 2, 3]) {
    assert.equal(worker.got.at(-1).params.value, value);
    worker.answer(value);
  }
  assert.deepEqual(await Promise.all(asked), [1, 2, 3]);
});

test("a refusal carries its findings", async () => {
  const { engine, worker } = started();
  const asked = engine.ask("edit", { path: "drives.jaw.address", value: 0 });
  const findings = [{ level: "error", code: "out-of-range", subject: "drives.jaw.address", message: "= 0: use 1 or more" }];
  worker.say({ kind: "refused", id: worker.got.at(-1).id, findings });
  await assert.rejects(asked, (problem) => problem instanceof Refused && problem.findings[0].code === "out-of-range");
  void engine.ask("scene", {});
  assert.equal(worker.got.at(-1).method, "scene");
});

test("a crash answers all that wait, and nothing is asked of a dead worker", async () => {
  const { engine, worker } = started();
  const asked = [engine.ask("edit", { path: "a", value: 1 }), engine.ask("pose", { values: {} })];
  const outcomes = Promise.allSettled(asked);
  worker.say({ kind: "crashed", reason: "out of memory" });
  assert.ok((await outcomes).every(({ reason }) => reason instanceof Stopped));
  assert.ok(worker.ended);
  assert.equal(stages.at(-1), "stopped: out of memory");
  await assert.rejects(engine.ask("scene", {}), (problem) => problem instanceof Stopped);
});

test("a restart gives a new worker that is greeted anew, and the old one is heard no more", async () => {
  const { engine, worker } = started();
  const lost = engine.ask("pose", { values: {} });
  engine.restart();
  await assert.rejects(lost, (problem) => problem instanceof Stopped);
  const [, second] = PlayedWorker.all;
  assert.ok(worker.ended && !second.ended);
  second.answer(HELLO);
  const asked = engine.ask("scene", {});
  worker.say({ kind: "result", id: worker.got.at(-1).id, result: "from the grave" });
  second.answer("fresh");
  assert.equal(await asked, "fresh");
});

test("an answer to a request that is over is not taken for another", async () => {
  const { engine, worker } = started();
  const first = engine.ask("scene", {});
  const id = worker.got.at(-1).id;
  worker.answer("one");
  const second = engine.ask("scene", {});
  worker.say({ kind: "result", id, result: "one again" });
  worker.answer("two");
  assert.deepEqual([await first, await second], ["one", "two"]);
});
