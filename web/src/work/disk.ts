/**
 * A folder of this machine that the browser holds open itself (File System API of the WHATWG, and the picker that Chrome
 * and Edge have for it), for props that were begun in a page. Only what belongs to a prop is looked at and written.
 */

import type { Engine } from "../engine/engine";
import { BUDGETS, type FindingView } from "../engine/protocol";
import { ChangedOnDisk, type Difference, type Doors, type OnDisk, type Saved } from "./doors";
import type { Files } from "./history";

type Bytes = Files[string];
type Entries = AsyncIterable<[string, FileSystemFileHandle | FileSystemDirectoryHandle]>;

/** What the browser adds to the handle that every browser has. */
interface Held extends FileSystemDirectoryHandle {
  queryPermission?(how: { mode: "readwrite" }): Promise<PermissionState>;
  requestPermission?(how: { mode: "readwrite" }): Promise<PermissionState>;
}

declare global {
  interface Window {
    showDirectoryPicker?(how: { mode: "readwrite"; id: string }): Promise<FileSystemDirectoryHandle>;
  }
}

/**
 * A folder as it is kept from visit to visit. Files in `ignored` lay there before the prop came and are none of it,
 * until one of the prop is to take their place, which the builder is asked.
 */
export interface Disk {
  readonly handle: FileSystemDirectoryHandle;
  readonly place: string;
  readonly ignored: readonly string[];
}

const OWN = ["prop.toml", "notes.json"];
const FOLDERS = ["meshes", "looks", "shows"]; // what belongs to a prop beside them
const SETTLED_MS = 2000; // a file changed so short a time ago may change again under the same stamp

export function canPick(): boolean {
  return typeof window.showDirectoryPicker === "function";
}

/** Let the builder choose a folder; null if they would rather not. */
export async function pick(): Promise<FileSystemDirectoryHandle | null> {
  try {
    return (await window.showDirectoryPicker?.({ mode: "readwrite", id: "posekit" })) ?? null;
  } catch (problem) {
    if (problem instanceof DOMException && problem.name === "AbortError") return null;
    throw problem;
  }
}

/** Whether the page may write there; `ask` the builder, which takes a press of theirs. */
export async function mayWrite(handle: Held, ask: boolean): Promise<boolean> {
  const how = { mode: "readwrite" } as const;
  const state = await (ask ? handle.requestPermission?.(how) : handle.queryPermission?.(how));
  return state === undefined || state === "granted";
}

/** The names of what lies in a folder, hidden things left out. */
export async function namesIn(handle: FileSystemDirectoryHandle): Promise<readonly string[]> {
  const names: string[] = [];
  for await (const [name] of entries(handle)) if (!name.startsWith(".")) names.push(name);
  return names;
}

/** All files of a prop that lie in a folder, by path from it. */
export async function filesIn(handle: FileSystemDirectoryHandle): Promise<ReadonlyMap<string, File>> {
  const found = new Map<string, File>();
  let bytes = 0;
  async function walk(at: FileSystemDirectoryHandle, path: string): Promise<void> {
    for await (const [name, entry] of entries(at)) {
      if (name.startsWith(".")) continue;
      if (entry.kind === "directory") {
        if (path !== "" || FOLDERS.includes(name)) await walk(entry, `${path}${name}/`);
      } else if (path !== "" || OWN.includes(name)) {
        const file = await entry.getFile();
        bytes += file.size;
        found.set(path + name, file);
        if (bytes > BUDGETS.FOLDER_BYTES || found.size > BUDGETS.FOLDER_FILES) throw new Error(`The folder ${handle.name} holds more than a prop may have.`);
      }
    }
  }
  await walk(handle, "");
  return found;
}

/** The doors of such a folder. `digestOf` names what a file holds; `keep` hears of what is ignored no more. */
export function doorsTo(disk: Disk, engine: Engine, digestOf: (data: Bytes) => Promise<string>, keep: (disk: Disk) => Promise<void>): Doors {
  const { handle, place } = disk;
  let ignored = disk.ignored;
  let stamps: string | null = null; // of what was read last; null while it may be that of another content
  let files: Files = {};
  let hashes: Readonly<Record<string, string>> = {};
  let state = "";
  let shown: { number: number; difference: Difference; files: Readonly<Record<string, Bytes | null>>; over: Readonly<Record<string, string>> } | null = null;

  async function renew(): Promise<void> {
    const found = new Map([...(await filesIn(handle))].filter(([path]) => !ignored.includes(path)));
    const now = [...found].map(([path, { size, lastModified }]) => `${path} ${size} ${lastModified}`).sort().join("\n");
    if (now === stamps) return;
    const young = [...found.values()].some(({ lastModified }) => Math.abs(Date.now() - lastModified) < SETTLED_MS);
    const read = await Promise.all([...found].map(async ([path, file]) => [path, new Uint8Array(await file.arrayBuffer())] as const));
    files = Object.fromEntries(read);
    hashes = await digestsOf(files);
    state = await digestOf(new TextEncoder().encode(JSON.stringify(Object.entries(hashes).sort())));
    stamps = young ? null : now;
  }

  async function digestsOf(some: Files): Promise<Readonly<Record<string, string>>> {
    return Object.fromEntries(await Promise.all(Object.entries(some).map(async ([path, data]) => [path, await digestOf(data)] as const)));
  }

  /** What lies where these files go, with what is ignored otherwise; and its digests. */
  async function below(next: Readonly<Record<string, Bytes | null>>): Promise<{ readonly old: Files; readonly over: Readonly<Record<string, string>> }> {
    await renew();
    const met = ignored.filter((path) => path in next);
    if (met.length === 0) return { old: files, over: hashes };
    const found = await filesIn(handle);
    const read = met.map(async (path) => [path, await found.get(path)?.arrayBuffer()] as const);
    const hidden = Object.fromEntries((await Promise.all(read)).flatMap(([path, data]) => (data ? [[path, new Uint8Array(data)] as const] : [])));
    return { old: { ...files, ...hidden }, over: { ...hashes, ...(await digestsOf(hidden)) } };
  }

  /** These files are the prop's from now on. */
  async function takeIn(paths: readonly string[]): Promise<void> {
    if (!ignored.some((path) => paths.includes(path))) return;
    ignored = ignored.filter((path) => !paths.includes(path));
    await keep({ ...disk, ignored });
  }

  function told(): OnDisk {
    return { state, place, name: handle.name, title: handle.name, read_only: "", may_save: true, files: hashes, findings: [] };
  }

  return {
    async look(seen) {
      await renew();
      return state === seen ? null : told();
    },

    async fileOf(digest) {
      const path = Object.keys(hashes).find((each) => hashes[each] === digest);
      const data = path === undefined ? undefined : files[path];
      if (!data) throw new Error(`The folder ${handle.name} changed while it was read; it is read again.`);
      return data;
    },

    async difference(next, known) {
      const { old, over } = await below(next);
      const there = Object.keys(next).flatMap((path) => (old[path] ? [[path, old[path]] as const] : []));
      const changed = await engine.ask("differences", { old: Object.fromEntries(there), new: next, there: [...Object.keys(files), ...ignored] });
      const meanwhile = (path: string): boolean => over[path] !== undefined && over[path] !== known[path];
      const difference: Difference = {
        number: (shown?.number ?? 0) + 1,
        where: handle.name,
        files: changed.map((each) => ({ ...each, meanwhile: meanwhile(each.path) })),
      };
      shown = { number: difference.number, difference, files: next, over };
      if (changed.length === 0) await takeIn(Object.keys(next)); // there is nothing to save, for they are the same
      return difference;
    },

    async save(number, wins) {
      const now = shown;
      if (now?.number !== number) throw new ChangedOnDisk([changedOnDisk(handle.name)]);
      const { difference, files: next, over } = now;
      const saved = difference.files.filter(({ path, meanwhile }) => !meanwhile || wins.includes(path)).map(({ path }) => path);
      const { over: still } = await below(next);
      if (saved.some((path) => still[path] !== over[path])) throw new ChangedOnDisk([changedOnDisk(handle.name)]);
      for (const path of inOrder(saved, next)) {
        await put(handle, path, next[path] ?? null);
      }
      const left = difference.files.map(({ path }) => path).filter((path) => !saved.includes(path));
      await takeIn(Object.keys(next).filter((path) => !left.includes(path)));
      stamps = null;
      await renew();
      return { ...told(), saved, left } satisfies Saved;
    },
  };
}

/**
 * The prop file last of what is written: where the disk is full before that, the folder still holds the prop that it held.
 * What is removed goes after that; but where a name changes in capital letters alone both are one file on many systems, and
 * the old name goes first.
 */
function inOrder(paths: readonly string[], next: Readonly<Record<string, Bytes | null>>): readonly string[] {
  const written = new Set(paths.filter((path) => next[path]).map((path) => path.toLowerCase()));
  const turn = (path: string): number => (next[path] ? (path === "prop.toml" ? 2 : 1) : written.has(path.toLowerCase()) ? 0 : 3);
  return [...paths].sort((one, other) => turn(one) - turn(other));
}

/** Write one file, whole or not at all; null removes it. */
async function put(root: FileSystemDirectoryHandle, path: string, data: Bytes | null): Promise<void> {
  const names = path.split("/");
  const name = names.pop() ?? "";
  let at = root;
  for (const folder of names) at = await at.getDirectoryHandle(folder, { create: data !== null });
  if (data === null) return at.removeEntry(name);
  const file = await at.getFileHandle(name, { create: true });
  const writing = await file.createWritable();
  await writing.write(data);
  await writing.close(); // only now it takes the place of the old one
}

function entries(handle: FileSystemDirectoryHandle): Entries {
  return (handle as unknown as { entries(): Entries }).entries();
}

function changedOnDisk(name: string): FindingView {
  const message = "has changed on disk since this was shown; look at it again. Nothing was written";
  return { level: "error", code: "changed-on-disk", subject: name, message, text: `${name} ${message}`, alone: message, place: name, kind: "", drive: null, file: null, line: null };
}
