/** What is to be said of what is seen: approve it, ask for a change, or note something. */

import { useRef } from "preact/hooks";
import { Button } from "../ui/button";
import { Field, Select } from "../ui/field";
import type { Desk } from "./desk";
import type { Kind } from "./note";

export function NoteForm({ desk }: { desk: Desk }) {
  const { about, draft, notes, said } = desk;
  const { look, show, time_s } = about.value;
  const named = look !== null || show !== null;
  const approval = notes.value.find((note) => note.kind === "approved" && note.look === look && note.show === show);
  const full = notes.value.length >= said.limits.notes;
  const text = useRef<HTMLTextAreaElement>(null);

  function begin(kind: Kind): void {
    draft.open.value = true;
    draft.kind.value = kind;
    draft.whole.value = !named;
    desk.player.pause();
    requestAnimationFrame(() => text.current?.focus());
  }

  return (
    <section class="stack stack--close" aria-label="Your word on it">
      <h2>{named ? <>Your word on <bdi>{desk.place({ ...empty, look, show, time_s: null })}</bdi></> : "Your word on it"}</h2>
      <div class="row words">
        {named && (
          <Button
            icon="check"
            words={approval ? "Approved" : "Approve"}
            aria-pressed={approval !== undefined}
            disabled={full && !approval}
            onClick={() => (approval ? desk.drop(approval) : desk.add("approved", { look, show }))}
          />
        )}
        {named && <Button icon="pen" words="Ask for a change" disabled={full} onClick={() => begin("change")} />}
        <Button icon="pin" words="Note" disabled={full} onClick={() => begin("note")} />
      </div>
      {full && <p class="quiet">{said.limits.notes} notes are all that one file takes: take them out, and remove those.</p>}
      {draft.open.value && !full && <Composer desk={desk} text={text} named={named} />}
      {!draft.open.value && draft.part.value !== null && (
        <p class="quiet">Chosen: <bdi>{desk.place({ ...empty, part: draft.part.value })}</bdi>. A note will be pinned to it.</p>
      )}
      {show !== null && time_s !== null && draft.open.value && <p class="quiet">The show is paused; move it to the moment you mean.</p>}
    </section>
  );
}

const empty = { id: "", made: "", kind: "note" } as const;

function Composer({ desk, text, named }: { desk: Desk; text: { current: HTMLTextAreaElement | null }; named: boolean }) {
  const { about, by, draft, said } = desk;
  const kind = draft.kind.value;
  const what = draft.whole.value ? { look: null, show: null, time_s: null } : about.value;
  const long = draft.text.value.length > said.limits.letters;

  function done(): void {
    draft.open.value = false;
    draft.text.value = "";
    [draft.part.value, draft.point.value] = [null, null];
  }

  function add(event: Event): void {
    event.preventDefault();
    if (!draft.text.value.trim() || long) {
      desk.heard.value = long ? "" : "Write a word first: what is to be changed, or noted.";
      text.current?.focus();
      return;
    }
    desk.add(kind, { ...what, part: draft.part.value, point_mm: draft.part.value === null ? null : draft.point.value, text: draft.text.value.trim() });
    done();
  }

  return (
    <form class="composer stack" onSubmit={add}>
      <Field label={kind === "change" ? "What is to be changed" : "What you note"}>
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
      {long && <p role="alert" class="finding finding--error">{draft.text.value.length} letters; {said.limits.letters} at most are taken. Say the rest in a note more.</p>}
      <Field label="About">
        {(id) => (
          <Select
            {...id}
            options={[...(named ? [["seen", desk.place({ ...empty, ...about.value })] as const] : []), ...(kind === "note" || !named ? [["whole", "the whole figure"] as const] : [])]}
            value={draft.whole.value ? "whole" : "seen"}
            pick={(to) => (draft.whole.value = to === "whole")}
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
              draft.point.value = null;
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
        <Button type="submit" words={kind === "change" ? "Add the change" : "Add the note"} kind="main" />
        <Button words="Cancel" onClick={done} />
      </div>
    </form>
  );
}
