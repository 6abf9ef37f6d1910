// The worker: loads Pyodide and the core, and passes requests to the door. It knows no method by name.

import type { loadPyodide, PyodideInterface } from "pyodide";
import type { PyBuffer, PyCallable, PyProxy, PySequence } from "pyodide/ffi";
import { stored } from "./archive";
import runtime from "../../.cache/runtime/manifest.json";
import type { FromWorker, Progress, ToWorker } from "./messages";
import type { FindingView } from "./protocol";

interface Archive {
  readonly file: string;
  readonly bytes: number;
}

type Block = Float32Array<ArrayBuffer> | Uint8Array<ArrayBuffer>;

interface Running {
  readonly python: PyodideInterface;
  readonly handle: PyCallable;
}

declare const self: DedicatedWorkerGlobalScope;

const here = import.meta.url;
const RUNTIME = new URL(/* @vite-ignore */ "../runtime/", here).href;
const LATER: Readonly<Record<string, Archive>> = runtime.later;
const TOTAL = [runtime.pyodide, runtime.stdlib, ...runtime.first].reduce((sum, { bytes }) => sum + bytes, 0);
const LIBRARIES = "/lib/python3.13/site-packages";
const IN_BLOCK = /\/.*\.pyc$|^made-ahead\.bin$/; // all modules but ahead.py itself

const loaded = new Set<string>();
let done = 0;

function tell(message: FromWorker, transfer: Transferable[] = []): void {
  self.postMessage(message, { transfer });
}

/** The last line of a fault in Python is the one that says what it was. */
function crashed(problem: unknown): void {
  tell({ kind: "crashed", reason: String(problem).trim().split("\n").at(-1) ?? "" });
}

function arrived(stage: Progress["stage"], bytes: number): void {
  done += bytes;
  tell({ kind: "progress", progress: { stage, done, total: TOTAL } });
}

async function start(): Promise<Running> {
  arrived("loading", 0);
  const archives = runtime.first.map(async (archive) => {
    const content = await fetched(archive);
    arrived("loading", archive.bytes);
    return content;
  });
  const indexURL = `${RUNTIME}${runtime.pyodide.folder}/`;
  // Pyodide would ask for the second of these only when the first has run.
  const [loader] = (await Promise.all([
    import(/* @vite-ignore */ `${indexURL}pyodide.mjs`),
    import(/* @vite-ignore */ `${indexURL}pyodide.asm.js`),
  ])) as [{ loadPyodide: typeof loadPyodide }, unknown];
  const python = await loader.loadPyodide({
    indexURL,
    stdLibURL: `${RUNTIME}${runtime.stdlib.file}`,
    // Every package comes with the page; Pyodide's own list of them, and the host it names, is not wanted.
    lockFileContents: JSON.stringify({ info: runtime.pyodide.info, packages: {} }),
    packageBaseUrl: RUNTIME,
  });
  arrived("loading", runtime.pyodide.bytes + runtime.stdlib.bytes);
  takeModules(python, await Promise.all(archives));
  arrived("preparing", 0);
  const bridge = python.pyimport("posekit.bridge");
  const handle = bridge.Dispatcher().handle as PyCallable;
  bridge.destroy();
  return { python, handle };
}

async function fetched({ file }: Archive): Promise<Uint8Array<ArrayBuffer>> {
  const response = await fetch(RUNTIME + file);
  if (!response.ok) throw new Error(`${file} could not be loaded (${response.status})`);
  return new Uint8Array(await response.arrayBuffer());
}

/** Put the files of an archive among Pyodide's libraries. */
function unpack({ FS }: PyodideInterface, files: Iterable<[string, Uint8Array<ArrayBuffer>]>): void {
  const folders = new Set<string>();
  for (const [name, content] of files) {
    const path = `${LIBRARIES}/${name}`;
    const folder = path.slice(0, path.lastIndexOf("/"));
    if (!folders.has(folder)) FS.mkdirTree(folder);
    folders.add(folder);
    FS.writeFile(path, content, { canOwn: true }); // the archive is kept by its files, and not copied
  }
}

/** Let Python take modules straight out of these archives; whatever else is in them lies there as files. */
function takeModules(python: PyodideInterface, archives: readonly Uint8Array<ArrayBuffer>[]): void {
  const files = archives.flatMap((archive) => [...stored(archive)]);
  unpack(python, files.filter(([name]) => !IN_BLOCK.test(name)));
  const modules = files.filter(([name]) => IN_BLOCK.test(name));
  const block = new Uint8Array(modules.reduce((sum, [, content]) => sum + content.length, 0));
  let at = 0;
  for (const [, content] of modules) {
    block.set(content, at);
    at += content.length;
  }
  const ahead = python.pyimport("ahead");
  const given = python.toPy(block) as PyProxy;
  ahead["take"](LIBRARIES, given, modules.map(([name, { length }]) => `${name} ${length}`).join("\n"));
  given.destroy();
  ahead.destroy();
}

/** Fetch the archive that holds a module, unless it is here. False if there is none, or it did not help. */
async function fetchModule(python: PyodideInterface, module: string): Promise<boolean> {
  const archive = LATER[module] ?? LATER[module.split(".")[0] ?? ""];
  if (!archive || loaded.has(archive.file)) return false;
  unpack(python, stored(await fetched(archive)));
  // Python has looked for it before, in vain, and remembers. importlib's own way to forget needs half of `email`.
  python.runPython("import sys; sys.path_importer_cache.clear()");
  loaded.add(archive.file);
  return true;
}

async function answer({ python, handle }: Running, { id, method, params }: ToWorker): Promise<void> {
  const blocks: Uint8Array[] = [];
  const text = JSON.stringify(params, (_, value: unknown) =>
    value instanceof Uint8Array ? { $block: blocks.push(value) - 1 } : value,
  );
  const given = python.toPy(blocks) as PySequence;
  const { state, json, made } = unwrapped(handle(method, text, given) as PySequence);
  given.destroy();
  if (state === "missing") {
    if (await fetchModule(python, json)) return answer({ python, handle }, { id, method, params });
    throw new Error(`Python asks for ${json}, which is not part of this page`);
  }
  if (state === "refused") {
    tell({ kind: "refused", id, findings: JSON.parse(json) as FindingView[] });
    return;
  }
  const result: unknown = JSON.parse(json, (_, value: unknown) => {
    if (!isBlock(value)) return value;
    const data = made[value.$block];
    return value.shape ? { data, shape: value.shape } : data;
  });
  tell({ kind: "result", id, result }, made.map((block) => block.buffer));
}

/** The door's answer as JavaScript: its state, its JSON, and its blocks sliced out of the heap. */
function unwrapped(reply: PySequence): { state: string; json: string; made: Block[] } {
  const proxies = reply.get(2) as PySequence;
  const made = Array.from({ length: proxies.length }, (_, index) => {
    const block = proxies.get(index) as PyBuffer;
    const view = block.getBuffer();
    // The view is a window on the heap, which moves when it grows: copy, then let go.
    const data = view.data.slice() as Block;
    view.release();
    block.destroy();
    return data;
  });
  const answer = { state: reply.get(0) as string, json: reply.get(1) as string, made };
  proxies.destroy();
  reply.destroy();
  return answer;
}

function isBlock(value: unknown): value is { $block: number; shape: number[] | null } {
  return typeof value === "object" && value !== null && "$block" in value;
}

if ("locks" in navigator) {
  const lock = `posekit:worker:${Math.random().toString(36).slice(2)}`;
  void navigator.locks.request(lock, () => {
    tell({ kind: "alive", lock });
    return new Promise(() => undefined); // for good
  });
}

const running = start();
running.catch((problem: unknown) => crashed(problem));
let last: Promise<void> = Promise.resolve();
self.onmessage = ({ data }: MessageEvent<ToWorker>) => {
  // One after the other, though fetching a module lets go of the thread in between.
  last = last.then(async () => {
    try {
      await answer(await running, data);
    } catch (problem) {
      crashed(problem);
    }
  });
};
