/** The open show, kept in step with the prop: what Python reads of it, and where it came from. */

import { type Signal, signal } from "@preact/signals";
import { Refused } from "../../engine/engine";
import type { ReadingsView, ShowView } from "../../engine/protocol";
import type { Session } from "../../work/session";

/** Shows longer than this are read on demand: reading one holds up the play. In s. */
const READ_AT_ONCE = 600;
const PAUSE_MS = 250; // after a change, so that a slider being moved is not read at every step

/** Where a show comes from: a file of the prop, or with `data` one that is not kept with it. */
export interface Source {
  readonly file: string;
  readonly data?: Uint8Array<ArrayBuffer>;
}

export interface Rehearsal {
  readonly show: Signal<ShowView | null>;
  /** Null while they are not known. */
  readonly readings: Signal<ReadingsView | null>;
  /** Open a file of the prop, or with `data` one that is not kept with it. Rejects with Refused. */
  open(file: string, data?: Uint8Array<ArrayBuffer>): Promise<void>;
  /** What was opened from this source is a file of the prop by now, and goes on as such; nothing is done for what is no longer open. */
  keptAs(file: string, of: Source): Promise<void>;
  close(): void;
  /** Where the open show comes from. */
  source(): Source | null;
  /** Tells one opened show from another: what Python tells of it comes anew with every change of the prop. */
  which(): number;
  read(): Promise<void>;
}

export function createRehearsal(session: Session, failed: (problem: unknown) => void): Rehearsal {
  const show = signal<ShowView | null>(null);
  const readings = signal<ReadingsView | null>(null);
  let source: Source | null = null;
  let opened = ""; // the prop that the show was opened on
  let which = 0; // how many were opened
  let opening = 0; // how many at once
  let timer = 0;

  function take(view: ShowView): void {
    show.value = view;
    readings.value = null;
    clearTimeout(timer);
    if (view.end - view.begin <= READ_AT_ONCE) timer = window.setTimeout(() => void read(), PAUSE_MS);
  }

  async function read(): Promise<void> {
    const of = show.value;
    try {
      const read = await session.engine.ask("readings", {});
      if (show.value === of) readings.value = read;
    } catch (problem) {
      failed(problem);
    }
  }

  function close(): void {
    source = null;
    clearTimeout(timer);
    show.value = null;
    readings.value = null;
  }

  /** The prop has changed, or a worker that never saw the show has taken over. */
  async function renew(): Promise<void> {
    if (!source) return;
    const wanted = source;
    const { opened: now, files } = session.history.work();
    const gone = wanted.data === undefined && !(wanted.file in files);
    if (now !== opened || gone) {
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
      failed(problem);
    }
  }

  session.prop.subscribe(() => void renew());

  return {
    show,
    readings,
    async open(file, data) {
      opening += 1;
      const view = await session.engine.ask("open_show", { name: file, data: data ?? null }).finally(() => (opening -= 1));
      source = { file, ...(data && { data }) };
      which += 1;
      opened = session.history.work().opened;
      show.value = null;
      take(view);
    },
    async keptAs(file, of) {
      if (source !== of || opening > 0) return; // Python would have this one open, and the page the other
      try {
        const view = await session.engine.ask("open_show", { name: file, data: null });
        if (source !== of) return;
        source = { file };
        take(view);
      } catch (problem) {
        if (source === of) throw problem;
      }
    },
    close,
    source: () => source,
    which: () => which,
    read,
  };
}
