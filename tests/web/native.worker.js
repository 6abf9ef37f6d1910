// In place of web/src/engine/engine.worker.ts in most tests of the page: says the same to it, and asks the Python at the
// address PYTHON, one of its own. What goes wrong stands in the console, too, where every test looks.

const tell = (message, transfer = []) => self.postMessage(message, { transfer });
const progress = (stage, done) => tell({ kind: "progress", progress: { stage, done, total: 1 } });

function crashed(reason) {
  console.error(reason);
  tell({ kind: "crashed", reason });
}

progress("loading", 0);
const python = new WebSocket(PYTHON);
python.binaryType = "arraybuffer";
const open = new Promise((done) => (python.onopen = done));
open.then(() => progress("preparing", 1));
python.onclose = ({ reason }) => crashed(reason || "the native Python cannot be reached");

let answered, state, text, kinds, blocks;
python.onmessage = ({ data }) => {
  if (typeof data === "string") [[state, text, kinds], blocks] = [JSON.parse(data), []];
  else blocks.push(kinds[blocks.length] === "floats" ? new Float32Array(data) : new Uint8Array(data));
  if (blocks.length === kinds.length) answered();
};

async function answer({ id, method, params }) {
  const given = [];
  const json = JSON.stringify(params, (_, value) =>
    value instanceof Uint8Array ? { $block: given.push(value) - 1 } : value,
  );
  await open;
  const done = new Promise((resolve) => (answered = resolve));
  python.send(JSON.stringify([method, json, given.length]));
  for (const block of given) python.send(block);
  await done;
  if (state === "missing") return crashed(`Python asks for ${text}, which is not part of the page`);
  if (state === "refused") return refused(id, JSON.parse(text));
  const result = JSON.parse(text, (_, value) => {
    if (value === null || typeof value !== "object" || !("$block" in value)) return value;
    const data = blocks[value.$block];
    return value.shape ? { data, shape: value.shape } : data;
  });
  tell({ kind: "result", id, result }, blocks.map((block) => block.buffer));
}

function refused(id, findings) {
  for (const { code, subject } of findings) if (code === "fault") console.error(subject);
  tell({ kind: "refused", id, findings });
}

const lock = `posekit:worker:${Math.random().toString(36).slice(2)}`;
void navigator.locks?.request(lock, () => {
  tell({ kind: "alive", lock });
  return new Promise(() => undefined); // for good
});

let last = Promise.resolve();
self.onmessage = ({ data }) => {
  last = last.then(() => answer(data)).catch((problem) => crashed(String(problem)));
};
