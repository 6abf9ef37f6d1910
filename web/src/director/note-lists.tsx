/** Notes that were made here, and how they get to the builder; notes that came along, and what became of them. */

import { useSignal } from "@preact/signals";
import { useRef } from "preact/hooks";
import { download } from "../ui/browser";
import { Button } from "../ui/button";
import { copyText } from "../ui/copy";
import { Icon } from "../ui/icon";
import type { Desk } from "./desk";
import { asMessage, type Kept, KINDS, type Note, numbered, taken } from "./note";
import { FORM_ID } from "./note-form";
import { isEarlier } from "./word";

export function OwnNotes({ desk }: { desk: Desk }) {
  const { keeps, notes, out, said } = desk;
  const shown = useSignal(false);
  const area = useRef<HTMLTextAreaElement>(null);
  if (notes.value.length === 0) return null;
  const file = { prop: said.prop.name, fingerprint: said.fingerprint, made: said.made };
  const form = taken(notes.value, file);
  const message = asMessage(form, (note) => `${KINDS[note.kind]}, ${desk.place(note)}`);
  const list = useRef<HTMLOListElement>(null);

  function save(): void {
    const name = `${fileName(said.prop.told)}-notes.json`;
    download(name, `${JSON.stringify(form, null, 1)}\n`, "application/json");
    out.value = true;
    desk.heard.value = `The browser was asked to download ${name}. Check that it is among your downloads, then send it to the builder.`;
  }

  async function copy(): Promise<void> {
    shown.value = true;
    try {
      await copyText(message);
      out.value = true;
      desk.heard.value = "Copied. Paste it into a message to the builder.";
    } catch {
      desk.heard.value = "Copying is blocked here. The text is selected: copy it by hand.";
      requestAnimationFrame(() => area.current?.select());
    }
  }

  function revise(note: Note): void {
    if (desk.draft.open.value && desk.draft.text.value.trim()) desk.heard.value = "Finish the note that you are writing first: add or cancel it.";
    else desk.draft.revise(note);
    requestAnimationFrame(() => document.querySelector<HTMLElement>(`#${FORM_ID} textarea`)?.focus());
  }

  function remove(note: Note, row: number): void {
    desk.drop(note);
    requestAnimationFrame(() => {
      const rows = [...(list.current?.querySelectorAll<HTMLElement>("[data-removes]") ?? [])];
      (rows[row] ?? rows.at(-1) ?? document.getElementById(FORM_ID))?.focus();
    });
  }

  return (
    <section class="stack stack--close" aria-label="Your notes">
      <h2>Your notes <span class="quiet">{notes.value.length}</span></h2>
      <ol class="notes" ref={list}>
        {numbered(said, notes.value).map(({ number, ...note }, row) => (
          <NoteCard key={note.id} desk={desk} note={note} number={number}>
            {note.kind !== "approved" && <Button icon="pen" name={`Change note ${number}`} kind="plain" onClick={() => revise(note)} />}
            <Button icon="drop" name={`Remove note ${number}`} kind="plain" data-removes onClick={() => remove(note, row)} />
          </NoteCard>
        ))}
      </ol>
      <div class="row">
        <Button icon="save" words="Download notes" kind="main" onClick={save} />
        <Button icon="copy" words="Copy as text" onClick={() => void copy()} />
      </div>
      {shown.value && <textarea ref={area} class="input" rows={5} readonly aria-label="Notes as text" value={message} onCopy={() => (out.value = true)} />}
      <p class="quiet">
        {out.value ? "Downloaded or copied, as they are here: check that you have them, and send that. " : "Not with the builder yet: download or copy them, and send that. "}
        {keeps.value
          ? "This browser keeps them for when you open this file again; a private window forgets them."
          : "This browser keeps nothing of a file: they are gone when you close it."}
      </p>
    </section>
  );
}

export function CameNotes({ desk }: { desk: Desk }) {
  const { notes } = desk.said;
  if (notes.length === 0) return null;
  const open = notes.filter(({ done }) => !done);
  const done = notes.filter((note) => note.done);
  const approvals = open.filter(({ kind }) => kind === "approved");
  const earlier = approvals.filter((note) => isEarlier(desk, note)).length;
  const counts = [
    `${open.length - approvals.length} open`,
    approvals.length > earlier && `${approvals.length - earlier} approved`,
    earlier > 0 && `${earlier} approved in an earlier file`,
    `${done.length} done`,
  ];
  return (
    <section class="stack stack--close" aria-label="Earlier notes">
      <h2>Earlier notes <span class="quiet">{counts.filter(Boolean).join(", ")}</span></h2>
      <ol class="notes">
        {open.map((note) => <NoteCard key={note.id} desk={desk} note={note} number={note.number} />)}
        {done.map((note) => <NoteCard key={note.id} desk={desk} note={note} number={null} />)}
      </ol>
    </section>
  );
}

const LONG = 500; // letters, from which on the text may have to be scrolled

interface NoteCardProps {
  readonly desk: Desk;
  readonly note: Kept | Note;
  /** The number at its place in the picture; null for what is done. */
  readonly number: number | null;
  readonly children?: preact.ComponentChildren;
}

function NoteCard({ desk, note, number, children }: NoteCardProps) {
  const done = "done" in note && note.done;
  const answer = "answer" in note ? note.answer : "";
  return (
    <li class={done ? "note note--done" : "note"}>
      <div class="note__head">
        <span class="note__number" aria-hidden="true">{number ?? <Icon name="check" />}</span>
        <button type="button" class="note__go" onClick={() => desk.go(note)}>
          {isEarlier(desk, note) ? "Approved in an earlier file" : KINDS[note.kind]}, <bdi>{desk.place(note)}</bdi>
        </button>
        {children}
      </div>
      {note.text && (
        <p class="note__text" dir="auto" {...((note.text ?? "").length > LONG && { tabIndex: 0, role: "group", "aria-label": "What the note says" })}>
          {note.text}
        </p>
      )}
      {(note.by || done) && (
        <p class="quiet">
          {note.by && <bdi>{note.by}</bdi>}
          {note.by && done && " · "}
          {done && `done on ${done.slice(0, 10)}`}
        </p>
      )}
      {answer && <p class="note__answer" dir="auto"><strong>The builder:</strong> {answer}</p>}
    </li>
  );
}

/** A name that every system takes for a file. */
function fileName(prop: string): string {
  return prop.replaceAll(/[^\p{L}\p{N} _-]/gu, "_").trim().slice(0, 80) || "prop";
}
