/** One sitting at the bench: the work on the page and the prop that Python holds, kept in step. */

import { computed, type ReadonlySignal, type Signal, signal } from "@preact/signals";
import { Engine, type Made } from "../engine/engine";
import type { Progress } from "../engine/messages";
import type { DriveView, FindingView, Methods, PropView } from "../engine/protocol";
import { reused } from "./bytes";
import { type Changes, createChanges } from "./changes";
import { createChoice } from "./choice";
import { createHeld, evenIfStopped, type Held, type Picture } from "./held";
import { type Bench, EMPTY, fresh, type Files, type History, history, type Origin, type Values, type Work } from "./history";
import { type Doing, freshName, type Journal } from "./journal";

/** How a prop is opened. */
export interface Opening {
  /** Values of others, which are fitted to the drives. */
  readonly values?: Values | undefined;
  readonly origin?: Origin | undefined;
}

export interface Session extends Changes, Pick<Held, "prop" | "pose" | "picture" | "linkages" | "follows"> {
  readonly history: History;
  readonly engine: Engine;
  /** Ask for what leaves the page, of the prop on the bench or of that which stood when it was asked: a file, a text to paste. Rejects as the engine's. */
  make<M extends Made>(method: M, params: Methods[M]["params"], of?: string): Promise<Methods[M]["result"]>;
  readonly progress: Signal<Progress>;
  /** The part that list and picture point out, the joint that carries it where that moves, the drive that is meant by it. */
  readonly part: Signal<string | null>;
  readonly chosen: Signal<string | null>;
  readonly drive: ReadonlySignal<DriveView | null>;
  chooseDrive(name: string): void;
  /** Which prop is on the bench, through all its changes: what was found out of one is not of another. */
  readonly opened: ReadonlySignal<string>;
  values(): Values;
  /**
   * Put another prop on the bench; undo brings the old one back. Rejects with Refused and changes nothing. Answers
   * what there is to tell about values that did not fit.
   */
  open(folder: string, files: Files, how?: Opening): Promise<readonly FindingView[]>;
  openGlb(name: string, glb: Uint8Array<ArrayBuffer>): Promise<void>;
  /** Take these files of the prop on the bench, which stays the same one. Rejects with Refused and changes nothing. */
  retake(label: string, files: Files, origin: Origin): Promise<void>;
  /** Take a bench as it was left, and what was done to it after it was kept. */
  resume(bench: Bench | null, doings: readonly Doing[]): void;
  /** Stay with the prop as it is here, though it is served otherwise, at this address, by now. */
  stay(address: string): void;
  restart(): Promise<void>;
}

/**
 * `mine` is false while another tab edits this work. `ready` gives the picture of a work that Python need not make, or
 * null. `failed` hears of problems, `told` of what changed by itself.
 */
export function createSession(
  journal: Journal,
  mine: Signal<boolean>,
  ready: (work: Work) => Promise<Picture | null>,
  failed: (problem: unknown) => void,
  told: (findings: readonly FindingView[], title?: string) => void,
): Session {
  const past = history(fresh(EMPTY));
  const progress = signal<Progress>({ stage: "starting", done: 0, total: 0 });
  const engine = new Engine((now) => (progress.value = now));
  const held = createHeld(past, engine, ready, failed, told);
  const { inTurn, doAgain, goOn, ...changes } = createChanges(past, engine, held, journal, mine, failed, told);
  const { prop, pose, picture, linkages } = held;
  const { part, joint: chosen, drive, chooseDrive } = createChoice(prop);

  async function begin(still: () => boolean, view: PropView, work: Pick<Work, "folder" | "files" | "values" | "origin" | "opened">): Promise<void> {
    if (!still()) return held.giveBack();
    part.value = null;
    held.adopt(`Open ${work.folder}`, view, work);
    await evenIfStopped(held.draw());
  }

  return {
    ...changes,
    history: past,
    engine,
    make: (method, params, of = past.work().opened) => engine.make(method, params, of),
    progress,
    prop,
    pose,
    picture,
    linkages,
    follows: held.follows,
    part,
    chosen,
    drive,
    chooseDrive,
    opened: computed(() => past.record.value.work.opened),

    values: () => past.work().values,

    open(folder, files, { values, origin } = {}) {
      return inTurn(`Open ${folder}`, async (still) => {
        const opened = freshName();
        try {
          const view = await engine.bring("open", { files, name: folder }, opened);
          const fitted = values ? await engine.ask("fit", { values }) : { values: view.values, findings: [] };
          await begin(still, view, { folder, files, values: fitted.values, origin, opened });
          return fitted.findings;
        } catch (problem) {
          held.giveBack(); // Python may have let go of the old prop, and a pose may be asked for
          throw problem;
        }
      });
    },

    openGlb: (name, glb) =>
      inTurn(`Open ${name}`, async (still) => {
        const opened = freshName();
        const view = await engine.bring("open_glb", { glb, name }, opened);
        await begin(still, view, { folder: name, files: await engine.ask("files", {}), values: view.values, origin: undefined, opened });
      }),

    retake: (label, files, origin) =>
      inTurn(label, async (still) => {
        try {
          const { folder, opened } = past.work();
          const view = await engine.bring("open", { files, name: folder }, opened);
          if (!still()) return held.giveBack();
          past.settle();
          held.adopt(label, view, { files });
          past.rebase(origin);
        } catch (problem) {
          held.giveBack();
          throw problem;
        }
        await evenIfStopped(held.fit().then(held.draw));
      }),

    resume(bench, doings) {
      if (bench) {
        const opened = bench.work.opened ?? "";
        past.record.value = { ...bench, work: { ...bench.work, opened, files: reused(bench.work.files, past.work().files) } };
      }
      doAgain(doings);
    },

    stay(address) {
      const { work, ...steps } = past.record.value;
      if (work.origin) past.record.value = { ...steps, work: { ...work, origin: { ...work.origin, address } } };
    },

    async restart() {
      engine.restart();
      held.forget();
      await held.follow();
      goOn();
    },
  };
}
