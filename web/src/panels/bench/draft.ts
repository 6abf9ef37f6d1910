/** What is being measured, kept letter by letter in the browser, so that a reload takes none of it. */

import { signal } from "@preact/signals";

/** Pulse and angle as they are typed. */
export type Row = readonly [pulse: string, angle: string];

interface Draft {
  readonly at: number;
  readonly rows: readonly Row[];
  /** The name of its prop. Tables of earlier versions have none. */
  readonly prop?: string;
}

/** A table that this browser keeps. */
export interface Kept extends Draft {
  readonly key: string;
  readonly servo: string;
}

type Drafts = Readonly<Record<string, Draft>>;

const KEY = "posekit:measured";
/** How many tables of props and servo types are kept. None goes by itself: it may be the only copy of an evening's work. */
export const MOST = 24;

const drafts = signal(read());
/** Whether the browser took what was typed last. */
export const kept = signal(true);
/** How often a table more found no room, since one was let go of. */
export const full = signal(0);

addEventListener("storage", ({ key }) => {
  if (key === KEY) drafts.value = read(); // another tab has measured
});

export function rowsOf(opened: string, servo: string): readonly Row[] {
  return drafts.value[nameOf(opened, servo)]?.rows ?? [];
}

/** The servo types of a prop for which something stands in a table. */
export function measuredOf(opened: string): readonly string[] {
  const begin = nameOf(opened, "");
  return Object.entries(drafts.value).flatMap(([name, { rows }]) => (name.startsWith(begin) && rows.length > 0 ? [name.slice(begin.length)] : []));
}

/** All tables that are kept, the one that was touched longest ago first. */
export function keptTables(): readonly Kept[] {
  const all = Object.entries(drafts.value).map(([key, draft]) => ({ ...draft, key, servo: key.slice(key.indexOf(" ") + 1) }));
  return all.sort((one, other) => one.at - other.at);
}

/** Let go of a table, for good. */
export function letGo(key: string): void {
  const { [key]: _, ...others } = read();
  keep(others);
  full.value = 0;
}

/** Keep a table as it is now. Answers whether there was room for it. */
export function keepRows(opened: string, servo: string, rows: readonly Row[], prop: string): boolean {
  const { [nameOf(opened, servo)]: own, ...others } = read();
  if (rows.length > 0 && !own && Object.keys(others).length >= MOST) {
    drafts.value = others;
    full.value += 1;
    return false;
  }
  keep(rows.length > 0 ? { ...others, [nameOf(opened, servo)]: { at: Date.now(), rows, prop } } : others);
  return true;
}

function keep(all: Drafts): void {
  drafts.value = all;
  try {
    localStorage.setItem(KEY, JSON.stringify(all));
    kept.value = true;
  } catch {
    kept.value = false; // full, or switched off
  }
}

function nameOf(opened: string, servo: string): string {
  return `${opened} ${servo}`;
}

function read(): Drafts {
  try {
    return JSON.parse(localStorage.getItem(KEY) ?? "{}") as Drafts;
  } catch {
    return {};
  }
}
