/** The work and the folder on disk that it came from, each kept in step with the other, and neither lost to it. */

import { computed, type ReadonlySignal, type Signal, signal } from "@preact/signals";
import { Refused } from "../engine/engine";
import type { Place } from "./benches";
import { differing, reused, same, sameFiles } from "./bytes";
import { canPick, type Disk, doorsTo, filesIn, mayWrite, namesIn, pick } from "./disk";
import { type Difference, type Doors, enter, type OnDisk, type Saved, SHOWN } from "./doors";
import type { Files, Origin, Work } from "./history";
import { freshName } from "./journal";
import type { Session } from "./session";
import type { Storage } from "./storage";

const PAUSE_MS = 250; // a change on disk is to show within a second
const ASIDE_MS = 2000; // in a tab that nobody looks at, and where nobody answers
const PICKED = "disk:"; // how the place of a folder begins that the browser holds open

export interface Folder {
  /** How the prop stands on disk; null where none is followed. */
  readonly onDisk: ReadonlySignal<OnDisk | null>;
  /** Whether the work came from the folder. */
  readonly isOfIt: ReadonlySignal<boolean>;
  /** The files that the work has otherwise than the folder; none where nothing can be saved into it. */
  readonly unsaved: ReadonlySignal<readonly string[]>;
  /** The folder that the browser held open for this work and asks for anew, as it does at each visit; null if there is none. */
  readonly shut: ReadonlySignal<string | null>;
  /** Whether this browser can hold a folder open. */
  readonly canPick: boolean;
  /** Begin to follow, for as long as the page is there; `shown` if the page came of `posekit show`. */
  follow(shown: boolean): Promise<void>;
  /** Let the builder choose a folder for this work, which is followed from then on. False if they would rather not. */
  choose(): Promise<boolean>;
  /** Ask for the folder anew. */
  reopen(): Promise<void>;
  /** What saving would change on disk, once all that waits is made. */
  difference(): Promise<Difference>;
  /** Save what was shown, and of the files that changed on disk meanwhile those in `wins`. */
  save(shown: Difference, wins: readonly string[]): Promise<Saved>;
}

/** Whom it asks and tells. */
export interface FolderHost {
  failed(problem: unknown): void;
  say(words: string): void;
  /** The prop was changed here and on disk: whether to take the one on disk. */
  takesDisk(name: string, files: readonly string[]): Promise<boolean>;
  /** The folder that was chosen holds a prop already: whether to go on with it. */
  takesFolder(name: string): Promise<boolean>;
  /** The folder that was chosen holds other things: whether to make one of its own in there. */
  makesFolder(name: string, within: string): Promise<boolean>;
}

export function createFolder(session: Session, place: Place, storage: Storage, host: FolderHost): Folder {
  const onDisk = signal<OnDisk | null>(null);
  const digests = new WeakMap<Uint8Array, Promise<string>>();
  const isOfIt = computed(() => {
    const { origin } = session.history.record.value.work;
    return onDisk.value !== null && origin?.place === onDisk.value.place;
  });
  const shut = signal<string | null>(null);
  let at = ""; // the place of the folder that is followed
  let doors: Doors | null = null;
  let byShow = false;
  let handling = false; // the folder is chosen or written to just now: what is seen of it meanwhile is half of it
  const entered = enter().then(() => null, (problem: unknown) => problem); // at once, before a link is looked for in the address
  let met = ""; // the state on disk that the bench has taken or passed over

  /** Only where the connection is secure, as it is to this machine; without, nothing can be saved either. */
  function digestOf(data: Uint8Array<ArrayBuffer>): Promise<string> {
    const known = digests.get(data) ?? crypto.subtle.digest("SHA-256", data).then(hex);
    digests.set(data, known);
    return known;
  }

  async function known(files: Files): Promise<Record<string, string>> {
    return Object.fromEntries(await Promise.all(Object.entries(files).map(async ([path, data]) => [path, await digestOf(data)] as const)));
  }

  /** The files on disk; those that are here under any path are not fetched. */
  async function gathered(now: OnDisk, here: readonly Files[]): Promise<Files> {
    const all = "subtle" in crypto ? here.flatMap((files) => Object.values(files)) : [];
    const held = new Map(await Promise.all(all.map(async (data) => [await digestOf(data), data] as const)));
    const files = Object.entries(now.files).map(async ([path, digest]) => [path, held.get(digest) ?? (await open().fileOf(digest))] as const);
    return Object.fromEntries(await Promise.all(files));
  }

  /** Meet what is on disk; false if that has to wait. */
  async function meet(now: OnDisk): Promise<boolean> {
    const work = session.history.work();
    const { origin, files } = work;
    if (!place.mine.peek()) return false;
    if (origin?.place !== now.place) return true;
    const disk = reused(await gathered(now, [files, origin.files]), files);
    // What waits for Python, or was made meanwhile, comes first.
    if (session.waiting.peek() > 0 || session.history.work() !== work) return false;
    const there = onDiskNow(origin, disk);
    if (sameFiles(disk, origin.files)) return true;
    if (sameFiles(disk, files)) session.history.rebase(there);
    else if (sameFiles(files, origin.files)) {
      await session.retake(`Take ${now.name} from disk`, disk, there);
      host.say(`${now.title} has changed on disk: this is the new one. Undo brings back the one before.`);
    } else if (await host.takesDisk(now.title, differing(disk, origin.files))) await session.retake(`Take ${now.name} from disk`, disk, there);
    else await stay(work, there);
    return true;
  }

  /** The work stays, over what is on disk: that lies below it, and files that were not changed here come from it. */
  async function stay(work: Work, there: Origin): Promise<void> {
    const before = work.origin?.files ?? {};
    session.history.beneath("Stay with mine", { ...work, files: there.files });
    session.history.rebase(there);
    const mine = Object.fromEntries(Object.entries(work.files).filter(([path, data]) => !same(data, before[path])));
    const gone = Object.keys(before).filter((path) => !work.files[path]);
    const others = Object.entries(there.files).filter(([path]) => !gone.includes(path));
    const merged = reused({ ...Object.fromEntries(others), ...mine }, work.files);
    if (merged === work.files) return;
    // Together they may be no prop: then mine stays as it was.
    await session.retake("Take in the other files from disk", merged, there).catch((problem: unknown) => {
      if (!(problem instanceof Refused)) throw problem;
    });
  }

  function open(): Doors {
    if (!doors) throw new Error("No folder is followed.");
    return doors;
  }

  /** The doors to the folder that the work on the bench is of; those of `posekit show` where it is of none. */
  async function doorsOfWork(): Promise<void> {
    const wanted = session.history.work().origin?.place ?? "";
    const picked = wanted.startsWith(PICKED) ? wanted : "";
    if (doors && picked === at) return;
    if (!picked) {
      [doors, at, shut.value] = [byShow ? SHOWN : null, "", null];
      onDisk.value = null;
      return;
    }
    const disk = await storage.read<Disk>(picked).catch(() => null);
    if (!disk) return;
    const may = await mayWrite(disk.handle, false);
    if (handling) return;
    if (may) enterDisk(disk);
    else {
      [doors, at, shut.value] = [null, picked, disk.handle.name];
      onDisk.value = null;
    }
  }

  function keep(disk: Disk): Promise<void> {
    return storage.write([[disk.place, disk]]).catch(() => host.say("This browser does not keep which folder it was: choose it again after a reload."));
  }

  function enterDisk(disk: Disk): void {
    [doors, at, shut.value] = [doorsTo(disk, session.engine, digestOf, keep), disk.place, null];
    onDisk.value = null;
  }

  async function step(): Promise<void> {
    if (handling) return;
    await doorsOfWork();
    const asked = doors;
    if (!asked) return;
    const now = await asked.look(onDisk.peek()?.state ?? "");
    if (handling || doors !== asked) return; // they were others meanwhile
    if (now) onDisk.value = now;
    const { opened } = session.history.work();
    const latest = onDisk.peek();
    if (!latest || met === `${latest.state} ${opened}`) return;
    try {
      if (await meet(latest)) met = `${latest.state} ${opened}`;
    } catch (problem) {
      if (!(problem instanceof Refused)) throw problem;
      met = `${latest.state} ${opened}`; // told once
      host.failed(problem);
    }
  }

  return {
    onDisk,
    isOfIt,
    unsaved: computed(() => {
      const { files, origin } = session.history.record.value.work;
      return isOfIt.value && onDisk.value?.may_save && origin && files !== origin.files ? differing(files, origin.files) : [];
    }),

    shut,
    canPick: canPick(),

    async follow(shown) {
      byShow = shown;
      const problem = await entered;
      let timer = 0;
      let busy = false;
      async function on(): Promise<void> {
        if (busy) return;
        busy = true;
        clearTimeout(timer);
        const answered = await step().then(() => true, () => false); // no one answers where the command has ended
        document.documentElement.dataset["folder"] = answered ? "followed" : "unanswered";
        timer = window.setTimeout(() => void on(), answered && !document.hidden ? PAUSE_MS : ASIDE_MS);
        busy = false;
      }
      document.addEventListener("visibilitychange", () => document.hidden || void on());
      await on();
      // An address that is used a second time is nothing to tell where the first time still holds.
      if (problem && !onDisk.peek()?.may_save) host.failed(problem);
    },

    async difference() {
      await idle(session.waiting);
      const { files, origin } = session.history.work();
      const before = origin?.files ?? {};
      // The prop file always, for the one on disk may be a wrong one that was never taken.
      const changed = [...new Set(["prop.toml", ...differing(files, before)])];
      return open().difference(Object.fromEntries(changed.map((path) => [path, files[path] ?? null])), await known(before));
    },

    async save(shown, wins) {
      handling = true;
      try {
        const told = await open().save(shown.number, wins);
        const { files, origin } = session.history.work();
        if (origin) session.history.rebase(onDiskNow(origin, reused(await gathered(told, [files, origin.files]), files)));
        onDisk.value = told;
        met = `${told.state} ${session.history.work().opened}`;
        return told;
      } finally {
        handling = false;
      }
    },

    async choose() {
      let handle = await pick();
      if (!handle) return false;
      const name = session.history.work().folder || "prop";
      const names = await namesIn(handle);
      if (names.length > 0 && !names.includes("prop.toml")) {
        if (!(await host.makesFolder(name, handle.name))) return false;
        handle = await handle.getDirectoryHandle(name, { create: true });
      }
      const there = await filesIn(handle);
      if (there.has("prop.toml") && !(await host.takesFolder(handle.name))) return false;
      await idle(session.waiting);
      const { files } = session.history.work();
      const ignored = [...there.keys()].filter((path) => !files[path]);
      const disk: Disk = { handle, place: PICKED + freshName(), ignored };
      handling = true;
      try {
        await keep(disk);
        enterDisk(disk);
        const now = await open().look("");
        if (!now) return false;
        session.history.rebase({ address: "", files: await gathered(now, [files]), place: disk.place });
        onDisk.value = now;
        met = `${now.state} ${session.history.work().opened}`;
        return true;
      } finally {
        handling = false;
      }
    },

    async reopen() {
      const disk = await storage.read<Disk>(at);
      if (disk && (await mayWrite(disk.handle, true))) enterDisk(disk);
    },
  };
}

/** As it is on disk by now, which what was served at the address is not any more. */
function onDiskNow(origin: Origin, files: Files): Origin {
  return { ...origin, address: "", files };
}

/** Resolves when nothing waits. */
function idle(waiting: Signal<number>): Promise<void> {
  return new Promise((resolve) => {
    const stop = waiting.subscribe((count) => {
      if (count > 0) return;
      queueMicrotask(() => stop());
      resolve();
    });
  });
}

function hex(digest: ArrayBuffer): string {
  return [...new Uint8Array(digest)].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}
