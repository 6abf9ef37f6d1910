/** Curves of the part of the show that is looked at: fetched when that part, the show or a limit changes. */

import { type Signal, signal } from "@preact/signals";
import type { CurvesView } from "../../engine/protocol";
import type { Session } from "../../work/session";
import type { Player } from "./player";
import type { Rehearsal } from "./rehearsal";

const COUNT = 1201; // times over what is fetched
const AT_FIRST = 30; // s of a long show that are looked at when it is opened
const LONG_SHOW = 90; // s
const LEAST = 0.2; // s that can be looked at

export interface Span {
  readonly begin: number;
  readonly end: number;
}

export interface Part extends Span {
  readonly curves: CurvesView;
}

export interface Curves {
  /** The drive whose curves are drawn. */
  readonly drive: Signal<string>;
  /** What is looked at; null without a show. */
  readonly view: Signal<Span | null>;
  /** What is at hand: the view, and where that is a part of the show, about as much again at either side. */
  readonly part: Signal<Part | null>;
  /** The curves as they are drawn, once they are, as a PNG. */
  readonly picture: Signal<(() => Promise<Blob>) | null>;
  /** The whole show. */
  whole(): Span | null;
  /** Look at another part; it is kept within the show. */
  look(span: Span): void;
}

export function createCurves(session: Session, rehearsal: Rehearsal, player: Player, failed: (problem: unknown) => void): Curves {
  const drive = signal("");
  const view = signal<Span | null>(null);
  const part = signal<Part | null>(null);
  let file = "";

  function whole(): Span | null {
    const show = rehearsal.show.peek();
    return show && { begin: show.begin, end: show.end };
  }

  function look({ begin, end }: Span): void {
    const all = whole();
    if (!all) return;
    const length = Math.min(Math.max(end - begin, LEAST), all.end - all.begin);
    const from = Math.min(Math.max(begin, all.begin), all.end - length);
    view.value = { begin: from, end: from + length };
    const at = part.peek();
    if (!at || from < at.begin || from + length > at.end || length < (at.end - at.begin) / 5) void fetch();
  }

  /** What is looked at, and some of what comes before and after it, to pan in. */
  function wanted(): Span | null {
    const [all, seen] = [whole(), view.peek()];
    if (!all || !seen) return null;
    const room = (seen.end - seen.begin) / 2;
    return { begin: Math.max(seen.begin - room, all.begin), end: Math.min(seen.end + room, all.end) };
  }

  async function fetch(): Promise<void> {
    const span = wanted();
    if (!span) return;
    const show = rehearsal.show.peek();
    try {
      const curves = await session.engine.ask("curves", { ...span, count: COUNT });
      if (rehearsal.show.peek() === show) part.value = { ...span, curves };
    } catch (problem) {
      failed(problem);
    }
  }

  rehearsal.show.subscribe((show) => {
    if (!show) {
      [view.value, part.value, file] = [null, null, ""];
      return;
    }
    const long = show.end - show.begin > LONG_SHOW;
    const seen = show.file === file ? view.peek() : null;
    const wasWhole = seen !== null && part.peek()?.begin === seen.begin && part.peek()?.end === seen.end;
    file = show.file;
    part.value = wasWhole || !seen ? null : part.peek();
    look(seen && !wasWhole ? seen : { begin: show.begin, end: long ? show.begin + AT_FIRST : show.end });
    void fetch();
  });

  // The play leads: what is looked at follows it page by page.
  player.time.subscribe((time) => {
    const seen = view.peek();
    if (!seen || (time >= seen.begin && time <= seen.end)) return;
    const length = seen.end - seen.begin;
    look({ begin: seen.begin + Math.floor((time - seen.begin) / length) * length, end: seen.begin + (Math.floor((time - seen.begin) / length) + 1) * length });
  });

  session.prop.subscribe((prop) => {
    const names = prop?.drives.map(({ name }) => name) ?? [];
    if (!names.includes(drive.peek())) drive.value = names[0] ?? "";
  });
  session.chosen.subscribe((joint) => {
    const chosen = session.prop.peek()?.drives.find((each) => each.joint === joint);
    if (chosen) drive.value = chosen.name;
  });

  return { drive, view, part, picture: signal(null), whole, look };
}

/** The column of one drive out of a table (N, D). */
export function columnOf({ data, shape }: CurvesView["position"], column: number): Float32Array {
  const [rows = 0, drives = 1] = shape;
  return Float32Array.from({ length: rows }, (_, row) => data[row * drives + column] ?? 0);
}
