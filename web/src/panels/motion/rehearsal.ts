/** The open show, kept in step with the prop: what Python reads of it, and where it came from. */

import { cell, type Cell } from "../../ui/cell";
import { Refused, Stale, Stopped } from "../../engine/engine";
import type { ReadingsView, ShowView } from "../../engine/protocol";
import type { Session } from "../../work/session";

/** Shows longer than this are read on demand: reading one holds up the play. In s. */
const READ_AT_ONCE = 600;
const PAUSE_MS = 250; // after a change, so that a slider being moved is not read at every step

export interface Rehearsal {
  readonly show: Cell<ShowView | null>;
  /** Null while they are not known. */
  readonly readings: Cell<ReadingsView | null>;
  /** Open a file of the prop, or with `data` one that is not kept with it. Rejects with Refused. */
  open(file: string, data?: Uint8Array<ArrayBuffer>): Promise<void>;
  close(): void;
  read(): Promise<void>;
}

export function createRehearsal(session: Session, failed: (problem: unknown) => void): Rehearsal {
  const show = cell<ShowView | null>(null);
  const readings = cell<ReadingsView | null>(null);
  let source: { file: string; data?: Uint8Array<ArrayBuffer> } | null = null;
  let folder = ""; // of the prop that the show was opened on
  let timer = 0;

  function take(view: ShowView): void {
    show.set(view);
    readings.set(null);
    clearTimeout(timer);
    if (view.end - view.begin <= READ_AT_ONCE) timer = window.setTimeout(() => void read(), PAUSE_MS);
  }

  async function read(): Promise<void> {
    const of = show.get();
    try {
      const read = await session.engine.ask("readings", {});
      if (show.get() === of) readings.set(read);
    } catch (problem) {
      tell(problem);
    }
  }

  function tell(problem: unknown): void {
    if (!(problem instanceof Stale || problem instanceof Stopped)) failed(problem);
  }

  function close(): void {
    source = null;
    clearTimeout(timer);
    show.set(null);
    readings.set(null);
  }

  /** The prop has changed, or a worker that never saw the show has taken over. */
  async function renew(): Promise<void> {
    if (!source) return;
    const wanted = source;
    const { folder: now, files } = session.history.work();
    const gone = wanted.data === undefined && !(wanted.file in files);
    if (now !== folder || gone) {
      close();
      return;
    }
    try {
      const view = await session.engine.ask("show", {}).catch((problem: unknown) => {
        if (!(problem instanceof Refused)) throw problem;
        return session.engine.ask("open_show", { name: wanted.file, data: wanted.data ?? null });
      });
      if (source === wanted) take(view);
    } catch (problem) {
      if (problem instanceof Refused && source === wanted) close();
      tell(problem);
    }
  }

  session.prop.watch(() => void renew());

  return {
    show,
    readings,
    async open(file, data) {
      const view = await session.engine.ask("open_show", { name: file, data: data ?? null });
      source = { file, ...(data && { data }) };
      folder = session.history.work().folder;
      show.set(null);
      take(view);
    },
    close,
    read,
  };
}
