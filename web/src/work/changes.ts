/** Changes of the work: written down before anything else, made in order, and done again if Python goes meanwhile. */

import { computed, type ReadonlySignal, type Signal, signal } from "@preact/signals";
import { type Engine, Stale } from "../engine/engine";
import type { FindingView, Methods, PropView } from "../engine/protocol";
import { reused } from "./bytes";
import { carried } from "./carried";
import { evenIfStopped, type Held } from "./held";
import type { Files, History, Values } from "./history";
import { type Ask, type Change, type Doing, freshName, type Journal, type Typed } from "./journal";
import { createQueue } from "./queue";

export type Setting = Methods["edit"]["params"]["value"];

/** Another tab edits this work; this one only shows it. */
export class Elsewhere extends Error {
  constructor() {
    super("This work is open in another tab, which makes the changes. Press “Edit here” to make them in this one.");
  }
}

export interface Changes {
  /** What was typed for keys of the prop file and is not judged yet. */
  readonly typed: ReadonlySignal<ReadonlyMap<string, Setting>>;
  /** How many things wait for Python; all changes among them are written down. */
  readonly waiting: Signal<number>;
  /** How many of them undo can take back. */
  readonly changes: ReadonlySignal<number>;
  /** How many changes could not be written down and are not made yet. */
  readonly unwritten: Signal<number>;
  setValue(drive: string, value: number, merge?: string): void;
  setValues(label: string, values: Values, merge?: string): void;
  /** Set a drive as it was typed in a unit. Answers what there is to tell about that; null if it stands as typed. */
  typeValue(drive: string, text: string, unit: Typed["unit"]): Promise<string | null>;
  /** Set one key of the prop file. Rejects with Refused and leaves all as it was. `soon`: more is being typed. */
  edit(path: string, value: Setting, merge?: string, soon?: boolean): Promise<void>;
  /**
   * Any other change of the prop that Python makes; written down at once, made as soon as Python comes to it. `path`
   * is the file beside prop.toml that comes, changes or goes; "all" if it may be any. Rejects with Refused.
   */
  change<M extends Change>(label: string, method: M, params: Methods[M]["params"], path?: string, merge?: string): Promise<void>;
  undo(): string | null;
  redo(): string | null;
  /** End what waits here; what is written down is made by the tab that edits from now on. */
  letGo(): void;
}

/** The same, with what only those need who put another prop on the bench or bring back one that was left. */
export interface Changing extends Changes {
  /** Something that takes its turn among the changes of the prop, and is done again if Python goes meanwhile. */
  inTurn<T>(label: string, run: (still: () => boolean) => Promise<T>): Promise<T>;
  /** Do what was written down and is not in the work yet. */
  doAgain(doings: readonly Doing[]): void;
  /** Go on, after Python is back. */
  goOn(): void;
}

/** `mine` is false while another tab edits this work. `failed` hears of problems, `told` of what a change did besides. */
export function createChanges(
  past: History,
  engine: Engine,
  held: Held,
  journal: Journal,
  mine: Signal<boolean>,
  failed: (problem: unknown) => void,
  told: (findings: readonly FindingView[], title: string) => void,
): Changing {
  const typed = signal<ReadonlyMap<string, Setting>>(new Map());
  const queue = createQueue();
  const unwritten = signal(0);
  // On a bench with nothing on it the prop that comes first is no change: without it there is nothing to do.
  const changes = computed(() => Math.max(queue.length.value - (past.record.value.work.opened ? 0 : 1), 0));
  const pending = new Map<string, { readonly as: string; readonly done: Promise<unknown> }>();
  const lost = new Set<string>(); // doings that the journal did not take

  function write(doing: Doing): void {
    if (journal.put(doing)) return;
    lost.add(doing.id);
    unwritten.value = lost.size;
  }

  /** A doing has become part of the work (`applied`) or came to nothing. */
  function over(id: string, applied: boolean): void {
    if (applied) journal.applied(id);
    else journal.forget([id]);
    if (lost.delete(id)) unwritten.value = lost.size;
  }

  async function inTurn<T>(label: string, run: (still: () => boolean) => Promise<T>): Promise<T> {
    if (!mine.value) throw new Elsewhere();
    let result: T | undefined;
    await queue.add({ label, run: async (still) => void (result = await run(still)), dropped: () => undefined });
    return result as T;
  }

  async function perform({ id, label, method, params, path, merge }: Ask, still: () => boolean): Promise<void> {
    const before = past.work().files;
    const view = await engine.bring(method, params);
    const files = await filesAfter(before, view, path);
    if (!still()) return held.giveBack();
    if (files === before) {
      held.prop.value = view;
      over(id, false);
      return;
    }
    const drawn = held.prop.peek()?.drawn;
    const values = carried(past.work().values, held.prop.peek()?.drives ?? [], view.drives);
    held.adopt(label, view, { files, values }, merge);
    over(id, true);
    told(view.told, "Figures of another unit");
    await evenIfStopped(view.drawn === drawn ? held.fit() : held.fit().then(held.draw));
  }

  /** The files after a change; those that did not change stay the very ones of the work. */
  async function filesAfter(before: Files, view: PropView, path: string | undefined): Promise<Files> {
    const files: Record<string, Uint8Array<ArrayBuffer>> = { ...before, "prop.toml": new TextEncoder().encode(view.text) };
    if (path === "all") return reused(await engine.ask("files", {}), before);
    if (path !== undefined) {
      const changed = await engine.ask("file", { path });
      if (changed) files[path] = changed;
      else delete files[path];
    }
    return reused(files, before);
  }

  function ask(doing: Ask & { readonly opened: string }, soon = false): Promise<void> {
    const key = doing.merge === undefined ? undefined : JSON.stringify([doing.method, doing.merge]);
    return queue.add({ label: doing.label, key, soon, run: (still) => perform(doing, still), dropped: () => over(doing.id, false) });
  }

  async function read({ id, drive, text, unit }: Typed): Promise<string | null> {
    let notice: string | null = null;
    const label = `Move ${drive}`;
    async function run(still: () => boolean): Promise<void> {
      const found = await engine.ask("typed", { drive, text, unit });
      if (!still()) return;
      notice = found.notice;
      const { values } = past.work();
      const moves = found.value !== null && found.value !== values[drive];
      if (moves) past.change(label, { values: { ...values, [drive]: found.value as number } });
      over(id, moves);
    }
    await queue.add({ label, run, dropped: () => over(id, false) });
    return notice;
  }

  /** What waits for an answer already, typed once more as it is, waits for the same one. */
  function once<T>(what: string, as: unknown, begin: () => Promise<T>): Promise<T> {
    const before = pending.get(what);
    if (before?.as === JSON.stringify(as)) return before.done as Promise<T>;
    const now = { as: JSON.stringify(as), done: begin() };
    pending.set(what, now);
    const over = (): void => void (pending.get(what) === now && pending.delete(what));
    now.done.then(over, over);
    return now.done;
  }

  function setValues(label: string, values: Values, merge?: string): void {
    if (!mine.value) {
      failed(new Elsewhere());
      return;
    }
    const id = freshName();
    write({ id, opened: past.work().opened, kind: "values", label, values, merge });
    past.change(label, { values: { ...past.work().values, ...values } }, merge);
    over(id, true);
  }

  function step(way: "undo" | "redo"): string | null {
    if (!mine.value) {
      failed(new Elsewhere());
      return null;
    }
    if (way === "undo" && changes.value > 0) {
      const label = queue.takeBack(); // null where the newest is made, and only being drawn
      if (label) return label;
    }
    const id = freshName();
    write({ id, opened: past.work().opened, kind: "step", way });
    const label = past[way]();
    over(id, true);
    return label;
  }

  function doAgain(doings: readonly Doing[]): void {
    for (const doing of doings) {
      const { opened } = past.work();
      if (doing.opened !== opened) {
        journal.forget([doing.id]);
        failed(new Error("A change made just before this page was left was for another prop and could not be brought back."));
      } else if (doing.kind === "typed") read(doing).then((notice) => notice && failed(new Error(notice)), failed);
      else if (doing.kind === "ask") ask(doing).catch((problem: unknown) => problem instanceof Stale || failed(problem));
      else {
        if (doing.kind === "values") past.change(doing.label, { values: { ...past.work().values, ...doing.values } }, doing.merge);
        else past[doing.way]();
        journal.applied(doing.id);
      }
    }
  }

  return {
    typed,
    waiting: queue.length,
    changes,
    unwritten,

    setValue(drive, value, merge) {
      if (past.work().values[drive] !== value) setValues(`Move ${drive}`, { [drive]: value }, merge);
    },

    setValues,

    typeValue(drive, text, unit) {
      if (!mine.value) return Promise.reject(new Elsewhere());
      return once(`value ${drive}`, [text, unit], () => {
        const doing: Doing = { id: freshName(), opened: past.work().opened, kind: "typed", drive, text, unit };
        write(doing);
        return read(doing);
      });
    },

    edit(path, value, merge = path, soon = false) {
      if (!mine.value) return Promise.reject(new Elsewhere());
      return once(path, value, () => {
        const doing: Doing = { id: freshName(), opened: past.work().opened, kind: "ask", label: `Set ${path}`, method: "edit", params: { path, value }, merge };
        write(doing);
        typed.value = new Map(typed.value).set(path, value);
        return ask(doing, soon).finally(() => {
          if (typed.value.get(path) === value) typed.value = new Map([...typed.value].filter(([other]) => other !== path));
        });
      });
    },

    change(label, method, params, path, merge) {
      if (!mine.value) return Promise.reject(new Elsewhere());
      const doing: Doing = { id: freshName(), opened: past.work().opened, kind: "ask", label, method, params, path, merge };
      // Bytes come from a file that is kept in another place until it is taken.
      if (!Object.values(params).some((each) => each instanceof Uint8Array)) write(doing);
      past.settle();
      return ask(doing);
    },

    undo: () => step("undo"),
    redo: () => step("redo"),

    letGo: queue.clear,
    inTurn,
    doAgain,
    goOn: queue.resume,
  };
}
