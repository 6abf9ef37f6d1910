/** What a director does with the file: what is shown, the note that is being written, the notes that there are. */

import { computed, type ReadonlySignal, type Signal, signal } from "@preact/signals";
import type { Said } from "./form";
import { keepNotes, type Keeping } from "./keeping";
import { freshId, type Kept, type Kind, KINDS, type Note, now } from "./note";
import { createPlayer, type Player } from "./player";
import { clock } from "../ui/numbers";

export interface Desk extends Keeping {
  readonly said: Said;
  readonly player: Player;
  /** The note that is being written. */
  readonly draft: Draft;
  /** What is to be heard of what was just done. */
  readonly heard: Signal<string>;
  /** The look or show that is seen, as notes name it. */
  readonly about: ReadonlySignal<Pick<Note, "look" | "show" | "time_s">>;
  add(kind: Kind, rest: Partial<Note>): void;
  drop(note: Note): void;
  /** Show what a note is about. */
  go(note: Kept | Note): void;
  /** Where a note belongs, for people. */
  place(note: Kept | Note): string;
}

export interface Draft {
  readonly open: Signal<boolean>;
  readonly kind: Signal<Kind>;
  readonly text: Signal<string>;
  readonly part: Signal<string | null>;
  readonly point: Signal<[number, number, number] | null>;
  /** About the whole figure, not about what is seen. */
  readonly whole: Signal<boolean>;
}

export function createDesk(said: Said): Desk {
  const player = createPlayer(said.looks[0] ?? null, said.shows);
  const keeping = keepNotes(said.fingerprint, said.notes);
  const draft: Draft = {
    open: signal(false),
    kind: signal<Kind>("note"),
    text: signal(""),
    part: signal<string | null>(null),
    point: signal<[number, number, number] | null>(null),
    whole: signal(false),
  };
  const heard = signal("");
  const about = computed(() => {
    const show = player.show.value;
    const time_s = show ? Math.round(player.time.value * 100) / 100 : null;
    return { look: player.look.value?.name ?? null, show: show?.name ?? null, time_s };
  });
  const told = new Map<string, string>([
    ...said.looks.map((look) => [`look ${look.name}`, look.told] as const),
    ...said.shows.map((show) => [`show ${show.name}`, show.told] as const),
    ...said.figure.links.map((link, row) => [`part ${link}`, said.told[row] ?? link] as const),
  ]);
  const named = (kind: string, name: string): string => `${kind} ${told.get(`${kind} ${name}`) ?? name}`;

  return {
    said,
    player,
    draft,
    heard,
    about,
    ...keeping,
    add(kind, rest) {
      const none = { look: null, show: null, time_s: null, part: null, point_mm: null, text: "" };
      const note: Note = { id: freshId(), made: now(), by: keeping.by.value.trim(), kind, ...none, ...rest };
      keeping.out.value = false;
      keeping.notes.value = [...keeping.notes.value, note];
      heard.value = `${KINDS[kind]}. ${keeping.notes.value.length} to take out.`;
    },
    drop(note) {
      keeping.out.value = false;
      keeping.notes.value = keeping.notes.value.filter(({ id }) => id !== note.id);
      heard.value = "Removed.";
    },
    go(note) {
      const look = said.looks.find(({ name }) => name !== null && name === note.look);
      const show = said.shows.find(({ name }) => name === note.show);
      if (look) player.pick(look);
      if (show) player.open(show, note.time_s ?? undefined);
      heard.value = (note.look && !look) || (note.show && !show) ? "What this note is about is not in this file." : "";
      draft.part.value = said.figure.links.find((name) => name === note.part) ?? null;
      draft.point.value = note.point_mm ? [...note.point_mm] : null;
    },
    place(note) {
      const time = note.time_s === null || note.time_s === undefined ? "" : ` at ${clock(note.time_s)}`;
      const places = [note.look && named("look", note.look), note.show && `${named("show", note.show)}${time}`, note.part && named("part", note.part)];
      return places.filter(Boolean).join(", ") || "the whole figure";
    },
  };
}
