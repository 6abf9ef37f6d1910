/** What is to be said of what is seen: approve it, ask for a change, or note something. */

import { useRef } from "preact/hooks";
import { Button } from "../ui/button";
import { Field, Select } from "../ui/field";
import type { Desk } from "./desk";
import { NOTHING } from "./draft";
import type { Kind } from "./note";
import { isEarlier, lastWord } from "./word";

export const FORM_ID = "feedback"; // where the focus goes when what had it is gone

export function NoteForm({ desk }: { desk: Desk }) {
  const { about, draft, notes, said } = desk;
  const { look, show } = about.value;
  const named = look !== null || show !== null;
  const own = notes.value.find((note) => note.kind === "approved" && note.look === look && note.show === show);
  const last = look === null ? lastWord(desk, "show", show) : lastWord(desk, "look", look);
  const came = last?.kind === "approved" && !isEarlier(desk, last);
  const full = notes.value.length >= said.limits.notes;
  const form = useRef<HTMLElement>(null);
  const text = useRef<HTMLTextAreaElement>(null);

  function begin(kind: Kind): void {
    if (draft.revises.value) {
      desk.heard.value = "Finish the note that you are changing first: keep its words, or cancel.";
      text.current?.focus();
      return;
    }
    draft.begin(kind, about.value);
    [desk.lit.value, desk.heard.value] = [null, ""];
    desk.player.pause();
    requestAnimationFrame(() => text.current?.focus());
  }

  function done(): void {
    const opener = `[data-opens="${draft.kind.value}"]:enabled`;
    draft.done();
    requestAnimationFrame(() => (form.current?.querySelector<HTMLElement>(opener) ?? form.current)?.focus());
  }

  function approve(): void {
    if (own) desk.drop(own);
    else if (came) desk.heard.value = "Approved before, and the builder has it. If it is not right after all, ask for a change.";
    else desk.add("approved", { look, show });
  }

  return (
    <section id={FORM_ID} ref={form} class="stack stack--close" aria-label="Your feedback" tabIndex={-1}>
      <h2>{look !== null || show !== null ? `${look === null ? "Show" : "Look"}: ` : ""}<bdi>{desk.told(about.value)}</bdi></h2>
      <div class="row words">
        {named && (
          <Button icon="check" words={own || came ? "Approved" : "Approve"} aria-pressed={Boolean(own ?? came)} disabled={full && !own && !came} onClick={approve} />
        )}
        {named && <Button icon="pen" words="Ask for a change" data-opens="change" disabled={full} onClick={() => begin("change")} />}
        <Button icon="pin" words="Note" data-opens="note" disabled={full} onClick={() => begin("note")} />
      </div>
      {full && <p class="quiet">One file takes {said.limits.notes} notes. Download and send them, then remove some.</p>}
      {draft.open.value && (!full || draft.revises.value) && <Composer desk={desk} text={text} done={done} />}
      {!draft.open.value && <Elsewhere desk={desk} text={text} />}
      {!draft.open.value && draft.part.value !== null && (
        <p class="quiet">Chosen: <bdi>{desk.place({ part: draft.part.value })}</bdi>. A note will be pinned to it.</p>
      )}
      {show !== null && draft.open.value && <p class="quiet">The show is paused. For another moment, move it there and choose that under About.</p>}
    </section>
  );
}

/** What was being written in other tabs of the file: nothing of it is lost with them. */
function Elsewhere({ desk: { draft }, text }: { desk: Desk; text: { current: HTMLTextAreaElement | null } }) {
  return (
    <>
      {draft.elsewhere.value.map((from) => (
        <div key={from.key} class="row elsewhere">
          <p class="quiet">Being written in another tab, or left there: <bdi>{beginOf(from.text)}</bdi></p>
          <Button
            icon="pen"
            words="Go on with it here"
            onClick={() => {
              draft.fetch(from);
              requestAnimationFrame(() => text.current?.focus());
            }}
          />
        </div>
      ))}
    </>
  );
}

const BEGIN = 60; // letters, by which one knows again what one wrote

function beginOf(text: string): string {
  const letters = [...text.trim()];
  return letters.length > BEGIN ? `${letters.slice(0, BEGIN).join("")}…` : letters.join("");
}

function Composer({ desk, text, done }: { desk: Desk; text: { current: HTMLTextAreaElement | null }; done: () => void }) {
  const { about, by, draft, said } = desk;
  const kind = draft.kind.value;
  const revises = draft.revises.value;
  const began = draft.about.value;
  const choices = [began, about.value, NOTHING].filter(({ look, show }) => kind === "note" || look !== null || show !== null);
  const subjects = new Map(choices.map((each) => [desk.place(each), each]));
  const long = draft.text.value.length > said.limits.letters;

  function add(event: Event): void {
    event.preventDefault();
    if (!draft.text.value.trim() || long) {
      desk.heard.value = long ? "" : kind === "change" ? "Write what should change first." : "Write the note first.";
      text.current?.focus();
      return;
    }
    const said = { ...began, part: draft.part.value, point_mm: draft.part.value === null ? null : draft.point.value, text: draft.text.value.trim() };
    if (revises) desk.revise(revises, { kind, ...said });
    else desk.add(kind, said);
    done();
  }

  return (
    <form class="composer stack" onSubmit={add}>
      <Field label={kind === "change" ? "What should change?" : "Note"}>
        {(id) => (
          <textarea
            {...id}
            ref={text}
            class="input"
            rows={3}
            dir="auto"
            value={draft.text.value}
            aria-invalid={long}
            onInput={(event) => (draft.text.value = event.currentTarget.value)}
          />
        )}
      </Field>
      {long && <p role="alert" class="finding finding--error">{draft.text.value.length} letters; {said.limits.letters} at most are taken. Put the rest in another note.</p>}
      <Field label="About">
        {(id) => (
          <Select
            {...id}
            options={[...subjects.keys()].map((place) => [place, place] as const)}
            value={desk.place(began)}
            pick={(place) => (draft.about.value = subjects.get(place) ?? began)}
          />
        )}
      </Field>
      <Field label="Part" hint="Or tap it in the picture: the note is then pinned to that very point.">
        {(id) => (
          <Select
            {...id}
            options={[["", "no part"], ...said.figure.links.map((link, row) => [`${row}`, said.told[row] ?? link] as const)]}
            value={draft.part.value === null ? "" : String(said.figure.links.indexOf(draft.part.value))}
            pick={(row) => {
              draft.part.value = row === "" ? null : (said.figure.links[Number(row)] ?? null);
              [draft.point.value, desk.lit.value] = [null, null];
            }}
          />
        )}
      </Field>
      <Field label="Your name, if you like">
        {(id) => (
          <input {...id} class="input" type="text" autocomplete="off" maxLength={said.limits.name_letters} value={by.value} onInput={(event) => (by.value = event.currentTarget.value)} />
        )}
      </Field>
      <div class="row">
        <Button type="submit" words={revises ? "Keep these words" : kind === "change" ? "Add the change" : "Add the note"} kind="main" />
        <Button words="Cancel" onClick={done} />
      </div>
    </form>
  );
}
