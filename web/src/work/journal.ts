/**
 * What was done at a bench and is not in what is kept of it yet. It is written down at once, before anything is
 * judged or worked out, so that neither a reload nor a worker that dies takes it away.
 */

import type { Method } from "../engine/messages";
import type { Methods, PropView } from "../engine/protocol";
import type { Values } from "./history";

/** The requests that change the prop. */
export type Change = { [M in Method]: Methods[M]["result"] extends PropView ? M : never }[Method];

/** A change that Python makes. `path` is the file beside prop.toml that comes, changes or goes; "all" if many may. */
export interface Ask<M extends Change = Change> {
  readonly id: string;
  readonly kind: "ask";
  readonly label: string;
  readonly method: M;
  readonly params: Methods[M]["params"];
  readonly path?: string | undefined;
  readonly merge?: string | undefined;
}

/** A value of a drive as it was typed, in the unit that was shown; Python reads it. */
export interface Typed {
  readonly id: string;
  readonly kind: "typed";
  readonly drive: string;
  readonly text: string;
  readonly unit: Methods["typed"]["params"]["unit"];
}

/** `opened` names the prop that it was done to. */
export type Doing = { readonly opened: string } & (
  | Ask
  | Typed
  | { readonly id: string; readonly kind: "values"; readonly label: string; readonly values: Values; readonly merge?: string | undefined }
  | { readonly id: string; readonly kind: "step"; readonly way: "undo" | "redo" }
);

export interface Journal {
  /** Write it down. False if the browser takes nothing. */
  put(doing: Doing): boolean;
  /** It is in the work now: what is kept of the bench next has it. */
  applied(id: string): void;
  /** Those that are in the work and still stand here. */
  settled(): readonly string[];
  /** What is kept has them, or they came to nothing. */
  forget(ids: readonly string[]): void;
  /** What another tab, or this one before a reload, left here. */
  left(): readonly Doing[];
}

export function createJournal(bench: string): Journal {
  const key = `posekit:typed:${bench}`;
  let doings: Doing[] = [];
  const done = new Set<string>();

  function write(): boolean {
    try {
      if (doings.length === 0) localStorage.removeItem(key);
      else localStorage.setItem(key, JSON.stringify(doings));
      return true;
    } catch {
      return false; // full, or switched off
    }
  }

  return {
    put(doing) {
      const last = doings.at(-1);
      const over = last?.kind === "values" && doing.kind === "values" && doing.merge !== undefined && last.merge === doing.merge;
      if (over && last.opened === doing.opened) doings = [...doings.slice(0, -1), { ...doing, values: { ...last.values, ...doing.values } }];
      else doings = [...doings, doing];
      return write();
    },
    applied: (id) => void done.add(id),
    settled: () => doings.map(({ id }) => id).filter((id) => done.has(id)),
    forget(ids) {
      const gone = new Set(ids);
      if (!doings.some(({ id }) => gone.has(id))) return;
      doings = doings.filter(({ id }) => !gone.has(id));
      for (const id of ids) done.delete(id);
      write();
    },
    left() {
      try {
        doings = JSON.parse(localStorage.getItem(key) ?? "[]") as Doing[];
      } catch {
        doings = []; // nothing can be read, so nothing was left
      }
      done.clear();
      return doings;
    },
  };
}

let count = 0;

/** A name that no other doing, file or bench in this browser has. */
export function freshName(): string {
  count += 1;
  return `${Date.now().toString(36)}-${count.toString(36)}-${Math.random().toString(36).slice(2, 8)}`;
}
