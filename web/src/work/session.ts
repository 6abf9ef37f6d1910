/** One sitting at the bench: the work on the page and the prop that Python holds, kept in step. */

import { reused, textIfAllElse } from "./bytes";
import { createChoice } from "./choice";
import { computed, type ReadonlySignal, type Signal, signal } from "@preact/signals";
import { Engine, type Progress, Refused, Stale, Stopped } from "../engine/engine";
import type { DriveView, FindingView, Methods, PoseView, PropView } from "../engine/protocol";
import { type Bench, fresh, type Files, type History, history, type Origin, type Values, type Work } from "./history";
import { type Ask, type Change, type Doing, freshName, type Journal, type Typed } from "./journal";
import { createQueue } from "./queue";

type Picture = Uint8Array<ArrayBuffer>;
export type Setting = Methods["edit"]["params"]["value"];

/** Another tab edits this work; this one only shows it. */
export class Elsewhere extends Error {
  constructor() {
    super("This work is open in another tab, which makes the changes. Press “Edit here” to make them in this one.");
  }
}

/** How a prop is opened. */
export interface Opening {
  /** Values of others, which are fitted to the drives. */
  readonly values?: Values | undefined;
  readonly origin?: Origin | undefined;
}

export interface Session {
  readonly history: History;
  readonly engine: Engine;
  readonly progress: Signal<Progress>;
  /** The open prop, its pose at the current values, and its GLB for the picture. */
  readonly prop: Signal<PropView | null>;
  readonly pose: Signal<PoseView | null>;
  readonly picture: Signal<Picture | null>;
  /** The joint that row and picture point out, and the drive that is meant by it. */
  readonly chosen: Signal<string | null>;
  readonly drive: ReadonlySignal<DriveView | null>;
  chooseDrive(name: string): void;
  /** Which prop is on the bench, through all its changes: what was found out of one is not of another. */
  readonly opened: ReadonlySignal<string>;
  /** What was typed for keys of the prop file and is not judged yet. */
  readonly typed: ReadonlySignal<ReadonlyMap<string, Setting>>;
  /** How many changes wait for Python; all of them are written down. */
  readonly waiting: Signal<number>;
  /** How many changes could not be written down and are not made yet. */
  readonly unwritten: Signal<number>;

  values(): Values;
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
  /**
   * Put another prop on the bench; undo brings the old one back. Rejects with Refused and changes nothing. Answers
   * what there is to tell about values that did not fit.
   */
  open(folder: string, files: Files, how?: Opening): Promise<readonly FindingView[]>;
  openGlb(name: string, glb: Uint8Array<ArrayBuffer>): Promise<void>;
  /** Take a bench as it was left, and what was done to it after it was kept. */
  resume(bench: Bench | null, doings: readonly Doing[]): void;
  /** Stay with the prop as it is here, though it is served otherwise, at this address, by now. */
  stay(address: string): void;
  /** End what waits here; what is written down is made by the tab that edits from now on. */
  letGo(): void;
  restart(): Promise<void>;
}

const EMPTY: Work = { folder: "", files: {}, values: {}, opened: "" };

/** `mine` is false while another tab edits this work. `failed` hears of problems, `told` of what changed by itself. */
export function createSession(
  journal: Journal,
  mine: Signal<boolean>,
  failed: (problem: unknown) => void,
  told: (findings: readonly FindingView[]) => void,
): Session {
  const past = history(fresh(EMPTY));
  const progress = signal<Progress>({ stage: "starting", done: 0, total: 0 });
  const engine = new Engine((now) => (progress.value = now));
  const prop = signal<PropView | null>(null);
  const pose = signal<PoseView | null>(null);
  const picture = signal<Picture | null>(null);
  const { joint: chosen, drive, chooseDrive } = createChoice(prop);
  const typed = signal<ReadonlyMap<string, Setting>>(new Map());
  const queue = createQueue();
  const unwritten = signal(0);
  const pending = new Map<string, { readonly as: string; readonly done: Promise<unknown> }>();
  const lost = new Set<string>(); // doings that the journal did not take
  let held: Pick<Work, "folder" | "files"> | null = null; // what Python has open, or has been sent

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

  /** A change that Python made itself: what it has open now is what stands on the bench. */
  function adopt(label: string, view: PropView, change: Partial<Work> & Pick<Work, "files">, merge?: string): void {
    const work = { ...past.work(), ...change };
    held = work;
    // The work first: whoever hears of another prop looks there for what it is.
    if (past.work().files === EMPTY.files) past.record.value = fresh(work);
    else past.change(label, change, merge);
    prop.value = view;
  }

  /** Bring Python to where the work is. */
  async function follow(): Promise<void> {
    const { folder, files } = past.work();
    if (files === EMPTY.files) return;
    try {
      if (files !== held?.files) {
        const text = held?.folder === folder ? textIfAllElse(files, held.files) : null;
        held = { folder, files };
        const view =
          text === null ? await engine.ask("open", { files, name: folder }) : await engine.ask("rewrite", { text });
        if (held?.files !== files) return;
        prop.value = view;
        await fit();
        await draw();
      }
      pose.value = await engine.ask("pose", { values: past.work().values });
    } catch (problem) {
      if (problem instanceof Refused) held = null;
      if (!(problem instanceof Stale || problem instanceof Stopped)) failed(problem);
    }
  }

  /** Values that were kept may be none that the drives can be sent; Python knows. */
  async function fit(): Promise<void> {
    const { values, opened } = past.work();
    const fitted = await engine.ask("fit", { values });
    if (fitted.findings.length === 0 || past.work().values !== values || past.work().opened !== opened) return;
    past.record.value = { ...past.record.value, work: { ...past.work(), values: fitted.values } };
    told(fitted.findings);
  }

  async function draw(): Promise<void> {
    picture.value = (await engine.ask("scene", {})).data;
  }

  past.record.subscribe(() => void follow());

  /** Something that takes its turn among the changes of the prop, and is done again if Python goes meanwhile. */
  async function inTurn<T>(label: string, run: (still: () => boolean) => Promise<T>): Promise<T> {
    if (!mine.value) throw new Elsewhere();
    let result: T | undefined;
    await queue.add({ label, run: async (still) => void (result = await run(still)), dropped: () => undefined });
    return result as T;
  }

  async function begin(still: () => boolean, view: PropView, work: Pick<Work, "folder" | "files" | "values" | "origin">): Promise<void> {
    if (!still()) return giveBack();
    chosen.value = null;
    adopt(`Open ${work.folder}`, view, { ...work, opened: freshName() });
    await evenIfStopped(draw());
  }

  /** Python has something open that is not on the bench: bring it back. */
  function giveBack(): void {
    held = null;
    void follow();
  }

  async function perform({ id, label, method, params, path, merge }: Ask, still: () => boolean): Promise<void> {
    const before = past.work().files;
    const view = await engine.ask(method, params);
    const files = await filesAfter(before, view, path);
    if (!still()) return giveBack();
    if (files === before) {
      prop.value = view;
      over(id, false);
      return;
    }
    adopt(label, view, { files }, merge);
    over(id, true);
    await evenIfStopped(fit());
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
    if (way === "undo" && queue.length.value > 0) {
      const label = queue.takeBack(); // null where the newest is made, and only being drawn
      if (label) return label;
    }
    const id = freshName();
    write({ id, opened: past.work().opened, kind: "step", way });
    const label = past[way]();
    over(id, true);
    return label;
  }

  return {
    history: past,
    engine,
    progress,
    prop,
    pose,
    picture,
    chosen,
    drive,
    chooseDrive,
    typed,
    opened: computed(() => past.record.value.work.opened),
    waiting: queue.length,
    unwritten,

    values: () => past.work().values,

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

    open(folder, files, { values, origin } = {}) {
      return inTurn(`Open ${folder}`, async (still) => {
        try {
          const view = await engine.ask("open", { files, name: folder });
          const fitted = values ? await engine.ask("fit", { values }) : { values: view.values, findings: [] };
          await begin(still, view, { folder, files, values: fitted.values, origin });
          return fitted.findings;
        } catch (problem) {
          giveBack(); // Python may have let go of the old prop, and a pose may be asked for
          throw problem;
        }
      });
    },

    openGlb: (name, glb) =>
      inTurn(`Open ${name}`, async (still) => {
        const view = await engine.ask("open_glb", { glb, name });
        await begin(still, view, { folder: name, files: await engine.ask("files", {}), values: view.values, origin: undefined });
      }),

    resume(bench, doings) {
      if (bench) {
        const opened = bench.work.opened ?? "";
        past.record.value = { ...bench, work: { ...bench.work, opened, files: reused(bench.work.files, past.work().files) } };
      }
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
    },

    stay(address) {
      const { work, ...steps } = past.record.value;
      if (work.origin) past.record.value = { ...steps, work: { ...work, origin: { ...work.origin, address } } };
    },

    letGo: queue.clear,

    async restart() {
      engine.restart();
      held = null;
      await follow();
      queue.resume();
    },
  };
}

/** What follows a change that is made: if Python goes meanwhile it comes with the restart, and the change is not made twice. */
async function evenIfStopped(after: Promise<void>): Promise<void> {
  await after.catch((problem: unknown) => {
    if (!(problem instanceof Stopped)) throw problem;
  });
}
