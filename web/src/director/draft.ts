/**
 * The note that is being written: what it is about is settled when it is begun, and it outlives the closing of the file.
 * Each tab of the file writes one, which is kept under a key of its own; what others left can be gone on with here.
 */

import { effect, type Signal, signal } from "@preact/signals";
import { forget, type Keeping, kept, keysOf, store } from "./keeping";
import { freshId, type Kind, type Note } from "./note";

/** The look or show that is seen, as notes name it. */
export type About = Pick<Note, "look" | "show" | "time_s">;

export interface Draft {
  readonly open: Signal<boolean>;
  readonly kind: Signal<Kind>;
  readonly text: Signal<string>;
  readonly part: Signal<string | null>;
  readonly point: Signal<readonly [number, number, number] | null>;
  /** What was seen when it was begun; nothing for the whole figure. */
  readonly about: Signal<About>;
  /** The note, as it was, of which these are to be the new words; null for a new note. */
  readonly revises: Signal<Note | null>;
  /** Drafts of other tabs, and those that were left when a tab was lost. */
  readonly elsewhere: Signal<readonly Elsewhere[]>;
  begin(kind: Kind, about: About): void;
  /** Put a note into other words. */
  revise(note: Note): void;
  /** Go on here with a draft from elsewhere, which goes from there. */
  fetch(from: Elsewhere): void;
  done(): void;
}

export interface Elsewhere {
  readonly key: string;
  readonly text: string;
}

/** A draft as it is kept. */
interface Written extends About {
  readonly text: string;
  readonly kind: Kind;
  readonly part: string | null;
  readonly point: readonly [number, number, number] | null;
  readonly revises: Note | null;
  /** When it was kept [ms]. */
  readonly at: number;
  /** Whether its tab was closed with it. */
  readonly left: boolean;
}

export const NOTHING: About = { look: null, show: null, time_s: null };

export function createDraft(fingerprint: string, { keeps, out, notes }: Keeping): Draft {
  const all = `posekit-draft-${fingerprint}`;
  const own = `${all}-${freshId()}`;
  const elsewhere = signal<readonly Elsewhere[]>([]);
  const draft = {
    open: signal(false),
    kind: signal<Kind>("note"),
    text: signal(""),
    part: signal<string | null>(null),
    point: signal<readonly [number, number, number] | null>(null),
    about: signal(NOTHING),
    revises: signal<Note | null>(null),
  };
  let keptToo = false;

  const words = (): boolean => draft.open.peek() && draft.text.peek().trim() !== "";

  function keep(left: boolean): void {
    const { kind, about, text, part, point, revises } = draft;
    const now = { ...about.value, text: text.value, kind: kind.value, part: part.value, point: point.value, revises: revises.value };
    if (draft.open.value && text.value.trim()) keptToo = store(own, { ...now, at: Date.now(), left } satisfies Written);
    else forget(own);
  }

  function others(): readonly (Elsewhere & { readonly written: Written })[] {
    const found = keysOf(all).filter((key) => key !== own).map((key) => ({ key, written: asWritten(kept(key)) }));
    return found.flatMap(({ key, written }) => (written ? [{ key, text: written.text, written }] : []));
  }

  function look(): void {
    elsewhere.value = others();
  }

  function done(): void {
    [draft.open.value, draft.text.value, draft.about.value, draft.revises.value] = [false, "", NOTHING, null];
    [draft.part.value, draft.point.value] = [null, null];
  }

  function fetch({ key }: Elsewhere): void {
    const written = asWritten(kept(key));
    if (written) {
      const { text, kind, part, point, revises, look: of, show, time_s } = written;
      [draft.open.value, draft.text.value, draft.kind.value, draft.about.value] = [true, text, kind, { look: of, show, time_s }];
      [draft.part.value, draft.point.value, draft.revises.value] = [part, point, revises];
      forget(key);
    }
    look();
  }

  const left = others().filter(({ written }) => written.left);
  const newest = left.sort((one, other) => other.written.at - one.written.at)[0];
  if (newest) fetch(newest);
  look();
  effect(() => keep(false));
  addEventListener("storage", ({ key, newValue }) => {
    if (key === own && newValue === null && words()) done(); // another tab goes on with it
    else if (key === null || key.startsWith(all)) look();
  });
  addEventListener("pagehide", () => keep(true));
  addEventListener("pageshow", ({ persisted }) => {
    if (!persisted) return;
    if (words() && keptToo && kept(own) === null) done(); // another tab went on with it meanwhile
    keep(false);
    look();
  });
  addEventListener("beforeunload", (event) => {
    if ((words() && !keptToo) || (!keeps.value && !out.value && notes.value.length > 0)) event.preventDefault();
  });
  return {
    ...draft,
    elsewhere,
    begin(kind, about) {
      [draft.open.value, draft.kind.value, draft.about.value] = [true, kind, about];
    },
    revise(note) {
      const { kind, text, part, point_mm, look: of, show, time_s } = note;
      [draft.open.value, draft.text.value, draft.kind.value, draft.about.value] = [true, text, kind, { look: of, show, time_s }];
      [draft.part.value, draft.point.value, draft.revises.value] = [part, point_mm, note];
    },
    fetch,
    done,
  };
}

/** What was kept as a draft, if it has words; of older files, too. */
function asWritten(found: unknown): Written | null {
  if (!found || typeof found !== "object" || !("text" in found) || typeof found.text !== "string" || !found.text.trim()) return null;
  return { ...NOTHING, kind: "note", part: null, point: null, revises: null, at: 0, left: true, ...found, text: found.text };
}
