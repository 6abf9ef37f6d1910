/** One sitting at the bench: the work on the page and the prop that Python holds, kept in step. */

import { same } from "./bytes";
import { type Signal, signal } from "@preact/signals";
import { Engine, type Progress, Refused, Stale, Stopped } from "../engine/engine";
import type { Methods, PoseView, PropView } from "../engine/protocol";
import { type Bench, fresh, type Files, type History, history, type Values, type Work } from "./history";

type Picture = Uint8Array<ArrayBuffer>;
export type Setting = Methods["edit"]["params"]["value"];

export interface Session {
  readonly history: History;
  readonly engine: Engine;
  readonly progress: Signal<Progress>;
  /** The open prop, its pose at the current values, and its GLB for the picture. */
  readonly prop: Signal<PropView | null>;
  readonly pose: Signal<PoseView | null>;
  readonly picture: Signal<Picture | null>;
  /** The joint that row and picture point out. */
  readonly chosen: Signal<string | null>;

  values(): Values;
  setValue(drive: string, value: number, merge?: string): void;
  setValues(label: string, values: Values, merge?: string): void;
  /** Set one key of the prop file. Rejects with Refused and leaves all as it was. */
  edit(path: string, value: Setting, merge?: string): Promise<void>;
  /**
   * Put another prop on the bench; undo brings the old one back. Rejects with Refused and changes nothing.
   * `drawn` is its GLB where that is there already, which saves Python the work.
   */
  open(folder: string, files: Files, values?: Values, drawn?: Picture): Promise<void>;
  openGlb(name: string, glb: Uint8Array<ArrayBuffer>): Promise<void>;
  /** Take a bench as it was left. */
  resume(bench: Bench): void;
  /** Put on the bench what Python has made of the prop: its text, and the file at `path` where that came, changed or went. */
  take(label: string, view: PropView, path?: string, merge?: string): Promise<void>;
  storeLook(name: string): Promise<void>;
  dropLook(name: string): Promise<void>;
  restart(): Promise<void>;
}

const EMPTY: Work = { folder: "", files: {}, values: {} };

export function createSession(failed: (problem: unknown) => void): Session {
  const past = history(fresh(EMPTY));
  const progress = signal<Progress>({ stage: "starting", done: 0, total: 0 });
  const engine = new Engine((now) => (progress.value = now));
  const prop = signal<PropView | null>(null);
  const pose = signal<PoseView | null>(null);
  const picture = signal<Picture | null>(null);
  const chosen = signal<string | null>(null);
  let held: Pick<Work, "folder" | "files"> | null = null; // what Python has open, or has been sent

  /** A change that Python made itself: what it has open now is what stands on the bench. */
  function adopt(label: string, view: PropView, change: Partial<Work> & Pick<Work, "files">, merge?: string): void {
    const work = { ...past.work(), ...change };
    held = work;
    prop.value = view;
    if (past.work().files === EMPTY.files) past.record.value = fresh(work);
    else past.change(label, change, merge);
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
        await draw();
      }
      pose.value = await engine.ask("pose", { values: past.work().values });
    } catch (problem) {
      if (problem instanceof Refused) held = null;
      if (!(problem instanceof Stale || problem instanceof Stopped)) failed(problem);
    }
  }

  async function draw(): Promise<void> {
    picture.value = (await engine.ask("scene", {})).data;
  }

  past.record.subscribe(() => void follow());

  /** Put what Python has just opened on the bench. */
  async function begin(folder: string, files: Files, view: PropView, values: Values, drawn?: Picture): Promise<void> {
    chosen.value = null;
    adopt(`Open ${folder}`, view, { folder, files, values });
    if (drawn) picture.value = drawn;
    else await draw();
  }

  /** The files that Python has; those that did not change stay the very ones of the work. */
  async function filesNow(): Promise<Files> {
    const before = past.work().files;
    const now = Object.entries(await engine.ask("files", {}));
    return Object.fromEntries(now.map(([path, data]) => [path, same(before[path], data) ? (before[path] as typeof data) : data]));
  }

  const session: Session = {
    history: past,
    engine,
    progress,
    prop,
    pose,
    picture,
    chosen,

    values: () => past.work().values,

    setValue(drive, value, merge) {
      const { values } = past.work();
      if (values[drive] !== value) past.change(`Move ${drive}`, { values: { ...values, [drive]: value } }, merge);
    },

    setValues: (label, values, merge) => past.change(label, { values: { ...past.work().values, ...values } }, merge),

    async edit(path, value, merge = path) {
      const view = await engine.ask("edit", { path, value });
      const files = { ...past.work().files, "prop.toml": new TextEncoder().encode(view.text) };
      adopt(`Set ${path}`, view, { files }, merge);
    },

    async open(folder, files, values, drawn) {
      try {
        const view = await engine.ask("open", { files, name: folder });
        await begin(folder, files, view, values ?? view.values, drawn);
      } catch (problem) {
        // Python may have let go of the old prop: give it back before anyone asks for a pose.
        held = null;
        void follow();
        throw problem;
      }
    },

    async openGlb(name, glb) {
      const view = await engine.ask("open_glb", { glb, name });
      await begin(name, await engine.ask("files", {}), view, view.values);
    },

    async take(label, view, path, merge) {
      const files: Record<string, Uint8Array<ArrayBuffer>> = { ...past.work().files };
      const changed = path === undefined ? null : await engine.ask("file", { path });
      if (changed && path !== undefined) files[path] = changed;
      else if (path !== undefined) delete files[path];
      const text = new TextEncoder().encode(view.text);
      adopt(label, view, { files: same(files["prop.toml"], text) ? files : { ...files, "prop.toml": text } }, merge);
    },

    resume: (bench) => (past.record.value = bench),

    async storeLook(name) {
      const view = await engine.ask("store_look", { name, values: session.values() });
      adopt(`Store look ${name}`, view, { files: await filesNow() });
    },

    async dropLook(name) {
      const view = await engine.ask("drop_look", { name });
      adopt(`Remove look ${name}`, view, { files: await filesNow() });
    },

    async restart() {
      engine.restart();
      held = null;
      await follow();
    },
  };
  return session;
}

/** The text of prop.toml where it is all that differs; null where other files differ, too. */
function textIfAllElse(files: Files, others: Files): string | null {
  const paths = Object.keys(files);
  const same = paths.length === Object.keys(others).length;
  if (!same || paths.some((path) => path !== "prop.toml" && files[path] !== others[path])) return null;
  return new TextDecoder().decode(files["prop.toml"]);
}
