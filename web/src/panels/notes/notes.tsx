/** Notes of a director: taken in, gone to, ticked off and answered; kept with the prop. */

import { useSignal, useSignalEffect } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import type { Bench } from "../../bench";
import { KINDS, type NoteView } from "../../engine/protocol";
import { Button } from "../../ui/button";
import { Field, Select, Typed } from "../../ui/field";
import { Findings } from "../../ui/finding";
import { Fold } from "../../ui/fold";
import { useRefusal } from "../../ui/refusal";
import { complain, say } from "../../ui/toasts";
import { mark } from "../../view/pins";
import type { Noted } from "./noted";
import "./notes.css";

const WORDS = { approved: "Approved", change: "Change requested", note: "Note" } as const;
const DRAWN = [["open", "Open ones"], ["all", "All"], ["none", "None"]] as const;

export function Notes({ bench }: { bench: Bench }) {
  const { noted } = bench;
  const { notes, counted, refused } = noted.notes.value;
  const groups = [...new Set(notes.map(({ group }) => group))];
  const list = useRef<HTMLDivElement>(null);

  const removed = useRef<number | null>(null); // the row whose button took itself away when it was pressed
  const items = (): HTMLElement[] => [...(list.current?.querySelectorAll<HTMLElement>(".note") ?? [])];
  useEffect(() => {
    if (removed.current !== null) (items()[removed.current] ?? items().at(-1) ?? list.current)?.focus();
    removed.current = null;
  }, [notes]);

  async function remove(note: NoteView, item: HTMLElement | null): Promise<void> {
    removed.current = items().findIndex((each) => each === item);
    await noted.remove(note).catch((problem: unknown) => {
      removed.current = null;
      throw problem;
    });
    say(`Note ${note.number} removed. Undo brings it back.`);
  }

  return (
    <div class="stack" ref={list} tabIndex={-1}>
      <h2>Notes</h2>
      <Findings findings={refused} />
      {notes.length > 0 && <p role="status">{counted}.</p>}
      {notes.length === 0 && refused.length === 0 && (
        <p class="quiet">No notes yet. Send the director one file (Share); what they note in it and send back comes in here.</p>
      )}
      {groups.map((group) => (
        <section key={group} class="stack" aria-label={group}>
          <h3 dir="auto">{group}</h3>
          <ul class="notes">
            {notes.filter((note) => note.group === group).map((note) => <Item key={note.id} noted={noted} note={note} remove={remove} />)}
          </ul>
        </section>
      ))}
      {notes.length > 0 && (
        <Field label="Marks in the picture">
          {(named) => <Select {...named} options={DRAWN} value={noted.drawn.value} pick={(to) => (noted.drawn.value = DRAWN.find(([each]) => each === to)?.[0] ?? "open")} />}
        </Field>
      )}
      <Bring bench={bench} began={notes.length === 0} />
    </div>
  );
}

interface ItemProps {
  readonly noted: Noted;
  readonly note: NoteView;
  readonly remove: (note: NoteView, item: HTMLElement | null) => Promise<void>;
}

function Item({ noted, note, remove }: ItemProps) {
  const item = useRef<HTMLLIElement>(null);
  const refusal = useRefusal();
  const marked = useRef(false); // by a press here, which takes the button that was pressed away
  useEffect(() => {
    if (marked.current) item.current?.focus();
    marked.current = false;
  }, [note.state]);
  const leads = note.look !== null || note.show !== null || note.part !== null;
  const name = `note ${note.number}`;
  const attempt = (doing: () => Promise<void>) => () => void refusal.attempt(doing);
  const turn = (change: Promise<void>): Promise<void> => {
    marked.current = true;
    return change;
  };
  useSignalEffect(() => {
    if (noted.pressed.value !== note.id) return;
    item.current?.scrollIntoView({ block: "nearest" });
    item.current?.focus();
  });
  return (
    <li ref={item} class={`note note--${note.state}`} tabIndex={-1} aria-label={`Note ${note.number}, ${note.state}`}>
      <p class="note__head">
        <span class={`pin pin--${note.state === "done" ? "done" : note.kind}`} aria-hidden="true">{mark(note)}</span>
        <strong>{WORDS[note.kind]}</strong>
        <span class="quiet" dir="auto">{note.where}</span>
      </p>
      {note.text !== "" && <p class="note__words" dir="auto" {...(scrolls(note.text) && { tabIndex: 0 })}>{note.text}</p>}
      <p class="quiet">
        <bdi>{note.by}</bdi>{note.by && ", "}{note.made}
        {note.state === "done" && `; done ${note.done}`}
      </p>
      <Findings findings={note.changed} where={false} />
      <div class="row">
        {leads && <Button icon="look" words="Show" aria-label={`Show ${name}`} onClick={attempt(() => noted.visit(note))} />}
        {note.state === "open" && <Button words="Tick off" aria-label={`Tick off ${name}`} onClick={attempt(() => turn(noted.tick(note)))} />}
        {note.state === "done" && <Button words="Open again" aria-label={`Open ${name} again`} onClick={attempt(() => turn(noted.reopen(note)))} />}
        <Button icon="drop" name={`Remove ${name}`} onClick={attempt(() => remove(note, item.current))} />
      </div>
      {note.state === "done" && (
        <Field label={`Answer to ${name}, which the next file shows`}>
          {(named) => <Typed {...named} autocomplete="off" value={note.answer} commit={(answer) => answer !== note.answer && attempt(() => noted.tick(note, answer))()} />}
        </Field>
      )}
      <Findings findings={refusal.findings} />
    </li>
  );
}

/** Whether words may be more than their box shows, which keys then reach to scroll it. */
function scrolls(words: string): boolean {
  return words.length > 250 || words.split("\n").length > 8;
}

function Bring({ bench: { noted, take }, began }: { bench: Bench; began: boolean }) {
  const chooser = useRef<HTMLInputElement>(null);
  const text = useSignal("");
  const refusal = useRefusal();

  async function paste(): Promise<void> {
    await refusal.attempt(async () => {
      say(await noted.take(text.value, "the message"));
      text.value = "";
    });
  }

  return (
    <Fold title="Bring notes in" open={began}>
      <div class="row">
        <Button icon="open" words="Choose a file of notes" onClick={() => chooser.current?.click()} />
        <input
          ref={chooser}
          type="file"
          accept={KINDS.NOTES.join()}
          hidden
          aria-label="File of notes"
          onChange={({ currentTarget }) => {
            const file = currentTarget.files?.[0];
            if (file) take(file).catch((problem: unknown) => complain(problem, `${file.name} cannot be opened`));
            currentTarget.value = "";
          }}
        />
      </div>
      <Field label={<>Or paste the whole message that has notes in it<span class="for-mouse">, or drop a file anywhere on the page</span></>}>
        {(named) => (
          <textarea {...named} class="input" rows={4} spellcheck={false} dir="auto" value={text.value} onInput={(event) => (text.value = event.currentTarget.value)} />
        )}
      </Field>
      <div class="row">
        <Button words="Add these notes" disabled={text.value.trim() === ""} onClick={() => void paste()} />
      </div>
      <Findings findings={refusal.findings} />
    </Fold>
  );
}
