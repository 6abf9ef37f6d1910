/** Notes that were not sent yet, kept by the browser where it keeps anything of a file; together with those of other tabs. */

import { batch, effect, type Signal, signal } from "@preact/signals";
import { type Kept, type Note, saidAt } from "./note";

export interface Keeping {
  readonly notes: Signal<readonly Note[]>;
  /** Whether the browser keeps them when the file is closed. */
  readonly keeps: Signal<boolean>;
  /** Whether all of them were downloaded or copied as they are now. */
  readonly out: Signal<boolean>;
  readonly by: Signal<string>;
  add(note: Note): void;
  /** Another note in the place of that with the same id. */
  replace(note: Note): void;
  remove(id: string): void;
}

interface Stored {
  readonly notes: readonly Note[];
  /** Ids of notes that were removed: a tab that still has them lets go of them. */
  readonly removed?: readonly string[];
  readonly out: boolean;
  readonly by: string;
}

/** `came` are the notes that came with the file: those are not shown a second time, unless they were revised since. */
export function keepNotes(fingerprint: string, came: readonly Kept[]): Keeping {
  const key = `posekit-notes-${fingerprint}`;
  const known = new Map(came.map((note) => [note.id, saidAt(note)]));
  const isNews = (note: Note): boolean => !((known.get(note.id) ?? -Infinity) >= saidAt(note));
  const before = stored(key);
  let all = before?.notes ?? []; // of all tabs, with those that came along
  let gone = new Set(before?.removed ?? []);
  const notes = signal<readonly Note[]>(all.filter(isNews));
  const keeps = signal(false);
  const out = signal(before?.out ?? true);
  const by = signal(before?.by ?? "");

  /** Take in what other tabs stored since. Nothing of theirs or of ours is lost but what was removed, and older words. */
  function join(): void {
    const theirs = stored(key);
    gone = new Set([...gone, ...(theirs?.removed ?? [])]);
    all = newest([...(theirs?.notes ?? []), ...all, ...notes.peek()]).filter(({ id }) => !gone.has(id));
    const shown = all.filter(isNews);
    if (sameNotes(shown, notes.peek())) return;
    out.value &&= theirs?.out ?? true;
    notes.value = shown;
  }

  function keep(): void {
    keeps.value = store(key, { notes: all, removed: [...gone], out: out.peek(), by: by.peek() });
  }

  /** Two tabs that store at once see each other's too late; then whoever misses something there stores anew. Ends: what is there only grows. */
  function lacks(theirs: Stored): boolean {
    const removed = new Set(theirs.removed);
    return !sameNotes(newest([...theirs.notes, ...all]), theirs.notes) || [...gone].some((id) => !removed.has(id));
  }

  effect(() => {
    for (const each of [notes, out, by]) void each.value; // stored whenever one of them changes
    join();
    keep();
  });
  addEventListener("storage", (event) => {
    if (event.key !== key) return;
    join();
    const theirs = stored(key);
    if (theirs && sameNotes(theirs.notes, all)) out.value = theirs.out;
    else if (!theirs || lacks(theirs)) keep();
  });

  /** The notes as they are now; all at once, for between two changes another tab may store what is half done. */
  function put(now: readonly Note[]): void {
    batch(() => {
      out.value = false;
      notes.value = now;
    });
  }

  return {
    notes,
    keeps,
    out,
    by,
    add: (note) => put([...notes.value, note]),
    replace: (note) => put(notes.value.map((each) => (each.id === note.id ? note : each))),
    remove(id) {
      gone.add(id);
      put(notes.value.filter((note) => note.id !== id));
    },
  };
}

/** Each note once, in its newest words; in the order in which they were made, so that every tab has them by the same numbers. */
function newest(notes: readonly Note[]): readonly Note[] {
  const found = new Map<string, Note>();
  for (const note of notes) {
    const before = found.get(note.id);
    if (!before || saidAt(note) >= saidAt(before)) found.set(note.id, note);
  }
  return [...found.values()].sort((one, other) => Date.parse(one.made) - Date.parse(other.made));
}

function sameNotes(some: readonly Note[], others: readonly Note[]): boolean {
  const said = new Map(others.map((note) => [note.id, saidAt(note)]));
  return some.length === said.size && some.every((note) => said.get(note.id) === saidAt(note));
}

function stored(key: string): Stored | null {
  const found = kept(key);
  if (!found || typeof found !== "object" || !("notes" in found) || !Array.isArray(found.notes)) return null;
  const { notes } = found as Stored;
  // Without a moment a note is neither newer nor older than any, itself included.
  return { ...(found as Stored), notes: notes.filter((note) => note && Number.isFinite(saidAt(note))) };
}

/** What the browser keeps there; null where that is nothing, or it keeps nothing of a file. */
export function kept(key: string): unknown {
  try {
    return JSON.parse(localStorage.getItem(key) ?? "null");
  } catch {
    return null;
  }
}

/** The keys that begin so, of what the browser keeps. */
export function keysOf(begin: string): readonly string[] {
  try {
    return Object.keys(localStorage).filter((key) => key.startsWith(begin));
  } catch {
    return [];
  }
}

export function forget(key: string): void {
  try {
    localStorage.removeItem(key);
  } catch {
    // It keeps nothing anyway.
  }
}

/** Whether the browser keeps it. */
export function store(key: string, what: unknown): boolean {
  try {
    const text = JSON.stringify(what);
    if (localStorage.getItem(key) !== text) localStorage.setItem(key, text);
    return localStorage.getItem(key) === text;
  } catch {
    return false;
  }
}
