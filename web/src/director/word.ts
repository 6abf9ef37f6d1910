/** The last word on a look or a show, and whether it was said of the figure as it is in this file. */

import type { Desk } from "./desk";
import type { Kept, Note } from "./note";

/** Own notes come after those that came along; what is done is said no more. A plain note is no word, but the last resort. */
export function lastWord({ said, notes }: Desk, kind: "look" | "show", name: string | null): Kept | Note | null {
  if (name === null) return null;
  const all = [...said.notes.filter(({ done }) => !done), ...notes.value].filter((note) => note[kind] === name);
  return all.findLast((note) => note.kind !== "note") ?? all.at(-1) ?? null;
}

/** Whether it is an approval of the figure as it was in another file: not of this one. */
export function isEarlier({ said }: Desk, note: Kept | Note): boolean {
  return note.kind === "approved" && "fingerprint" in note && note.fingerprint !== said.fingerprint;
}
