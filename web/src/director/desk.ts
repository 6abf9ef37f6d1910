/** What a director does with the file: what is shown, the note that is being written, the notes that there are. */

import { computed, type ReadonlySignal, type Signal, signal } from "@preact/signals";
import { type About, createDraft, type Draft } from "./draft";
import type { Said } from "./form";
import { keepNotes, type Keeping } from "./keeping";
import { freshId, type Kept, type Kind, KINDS, later, type Note, now, saidAt } from "./note";
import { createPlayer, type Player } from "./player";
import { clock } from "../ui/numbers";

export interface Desk extends Omit<Keeping, "add"> {
  readonly said: Said;
  readonly player: Player;
  /** The note that is being written. */
  readonly draft: Draft;
  /** The part and the point that a note was seen to be about. */
  readonly lit: Signal<Lit | null>;
  /** What is to be heard of what was just done. */
  readonly heard: Signal<string>;
  /** The look or show that is seen, as notes name it. */
  readonly about: ReadonlySignal<About>;
  add(kind: Kind, rest: Partial<Note>): void;
  /** Say something else in a note; if it was changed or removed elsewhere meanwhile, they are a note of their own. */
  revise(note: Note, rest: Partial<Note>): void;
  drop(note: Note): void;
  /** Show what a note is about. */
  go(note: Kept | Note): void;
  /** The look or show, for people, without saying which of both it is. */
  told(about: About): string;
  /** Where a note belongs, for people. */
  place(note: Partial<About & Pick<Note, "part">>): string;
}

export interface Lit {
  readonly part: string;
  readonly point: readonly [number, number, number] | null;
}

export function createDesk(said: Said): Desk {
  const player = createPlayer(said.looks[0] ?? null, said.shows);
  const keeping = keepNotes(said.fingerprint, said.notes);
  const draft = createDraft(said.fingerprint, keeping);
  const lit = signal<Lit | null>(null);
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

  function add(kind: Kind, rest: Partial<Note>): void {
    const none = { look: null, show: null, time_s: null, part: null, point_mm: null, text: "" };
    const note: Note = { id: freshId(), made: now(), by: keeping.by.value.trim(), kind, ...none, ...rest };
    keeping.add(note);
    heard.value = `${KINDS[kind]}. ${keeping.notes.value.length} to send.`;
  }

  return {
    said,
    player,
    draft,
    lit,
    heard,
    about,
    ...keeping,
    add,
    revise(note, rest) {
      const there = keeping.notes.value.find(({ id }) => id === note.id);
      if (there && saidAt(there) === saidAt(note)) {
        keeping.replace({ ...there, by: keeping.by.value.trim(), ...rest, revised: later(there) });
        heard.value = "Changed.";
        return;
      }
      add(rest.kind ?? note.kind, rest);
      heard.value = `That note was ${there ? "changed" : "removed"} in another tab meanwhile: yours is a note of its own now.`;
    },
    drop(note) {
      keeping.remove(note.id);
      if (draft.revises.peek()?.id === note.id) draft.revises.value = null; // its words are those of a new note now
      heard.value = "Removed.";
    },
    go(note) {
      const look = said.looks.find(({ name }) => name !== null && name === note.look);
      const show = said.shows.find(({ name }) => name === note.show);
      if (look) player.pick(look);
      if (show) player.open(show, note.time_s ?? undefined);
      heard.value = (note.look && !look) || (note.show && !show) ? "What this note is about is not in this file." : "";
      const part = said.figure.links.find((name) => name === note.part);
      lit.value = part === undefined ? null : { part, point: note.point_mm ?? null };
      if (!draft.open.value) [draft.part.value, draft.point.value] = [null, null];
    },
    told({ look, show }) {
      if (look !== null) return told.get(`look ${look}`) ?? look;
      return show === null ? (player.look.value?.told ?? "The whole figure") : (told.get(`show ${show}`) ?? show);
    },
    place(note) {
      const time = note.time_s === null || note.time_s === undefined ? "" : ` at ${clock(note.time_s)}`;
      const places = [note.look && named("look", note.look), note.show && `${named("show", note.show)}${time}`, note.part && named("part", note.part)];
      return places.filter(Boolean).join(", ") || "the whole figure";
    },
  };
}
