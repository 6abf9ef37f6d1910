/** Curves of the part of the show that is looked at: fetched when that part, the show or a limit changes. */

import { cell, type Cell } from "../../ui/cell";
import { Stale, Stopped } from "../../engine/engine";
import type { CurvesView } from "../../engine/protocol";
import type { Session } from "../../work/session";
import type { Player } from "./player";
import type { Rehearsal } from "./rehearsal";

const COUNT = 721; // times over the part

export interface Part {
  readonly begin: number;
  readonly end: number;
  readonly curves: CurvesView;
}

export interface Curves {
  readonly part: Cell<Part | null>;
  /** Length of the part in s; null for the whole show. */
  readonly length: Cell<number | null>;
}

export function createCurves(session: Session, rehearsal: Rehearsal, player: Player, failed: (problem: unknown) => void): Curves {
  const part = cell<Part | null>(null);
  const length = cell<number | null>(null);
  let wanted: { begin: number; end: number } | null = null;

  /** The page of the show that the play is on: pages follow each other without a gap. */
  function page(): { begin: number; end: number } | null {
    const show = rehearsal.show.get();
    if (!show) return null;
    const long = length.get();
    if (long === null || show.end - show.begin <= long) return { begin: show.begin, end: show.end };
    const last = Math.max(Math.ceil((show.end - show.begin) / long) - 1, 0);
    const begin = show.begin + Math.min(Math.floor((player.time.get() - show.begin) / long), last) * long;
    return { begin, end: begin + long };
  }

  async function fetch(): Promise<void> {
    const now = page();
    wanted = now;
    if (!now) {
      part.set(null);
      return;
    }
    try {
      const curves = await session.engine.ask("curves", { ...now, count: COUNT });
      if (wanted === now) part.set({ ...now, curves });
    } catch (problem) {
      if (!(problem instanceof Stale || problem instanceof Stopped)) failed(problem);
    }
  }

  rehearsal.show.watch(() => void fetch());
  length.watch(() => void fetch());
  player.time.watch((time) => {
    if (wanted && (time < wanted.begin || time > wanted.end)) void fetch();
  });
  return { part, length };
}
