/** Notes that were not sent yet, kept by the browser where it keeps anything of a file; together with those of other tabs. */

import { effect, type Signal, signal } from "@preact/signals";
import type { Kept, Note } from "./note";

export interface Keeping {
  readonly notes: Signal<readonly Note[]>;
  /** Whether the browser keeps them when the file is closed. */
  readonly keeps: Signal<boolean>;
  /** Whether all of them were downloaded or copied as they are now. */
  readonly out: Signal<boolean>;
  readonly by: Signal<string>;
  remove(id: string): void;
}

interface Stored {
  readonly notes: readonly Note[];
  /** Ids of notes that were removed: a tab that still has them lets go of them. */
  readonly removed?: readonly string[];
  readonly out: boolean;
  readonly by: string;
}

/** `came` are the notes that came with the file: those are not shown a second time. */
export function keepNotes(fingerprint: string, came: readonly Kept[]): Keeping {
  const key = `posekit-notes-${fingerprint}`;
  const known = new Set(came.map(({ id }) => id));
  const before = stored(key);
  let all = before?.notes ?? []; // of all tabs, with those that came along
  let gone = new Set(before?.removed ?? []);
  const notes = signal<readonly Note[]>(all.filter(({ id }) => !known.has(id)));
  const keeps = signal(false);
  const out = signal(before?.out ?? true);
  const by = signal(before?.by ?? "");

  /** Take in what other tabs stored since. Nothing of theirs or of ours is lost but what was removed. */
  function join(): void {
    const theirs = stored(key);
    gone = new Set([...gone, ...(theirs?.removed ?? [])]);
    const ours = [...all, ...notes.peek()];
    const joined = [...new Map([...(theirs?.notes ?? []), ...ours].map((note) => [note.id, note])).values()];
    all = joined.filter(({ id }) => !gone.has(id));
    const shown = all.filter(({ id }) => !known.has(id));
    if (sameNotes(shown, notes.peek())) return;
    out.value &&= theirs?.out ?? true;
    notes.value = shown;
  }

  effect(() => {
    for (const each of [notes, out, by]) void each.value; // stored whenever one of them changes
    join();
    keeps.value = store(key, { notes: all, removed: [...gone], out: out.peek(), by: by.peek() });
  });
  addEventListener("storage", (event) => {
    if (event.key !== key) return;
    join();
    const theirs = stored(key);
    if (theirs && sameNotes(theirs.notes, all)) out.value = theirs.out;
  });
  return {
    notes,
    keeps,
    out,
    by,
    remove(id) {
      gone.add(id);
      out.value = false;
      notes.value = notes.value.filter((note) => note.id !== id);
    },
  };
}

function sameNotes(some: readonly Note[], others: readonly Note[]): boolean {
  const ids = new Set(others.map(({ id }) => id));
  return some.length === ids.size && some.every(({ id }) => ids.has(id));
}

function stored(key: string): Stored | null {
  const found = kept(key);
  return found && typeof found === "object" && "notes" in found && Array.isArray(found.notes) ? (found as Stored) : null;
}

/** What the browser keeps there; null where that is nothing, or it keeps nothing of a file. */
export function kept(key: string): unknown {
  try {
    return JSON.parse(localStorage.getItem(key) ?? "null");
  } catch {
    return null;
  }
}

/** Whether the browser keeps it. */
export function store(key: string, what: unknown): boolean {
  try {
    const text = JSON.stringify(what);
    localStorage.setItem(key, text);
    return localStorage.getItem(key) === text;
  } catch {
    return false;
  }
}
