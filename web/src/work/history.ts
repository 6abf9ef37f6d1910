/** The work on the bench: one prop, the values it stands at, and what was made with it. Undo holds for all of it. */

import { type Signal, signal } from "@preact/signals";

/** A prop folder: bytes by path from it. `prop.toml` is one of them and the one source of calibration. */
export type Files = Readonly<Record<string, Uint8Array<ArrayBuffer>>>;
/** Value of each drive, in its own bits, by name; a drive left out stands at its rest value. */
export type Values = Readonly<Record<string, number>>;

export interface Work {
  /** Name of the prop folder. */
  readonly folder: string;
  readonly files: Files;
  readonly values: Values;
  /** Which prop this is, from the moment it was opened and through all its changes; what was found out belongs to it. */
  readonly opened: string;
  /** Where it was opened from, and as what, if this site served it. */
  readonly origin?: Origin | undefined;
}

/** No prop yet. */
export const EMPTY: Work = { folder: "", files: {}, values: {}, opened: "" };

/**
 * A prop as a site served it: the address of its folder, which changes with what it holds, and the files. Where it is
 * the builder's own on disk, `place` stands for where, and the files are those that are there as far as is known here.
 */
export interface Origin {
  readonly address: string;
  readonly files: Files;
  readonly place?: string | undefined;
}

interface Step {
  readonly label: string;
  readonly work: Work;
}

/** What stands on the bench: the work and its history, all of which outlives a reload. `label` of a step names the change that led away from its work. */
export interface Bench {
  readonly work: Work;
  readonly past: readonly Step[];
  readonly future: readonly Step[];
}

export interface History {
  readonly record: Signal<Bench>;
  work(): Work;
  /** Put a change on the bench. Changes in a row with the same `merge` are one step of undo. */
  change(label: string, change: Partial<Work>, merge?: string): void;
  /** End a run of merged changes: the next one is a step of its own. */
  settle(): void;
  undo(): string | null;
  redo(): string | null;
  /** Put work below what stands on the bench, so that undo comes to it. */
  beneath(label: string, work: Work): void;
  /** Where the prop on the bench came from it stands so by now: all its steps know, and none goes back behind that. */
  rebase(origin: Origin): void;
}

const MOST_STEPS = 200;

export function history(start: Bench): History {
  const record = signal(start);
  let merging: string | null = null;

  return {
    record,
    work: () => record.value.work,

    change(label, change, merge) {
      const { work, past } = record.value;
      const next = { ...work, ...change };
      const merged = merge !== undefined && merge === merging;
      merging = merge ?? null;
      record.value = {
        work: next,
        past: merged ? past : [...past, { label, work }].slice(-MOST_STEPS),
        future: [],
      };
    },

    settle() {
      merging = null;
    },

    beneath(label, work) {
      merging = null;
      const { past, ...rest } = record.value;
      record.value = { ...rest, past: [...past, { label, work }].slice(-MOST_STEPS) };
    },

    rebase(origin) {
      const { work, past, future } = record.value;
      const based = (each: Work): Work => (each.opened === work.opened ? { ...each, origin } : each);
      const step = ({ label, work }: Step): Step => ({ label, work: based(work) });
      record.value = { work: based(work), past: past.map(step), future: future.map(step) };
    },

    undo() {
      const { work, past, future } = record.value;
      const step = past.at(-1);
      if (!step) return null;
      merging = null;
      record.value = { work: step.work, past: past.slice(0, -1), future: [{ label: step.label, work }, ...future] };
      return step.label;
    },

    redo() {
      const { work, past, future } = record.value;
      const step = future[0];
      if (!step) return null;
      merging = null;
      record.value = { work: step.work, past: [...past, { label: step.label, work }], future: future.slice(1) };
      return step.label;
    },
  };
}

/** Work that was just opened: nothing to undo. */
export function fresh(work: Work): Bench {
  return { work, past: [], future: [] };
}
