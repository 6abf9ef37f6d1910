/** What Python holds of the work, kept in step with it: the prop as it reads it, its pose and its picture. */

import { type Signal, signal } from "@preact/signals";
import { type Engine, Refused, Stopped } from "../engine/engine";
import type { FindingView, PoseView, PropView } from "../engine/protocol";
import { textIfAllElse } from "./bytes";
import { EMPTY, fresh, type History, type Work } from "./history";

export type Picture = Uint8Array<ArrayBuffer>;

export interface Held {
  /** The open prop, its pose at the current values, and its GLB for the picture. */
  readonly prop: Signal<PropView | null>;
  readonly pose: Signal<PoseView | null>;
  readonly picture: Signal<Picture | null>;
  /** Whether poses come with the bodies of the linkages. */
  readonly linkages: Signal<boolean>;
  /** Bring Python to where the work is. */
  follow(): Promise<void>;
  /** Whether it is on the way there, be it only for a picture that the site serves. */
  follows(): boolean;
  /** Values that were kept may be none that the drives can be sent; Python knows. */
  fit(): Promise<void>;
  draw(): Promise<void>;
  /** A change that Python made itself: what it has open now is what stands on the bench. */
  adopt(label: string, view: PropView, change: Partial<Work> & Pick<Work, "files">, merge?: string): void;
  /** Python has something open that is not on the bench: bring it back. */
  giveBack(): void;
  /** A new worker holds nothing. */
  forget(): void;
}

/** `ready` gives the picture of a work that nobody has to make; `failed` hears of problems, `told` of values that changed by themselves. */
export function createHeld(
  past: History,
  engine: Engine,
  ready: (work: Work) => Promise<Picture | null>,
  failed: (problem: unknown) => void,
  told: (findings: readonly FindingView[]) => void,
): Held {
  const prop = signal<PropView | null>(null);
  const pose = signal<PoseView | null>(null);
  const picture = signal<Picture | null>(null);
  const linkages = signal(false);
  let held: Pick<Work, "folder" | "files" | "opened"> | null = null; // what Python has open, or has been sent
  let following = 0; // how often at once

  async function follow(): Promise<void> {
    const { folder, files, opened } = past.work();
    if (files === EMPTY.files) return;
    following += 1;
    try {
      if (files !== held?.files || opened !== held.opened) {
        const text = held?.folder === folder ? textIfAllElse(files, held.files) : null;
        held = { folder, files, opened };
        engine.overtake(); // the bench is ahead of Python
        const view =
          text === null ? await engine.bring("open", { files, name: folder }, opened) : await engine.bring("rewrite", { text }, opened);
        if (held?.files !== files || held.opened !== opened) return;
        prop.value = view;
        await fit();
        await draw();
      }
      const posed = await engine.ask("pose", { values: past.work().values, linkages: linkages.value });
      if (past.work().opened === opened) pose.value = posed;
    } catch (problem) {
      if (problem instanceof Refused) held = null;
      failed(problem);
    } finally {
      following -= 1;
    }
  }

  async function fit(): Promise<void> {
    const { values, opened } = past.work();
    const fitted = await engine.ask("fit", { values });
    if (fitted.findings.length === 0 || past.work().values !== values || past.work().opened !== opened) return;
    past.record.value = { ...past.record.value, work: { ...past.work(), values: fitted.values } };
    told(fitted.findings);
  }

  async function draw(): Promise<void> {
    const work = past.work();
    const made = await ready(work);
    const drawn = made ?? (await engine.ask("scene", {})).data;
    // Only while it is still of this prop, and what was made already of these files; of one that came meanwhile whoever
    // brought it draws.
    const now = past.work();
    if (now.opened === work.opened && (!made || now.files === work.files)) picture.value = drawn;
  }

  past.record.subscribe(() => void follow());
  linkages.subscribe(() => void follow());

  return {
    prop,
    pose,
    picture,
    linkages,
    follow,
    follows: () => following > 0,
    fit,
    draw,

    adopt(label, view, change, merge) {
      const work = { ...past.work(), ...change };
      held = work;
      engine.overtake(); // Python was ahead of the bench
      // The work first: whoever hears of another prop looks there for what it is.
      if (past.work().files === EMPTY.files) past.record.value = fresh(work);
      else past.change(label, change, merge);
      prop.value = view;
    },

    giveBack() {
      held = null;
      void follow();
    },

    forget() {
      held = null;
    },
  };
}

/** What follows a change that is made: if Python goes meanwhile it comes with the restart, and the change is not made twice. */
export async function evenIfStopped(after: Promise<void>): Promise<void> {
  await after.catch((problem: unknown) => {
    if (!(problem instanceof Stopped)) throw problem;
  });
}
