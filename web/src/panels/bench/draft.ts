/** What is being measured, kept letter by letter in the browser, so that a reload takes none of it. */

import { signal } from "@preact/signals";

/** Pulse and angle as they are typed. */
export type Row = readonly [pulse: string, angle: string];

interface Draft {
  readonly at: number;
  readonly rows: readonly Row[];
}

type Drafts = Readonly<Record<string, Draft>>;

const KEY = "posekit:measured";
const MOST = 24; // tables of other props and servo types; the one that was touched longest ago goes

const drafts = signal(read());
/** Whether the browser took what was typed last. */
export const kept = signal(true);

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

export function keepRows(opened: string, servo: string, rows: readonly Row[]): void {
  const { [nameOf(opened, servo)]: _, ...others } = read();
  const newest = Object.entries(others).sort(([, one], [, other]) => other.at - one.at).slice(0, MOST - 1);
  const all = rows.length > 0 ? { ...Object.fromEntries(newest), [nameOf(opened, servo)]: { at: Date.now(), rows } } : Object.fromEntries(newest);
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
