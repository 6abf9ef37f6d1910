/** Notes that were not sent yet, kept by the browser where it keeps anything of a file. */

import { effect, type Signal, signal } from "@preact/signals";
import type { Kept, Note } from "./note";

export interface Keeping {
  readonly notes: Signal<readonly Note[]>;
  /** Whether the browser keeps them when the file is closed. */
  readonly keeps: Signal<boolean>;
  /** Whether all of them were taken out as they are now. */
  readonly out: Signal<boolean>;
  readonly by: Signal<string>;
}

interface Stored {
  readonly notes: readonly Note[];
  readonly out: boolean;
  readonly by: string;
}

/** `came` are the notes that came with the file: those need not be kept here. */
export function keepNotes(fingerprint: string, came: readonly Kept[]): Keeping {
  const key = `posekit-notes-${fingerprint}`;
  const before = stored(key);
  const known = new Set(came.map(({ id }) => id));
  const notes = signal<readonly Note[]>((before?.notes ?? []).filter(({ id }) => !known.has(id)));
  const keeps = signal(false);
  const out = signal(before?.out ?? true);
  const by = signal(before?.by ?? "");
  effect(() => {
    keeps.value = store(key, { notes: notes.value, out: out.value, by: by.value });
  });
  addEventListener("beforeunload", (event) => {
    if (!keeps.value && !out.value && notes.value.length > 0) event.preventDefault();
  });
  return { notes, keeps, out, by };
}

function stored(key: string): Stored | null {
  try {
    const found: unknown = JSON.parse(localStorage.getItem(key) ?? "null");
    return found && typeof found === "object" && "notes" in found && Array.isArray(found.notes) ? (found as Stored) : null;
  } catch {
    return null;
  }
}

function store(key: string, what: Stored): boolean {
  try {
    const text = JSON.stringify(what);
    localStorage.setItem(key, text);
    return localStorage.getItem(key) === text;
  } catch {
    return false;
  }
}
