/** The note that is being written: what it is about is settled when it is begun, and it outlives the closing of the file. */

import { effect, type Signal, signal } from "@preact/signals";
import { type Keeping, kept, store } from "./keeping";
import type { Kind, Note } from "./note";

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
  begin(kind: Kind, about: About): void;
  done(): void;
}

export const NOTHING: About = { look: null, show: null, time_s: null };

export function createDraft(fingerprint: string, { keeps, out, notes }: Keeping): Draft {
  const key = `posekit-draft-${fingerprint}`;
  const draft = {
    open: signal(false),
    kind: signal<Kind>("note"),
    text: signal(""),
    part: signal<string | null>(null),
    point: signal<readonly [number, number, number] | null>(null),
    about: signal(NOTHING),
  };
  const before = kept(key);
  if (before && typeof before === "object" && "text" in before && typeof before.text === "string" && before.text.trim()) {
    const { kind, about, part, point } = { kind: "note" as const, about: NOTHING, part: null, point: null, ...before };
    [draft.open.value, draft.text.value, draft.kind.value, draft.about.value] = [true, before.text, kind, about];
    [draft.part.value, draft.point.value] = [part, point];
  }
  let keptToo = false;
  effect(() => {
    const { kind, about, text, part, point } = draft;
    const now = { text: text.value, kind: kind.value, about: about.value, part: part.value, point: point.value };
    keptToo = store(key, draft.open.value ? now : null);
  });
  addEventListener("beforeunload", (event) => {
    const written = draft.open.value && draft.text.value.trim() !== "";
    if ((written && !keptToo) || (!keeps.value && !out.value && notes.value.length > 0)) event.preventDefault();
  });
  return {
    ...draft,
    begin(kind, about) {
      [draft.open.value, draft.kind.value, draft.about.value] = [true, kind, about];
    },
    done() {
      [draft.open.value, draft.text.value, draft.about.value] = [false, "", NOTHING];
      [draft.part.value, draft.point.value] = [null, null];
    },
  };
}
