/** All that was made outlives a reload: the work with its history, and the picture for the time before Python. */

import { type Signal, signal } from "@preact/signals";
import type { Floats } from "../engine/protocol";
import { type About, keysOf, type Place } from "./benches";
import type { Bench } from "./history";
import type { Journal } from "./journal";
import type { Session } from "./session";
import type { Storage } from "./storage";

/** A bench as it is kept. `settled` are the doings of the journal that it has. */
export interface Kept {
  readonly bench: Bench;
  readonly settled: readonly string[];
}

/** Where the links of a prop stood. */
export interface Stand {
  readonly links: readonly string[];
  readonly transforms: Floats;
}

/** "saved" is told only after it is so. */
export type Saved = "saved" | "saving" | "failed";

export interface Autosave {
  readonly state: Signal<Saved>;
  /** Keep all that is not kept yet. */
  flush(): Promise<void>;
  /** Let go of something that is kept apart, in the same stroke as the work that has it is kept. */
  dropWith(key: string): void;
}

const PAUSE_MS = 150; // changes in quick succession are one write
const LATEST_MS = 2000; // and so is a move, whose values the journal has: the whole work is some megabytes to copy

export function keepAll(session: Session, place: Place, journal: Journal, storage: Storage): Autosave {
  const state = signal<Saved>("saved");
  const keys = keysOf(place.id);
  const waiting = new Map<string, unknown>();
  let opened = "";
  let timer = 0;
  let since = 0; // when the first was that waits
  let writing: Promise<void> = Promise.resolve();

  async function write(): Promise<void> {
    clearTimeout(timer);
    timer = 0;
    if (waiting.size === 0 || !place.mine.value) return;
    const settled = journal.settled();
    const entries = [...waiting].map(([key, value]) => [key, key === keys.bench ? { bench: value, settled } : value] as const);
    waiting.clear();
    try {
      await storage.write(entries);
      journal.forget(settled);
      place.kept();
      if (waiting.size === 0) state.value = "saved";
    } catch {
      for (const [key, value] of entries) if (!waiting.has(key)) waiting.set(key, key === keys.bench ? (value as Kept).bench : value);
      state.value = "failed";
    }
  }

  function flush(): Promise<void> {
    return (writing = writing.then(write));
  }

  function keep(key: string, value: unknown, now = false): void {
    if (!place.mine.value) return;
    waiting.set(key, value);
    state.value = "saving";
    if (now) return void flush();
    if (!timer) since = performance.now();
    timer ||= window.setTimeout(due, PAUSE_MS);
  }

  function due(): void {
    if (session.engine.moves() && performance.now() - since < LATEST_MS) timer = window.setTimeout(due, PAUSE_MS);
    else void flush();
  }

  function keepAbout({ work, past }: Bench): void {
    const title = session.prop.value?.name ?? work.folder;
    keep(keys.about, { title, at: Date.now(), changed: past.length > 0 } satisfies About);
  }

  session.history.record.subscribe((bench) => {
    const { work } = bench;
    if (!work.folder) return;
    keepAbout(bench);
    keep(keys.bench, bench, work.opened !== opened); // another prop at once: the journal speaks of one that is kept
    opened = work.opened;
  });
  // What a prop is called is known once Python has read it.
  session.prop.subscribe((prop) => prop && keepAbout(session.history.record.peek()));
  session.picture.subscribe((picture) => picture && keep(keys.picture, picture));
  session.pose.subscribe((pose) => {
    const prop = session.prop.value;
    if (prop && pose) keep(keys.stand, { links: prop.links, transforms: pose.links } satisfies Stand);
  });

  // A tab that is closed or put aside gives no second chance, nor does it tell a field that its text is meant.
  function leave(): void {
    document.activeElement?.dispatchEvent(new Event("change", { bubbles: true }));
    void write();
  }
  document.addEventListener("visibilitychange", () => document.hidden && leave());
  addEventListener("pagehide", leave);

  return { state, flush, dropWith: (key) => keep(key, null) };
}
