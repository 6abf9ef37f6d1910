/**
 * Which bench this tab stands at. The browser may keep several; each is edited by one tab, which holds its lock, and
 * the others that stand at it look on. Whoever edits tells them what was kept.
 */

import { type Signal, signal } from "@preact/signals";
import { freshName } from "./journal";
import type { Storage } from "./storage";

/** What is told of a kept bench. */
export interface About {
  readonly title: string;
  /** When it was changed last, in ms since 1970. */
  readonly at: number;
  /** Whether there is anything to undo: a bench that nobody changed is worth nothing. */
  readonly changed: boolean;
}

export interface KeptBench extends About {
  readonly id: string;
}

export interface Place {
  readonly id: string;
  /** Whether this tab edits; others may look on. */
  readonly mine: Signal<boolean>;
  /** The bench that other work was left at, where this tab had to take a new one. */
  readonly beside: string | null;
  /** Ask the tab that edits to let this one do so. */
  takeOver(): void;
  /** Tell those who look on that something was kept. */
  kept(): void;
  /** Called where this tab looks on and something was kept. */
  onKept(listener: () => void): void;
  /** What is done before another tab takes over. */
  onHandOver(last: () => Promise<void>): void;
}

const KEY = "posekit:bench";
const ABOUT = "about:";

/**
 * Take a place: that of this tab before a reload, else the one used last. With a `link`, one of its own if that is taken.
 * Where a prop of the builder's is in `front`, only what was done since it is: whoever asks for a prop gets that one, and
 * other work waits at its own bench.
 */
export async function takePlace(storage: Storage, front: string, link: boolean): Promise<Place> {
  const here = remembered(() => sessionStorage, front);
  const last = here ?? remembered(() => localStorage, front) ?? (front ? null : await newest(storage));
  let id = last ?? freshName();
  let beside: string | null = null;
  const mine = signal(false);
  let release: () => void = () => undefined;
  let handOver: () => Promise<void> = async () => undefined;
  let hear: () => void = () => undefined;

  /** Hold the lock of the bench, at once or when it is free. False if it is not free at once. */
  function hold(ifAvailable: boolean): Promise<boolean> {
    return new Promise((resolve, reject) => {
      const held = navigator.locks.request(lockOf(id), { ifAvailable }, (lock) => {
        resolve(lock !== null);
        if (!lock) return undefined;
        const until = new Promise<void>((free) => (release = free));
        mine.value = true;
        return until;
      });
      held.catch(reject);
    });
  }

  if (!("locks" in navigator)) {
    // Pages without a secure connection have no locks: every tab works at a bench of its own.
    if (here === null) id = freshName();
    beside = last === id ? null : last;
    mine.value = true;
  } else if (!(await hold(true))) {
    if (link) {
      beside = id;
      id = freshName();
      await hold(true);
    } else void hold(false);
  }
  remember(() => sessionStorage, front, id);

  const channel = typeof BroadcastChannel === "undefined" ? null : new BroadcastChannel("posekit");
  channel?.addEventListener("message", ({ data }: MessageEvent<{ kind: "kept" | "hand over"; id: string }>) => {
    if (data.id !== id) return;
    if (data.kind === "kept" && !mine.value) hear();
    if (data.kind === "hand over" && mine.value) {
      void handOver().finally(() => {
        mine.value = false;
        release();
        void hold(false);
      });
    }
  });

  return {
    id,
    mine,
    beside,
    takeOver: () => channel?.postMessage({ kind: "hand over", id }),
    kept() {
      remember(() => localStorage, front, id);
      channel?.postMessage({ kind: "kept", id });
    },
    onKept: (listener) => (hear = listener),
    onHandOver: (last) => (handOver = last),
  };
}

/** The benches that this browser keeps, the one changed last first. */
export async function keptBenches(storage: Storage): Promise<readonly KeptBench[]> {
  const keys = await storage.keys(ABOUT);
  const found = await Promise.all(keys.map(async (key) => ({ id: key.slice(ABOUT.length), about: await storage.read<About>(key) })));
  const all = found.flatMap(({ id, about }) => (about ? [{ id, ...about }] : []));
  return all.sort((one, other) => other.at - one.at);
}

/** Those of them that no tab stands at. */
export async function freeBenches(storage: Storage): Promise<readonly KeptBench[]> {
  const { held = [], pending = [] } = "locks" in navigator ? await navigator.locks.query() : {};
  const taken = new Set([...held, ...pending].map(({ name }) => name));
  return (await keptBenches(storage)).filter(({ id }) => !taken.has(lockOf(id)));
}

/** Let go of benches that nobody stands at and nobody changed, as links leave them that were only looked at. */
export async function dropUnchanged(storage: Storage, front: string): Promise<void> {
  const last = remembered(() => localStorage, front);
  const unchanged = (await freeBenches(storage)).filter(({ id, changed }) => !changed && id !== last);
  for (const { id } of unchanged) {
    const { bench, about, picture, stand } = keysOf(id);
    await storage.write([bench, about, picture, stand].map((key) => [key, null] as const));
  }
}

/** Put a copy of a bench beside it; answers where. */
export async function copyBench(storage: Storage, id: string): Promise<string> {
  const copy = freshName();
  const [from, to] = [keysOf(id), keysOf(copy)];
  const what = ["bench", "about", "picture", "stand"] as const;
  const kept = await Promise.all(what.map((key) => storage.read(from[key])));
  await storage.write(what.map((key, index) => [to[key], kept[index]] as const));
  return copy;
}

/** Go to another bench. */
export function goTo(front: string, id: string): void {
  remember(() => sessionStorage, front, id);
  location.reload();
}

/** The keys under which a bench is kept. */
export function keysOf(id: string): { readonly bench: string; readonly about: string; readonly picture: string; readonly stand: string; readonly files: string } {
  return { bench: `bench:${id}`, about: `${ABOUT}${id}`, picture: `picture:${id}`, stand: `stand:${id}`, files: `file:${id}:` };
}

/** The bench whose picture is shown before anything else is known; null on a first visit. */
export function benchBefore(front: string): string | null {
  return remembered(() => sessionStorage, front) ?? remembered(() => localStorage, front);
}

async function newest(storage: Storage): Promise<string | null> {
  return (await keptBenches(storage).catch(() => []))[0]?.id ?? null;
}

/** Under what a tab, or the browser, remembers its bench: one for each prop that was in front. */
function keyOf(front: string): string {
  return front ? `${KEY}:${front}` : KEY;
}

function lockOf(id: string): string {
  return `posekit:bench:${id}`;
}

// A browser may refuse to give these out, and then nothing is remembered.
function remembered(store: () => globalThis.Storage, front: string): string | null {
  try {
    return store().getItem(keyOf(front));
  } catch {
    return null;
  }
}

function remember(store: () => globalThis.Storage, front: string, id: string): void {
  try {
    store().setItem(keyOf(front), id);
  } catch {
    // As above.
  }
}
