/** The director's notes of the prop on the bench: what Python reads of them, their marks in the picture, the way to each. */

import { type Signal, signal } from "@preact/signals";
import type { NotesView, NoteView } from "../../engine/protocol";
import { type Pins, showPins } from "../../view/pins";
import type { View } from "../../view/view";
import type { Session } from "../../work/session";
import type { Player } from "../motion/player";
import type { Rehearsal } from "../motion/rehearsal";

const FILE = "notes.json"; // beside prop.toml
const NONE: NotesView = { counted: "", notes: [], refused: [] };

export interface Noted {
  readonly notes: Signal<NotesView>;
  /** Which marks the picture has. */
  readonly drawn: Signal<"open" | "all" | "none">;
  /** The note that was pressed in the picture last. */
  readonly pressed: Signal<string | null>;
  /** Take in the text of a file or a message. Answers what came of it; rejects with Refused. */
  take(text: string, name: string): Promise<string>;
  tick(note: NoteView, answer?: string): Promise<void>;
  reopen(note: NoteView): Promise<void>;
  remove(note: NoteView): Promise<void>;
  /** Go where a note belongs: its look, the time of its show, its part. Rejects with Refused. */
  visit(note: NoteView): Promise<void>;
}

/** `open` brings the list of notes into sight. */
export function createNoted(session: Session, view: View, rehearsal: Rehearsal, player: Player, open: () => void, failed: (problem: unknown) => void): Noted {
  const notes = signal<NotesView>(NONE);
  const drawn = signal<"open" | "all" | "none">("open");
  const pressed = signal<string | null>(null);
  let pins: Pins | null = null;

  async function ask(): Promise<void> {
    if (!(FILE in session.history.work().files)) {
      if (notes.value !== NONE) notes.value = NONE;
      return;
    }
    try {
      notes.value = await session.engine.ask("notes", {});
    } catch (problem) {
      failed(problem);
    }
  }

  function draw(): void {
    pins?.remove();
    const figure = view.figure();
    const shown = notes.value.notes.filter(({ state }) => drawn.value === "all" || (drawn.value === "open" && state === "open"));
    pins = figure && shown.length > 0 ? showPins(figure, shown, view.stage.labels, press) : null;
    view.stage.draw();
  }

  function press(note: NoteView): void {
    open();
    pressed.value = null; // the same one may be pressed twice
    pressed.value = note.id;
  }

  session.prop.subscribe((prop) => prop && void ask());
  for (const each of [notes, drawn, view.shown]) each.subscribe(draw);

  return {
    notes,
    drawn,
    pressed,

    async take(text, name) {
      const { sentence, changes } = await session.engine.ask("notes_in", { text, name });
      if (changes) await session.change(`Take in notes from ${name}`, "take_notes", { text, name }, FILE);
      return sentence;
    },

    tick: ({ id, number }, answer) =>
      session.change(answer === undefined ? `Tick off note ${number}` : `Answer note ${number}`, "tick_note", { note: id, when: new Date().toISOString(), ...(answer !== undefined && { answer }) }, FILE),

    reopen: ({ id, number }) => session.change(`Open note ${number} again`, "reopen_note", { note: id }, FILE),

    remove: ({ id, number }) => session.change(`Remove note ${number}`, "remove_note", { note: id }, FILE),

    async visit(note) {
      const look = session.prop.value?.looks.find(({ name }) => name === note.look);
      if (note.show !== null) {
        if (rehearsal.show.value?.file !== note.show) await rehearsal.open(note.show);
        player.pause();
        player.seek(note.time_s ?? 0);
      } else if (look) {
        player.leave();
        session.history.settle();
        session.setValues(`Look ${look.name}`, look.values);
      }
      if (note.part !== null) session.part.value = note.part;
    },
  };
}
