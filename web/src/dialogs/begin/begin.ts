/** A prop that is about to begin: what was brought, what Python makes of it, and what may still be chosen. */

import { computed, type ReadonlySignal, type Signal, signal } from "@preact/signals";
import { Overtaken, Refused } from "../../engine/engine";
import type { BroughtView, FindingView, Methods } from "../../engine/protocol";
import { type Reading, readStep } from "../../engine/step/read-step";
import { KINDS } from "../../engine/protocol";
import { endingOf } from "../../work/files";
import type { Files } from "../../work/history";
import type { Session } from "../../work/session";
import { picturesIn } from "./pictures";

export type Choices = Pick<Methods["begin_with"]["params"], "unit" | "up" | "root" | "servo">;

export interface Begin {
  readonly open: Signal<boolean>;
  readonly name: Signal<string>;
  /** The files that were brought; null for a prop from nothing. */
  readonly files: Signal<Files | null>;
  /** Files that came with them and are no parts. */
  readonly left: Signal<readonly string[]>;
  readonly choices: Signal<Choices>;
  /** What would begin. */
  readonly view: Signal<BroughtView | null>;
  /** What is being done, in words. */
  readonly busy: Signal<string | null>;
  /** Whether it is on its way to the bench, and can be left no more. */
  readonly making: ReadonlySignal<boolean>;
  /** Why it cannot begin. */
  readonly wrong: Signal<readonly FindingView[]>;
  /** Open the dialog with nothing in it. */
  show(): void;
  /** Look at files; the dialog opens. */
  bring(name: string, files: Files, left: readonly string[]): Promise<void>;
  /** Look at what begins from nothing. */
  empty(): Promise<void>;
  choose(choice: Choices): Promise<void>;
  /** The classes of servo there are. */
  classes(): Promise<readonly string[]>;
  /** Put it on the bench. Answers its name; null where it was left or refused before. */
  accept(): Promise<string | null>;
  /** Leave it; nothing has changed. */
  cancel(): void;
}

export function createBegin(session: Session): Begin {
  const [open, name, files] = [signal(false), signal(""), signal<Files | null>(null)];
  const left = signal<readonly string[]>([]);
  const choices = signal<Choices>({});
  const view = signal<BroughtView | null>(null);
  const busy = signal<string | null>(null);
  const making = signal(false);
  const wrong = signal<readonly FindingView[]>([]);
  let reading: Reading | null = null; // a STEP file, on its way
  let step: Uint8Array<ArrayBuffer> | null = null; // what came of it
  let pictures: Files | null = null; // those inside of what was brought, read
  let newest = {}; // of what was asked; what came of anything older is nobody's any more

  function forget(): void {
    newest = {};
    reading?.stop();
    [reading, step, pictures] = [null, null, null];
    [name.value, files.value, left.value, choices.value, view.value, busy.value, wrong.value] = ["", null, [], {}, null, null, []];
  }

  /** The view of what was brought, with what is chosen. */
  async function asked(): Promise<BroughtView> {
    const called = name.value.trim();
    if (!files.value) return session.engine.ask("begin_empty", { name: called, ...(choices.value.servo && { servo: choices.value.servo }) });
    const drawing = Object.keys(files.value).find((path) => (KINDS.STEPS as readonly string[]).includes(endingOf(path)));
    if (drawing && !step) {
      busy.value = "Reading the STEP file. The reader is fetched with the first one.";
      reading = readStep(files.value[drawing] as Uint8Array);
      step = await reading.glb.finally(() => (reading = null));
    }
    busy.value = "Looking at the parts.";
    pictures ??= await picturesIn(files.value);
    return session.engine.ask("begin_with", { files: files.value, name: called, ...choices.value, pictures, ...(step && { step }) });
  }

  /** Answers whether there is something to begin, and it is still wanted. */
  async function look(): Promise<boolean> {
    const mine = (newest = {});
    wrong.value = [];
    busy.value = "Looking at it.";
    try {
      const found = await asked();
      if (mine === newest) view.value = found;
      return mine === newest;
    } catch (problem) {
      if (mine !== newest) return false;
      if (problem instanceof Overtaken) return await look(); // what begins asks nothing of the prop that stood
      view.value = null;
      if (problem instanceof Refused) wrong.value = problem.findings;
      else wrong.value = [told(problem)];
      return false;
    } finally {
      if (mine === newest) busy.value = null;
    }
  }

  return {
    open,
    name,
    files,
    left,
    choices,
    view,
    busy,
    // Where Python was stopped it waits for Python to begin again, and the way to that is outside the dialog.
    making: computed(() => making.value && session.progress.value.stage !== "stopped"),
    wrong,

    show() {
      forget();
      open.value = true;
    },

    async bring(called, brought, beside) {
      forget();
      [name.value, files.value, left.value, open.value] = [called, brought, beside, true];
      await look();
    },

    async empty() {
      const called = name.value.trim() || "New prop";
      forget();
      name.value = called;
      await look();
    },

    async choose(choice) {
      choices.value = { ...choices.value, ...choice };
      await look();
    },

    classes: () => session.engine.ask("servo_classes", {}).then(({ classes }) => classes),

    async accept() {
      if (view.value?.name !== name.value.trim() && !(await look())) return null;
      const [found, mine] = [view.value, newest];
      if (!found) return null;
      busy.value = "Making it.";
      making.value = true;
      try {
        await session.open(folderOf(found.name), found.files);
        if (mine === newest) {
          open.value = false;
          forget();
        }
        return found.name;
      } finally {
        making.value = false;
        if (mine === newest) busy.value = null;
      }
    },

    cancel() {
      open.value = false;
      forget();
    },
  };
}

/** The name of the folder of a prop of this name. */
function folderOf(name: string): string {
  return name.replace(/[^\p{L}\p{N}_-]+/gu, "-").replace(/^-+|-+$/g, "").toLowerCase() || "prop";
}

/** Something that went wrong, as a finding. */
function told(problem: unknown): FindingView {
  const text = problem instanceof Error ? problem.message : String(problem);
  return { level: "error", code: "failed", subject: "", message: text, text, alone: text, place: "", kind: "", drive: null, file: null, line: null };
}
