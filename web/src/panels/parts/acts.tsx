/** What can be done with a part as a whole: one more, another name, another place in the tree, away with it. */

import { type Signal, useSignal } from "@preact/signals";
import type { ComponentChildren } from "preact";
import { ask } from "../../dialogs/ask";
import type { PartView } from "../../engine/protocol";
import { apart } from "../../ui/apart";
import { Button } from "../../ui/button";
import { Field, Select, Typed } from "../../ui/field";
import { Findings } from "../../ui/finding";
import { useRefusal } from "../../ui/refusal";
import { complain } from "../../ui/toasts";
import type { Session } from "../../work/session";
import { NewShape } from "./new-shape";

interface ActsProps {
  readonly session: Session;
  readonly parts: readonly PartView[];
  readonly chosen: PartView | null;
}

type Act = "add" | "rename" | "hang";

export function Acts({ session, parts, chosen }: ActsProps) {
  const act = useSignal<Act | null>(null);
  const isRoot = chosen?.parent === null;
  const toggle = (which: Act) => ({ "aria-expanded": act.value === which, onClick: () => void (act.value = act.value === which ? null : which) });
  return (
    <>
      <div class="row" role="group" aria-label="What to do with parts">
        <Button icon="add" words="Add a part" {...toggle("add")} />
        <Button words="Rename" disabled={!chosen} {...toggle("rename")} />
        <Button words="Hang elsewhere" disabled={!chosen || isRoot} title={isRoot ? "It carries all other parts; hang the others" : undefined} {...toggle("hang")} />
        <Button
          icon="drop"
          words="Remove"
          disabled={!chosen || isRoot}
          title={isRoot ? "It carries all other parts, so nothing would be left" : undefined}
          onClick={() => chosen && void remove(session, chosen.name).catch(complain)}
        />
      </div>
      {act.value === "add" && <AddPart session={session} parts={parts} chosen={chosen} done={act} />}
      {act.value === "rename" && chosen && <Rename key={chosen.name} session={session} name={chosen.name} done={act} />}
      {act.value === "hang" && chosen && !isRoot && <Hang key={chosen.name} session={session} parts={parts} chosen={chosen} done={act} />}
    </>
  );
}

interface ActProps {
  readonly session: Session;
  readonly done: Signal<Act | null>;
}

/** A small form whose way out is Escape; what Python refuses is told in it. */
function Act({ done, go, words, children }: { done: Signal<Act | null>; go: () => Promise<void>; words: string; children: ComponentChildren }) {
  const refusal = useRefusal();
  return (
    <form
      class="stack part-act"
      onKeyDown={(event) => event.key === "Escape" && (done.value = null)}
      onSubmit={(event) => {
        event.preventDefault();
        void refusal.attempt(go).then((made) => made && (done.value = null));
      }}
    >
      {children}
      <div role="alert">
        <Findings findings={refusal.findings} where={false} />
      </div>
      <div class="row">
        <Button type="submit" kind="main" words={words} />
        <Button words="Cancel" onClick={() => (done.value = null)} />
      </div>
    </form>
  );
}

/** Puts the focus where the builder goes on typing. */
const focused = (input: HTMLInputElement | null): void => input?.focus();

function AddPart({ session, parts, chosen, done }: ActsProps & ActProps) {
  const name = useSignal("");
  const parent = useSignal(chosen?.name ?? parts[0]?.name ?? "");
  return (
    <NewShape session={session} title="Add a part" words="Add the part" done={() => (done.value = null)} hint="Places are in the world, in mm, with every joint at 0; the new part is fixed until its joint is made to move."
      make={async (form, keys) => {
        const called = name.value.trim();
        await session.change(`Add ${called}`, "add_part", { name: called, parent: parent.value, form, keys });
        session.part.value = called;
      }}
    >
      <Field label="Name of the part">
        {(named) => <Typed {...named} inputRef={focused} autocomplete="off" value={name.value} typing={(text) => (name.value = text)} commit={() => undefined} />}
      </Field>
      <Field label="Hangs on">
        {(named) => <Select {...named} options={parts.map((part) => [part.name, part.name] as const)} value={parent.value} pick={(part) => (parent.value = part)} />}
      </Field>
    </NewShape>
  );
}

function Rename({ session, name, done }: ActProps & { name: string }) {
  const to = useSignal(name);
  return (
    <Act
      done={done}
      words="Rename it"
      go={async () => {
        const called = to.value.trim();
        await session.change(`Rename ${name}`, "rename", { kind: "links", name, new: called }, "all");
        session.part.value = called;
      }}
    >
      <Field label={`New name of ${apart(name)}`} hint="It changes wherever the part is named.">
        {(named) => <Typed {...named} inputRef={focused} autocomplete="off" value={to.value} typing={(text) => (to.value = text)} commit={() => undefined} />}
      </Field>
    </Act>
  );
}

function Hang({ session, parts, chosen, done }: ActProps & { parts: readonly PartView[]; chosen: PartView }) {
  const places = parts.filter((part) => !carried(parts, part, chosen));
  const to = useSignal(chosen.parent ?? "");
  return (
    <Act done={done} words="Hang it there" go={() => session.change(`Hang ${chosen.name} on ${to.value}`, "hang", { part: chosen.name, parent: to.value })}>
      <Field label={`${apart(chosen.name)} hangs on`} hint="It stays where it is, with all that hangs on it.">
        {(named) => <Select {...named} options={places.map(({ name }) => [name, name] as const)} value={to.value} pick={(part) => (to.value = part)} />}
      </Field>
    </Act>
  );
}

/** Whether `part` is `carrier` or hangs on it, near or far. */
function carried(parts: readonly PartView[], part: PartView, carrier: PartView): boolean {
  if (part.name === carrier.name) return true;
  const above = parts.find(({ name }) => name === part.parent);
  return above !== undefined && carried(parts, above, carrier);
}

/** Remove a part; what goes with it is told first. */
async function remove(session: Session, name: string): Promise<void> {
  const { rows } = await session.engine.ask("goes_with", { kind: "links", name });
  const { notes } = await session.engine.ask("notes", {});
  const left = notes.filter(({ part }) => part === name).length;
  const stay = left > 0 ? ` ${left === 1 ? "A note" : `${left} notes`} of the director belong${left === 1 ? "s" : ""} to it: kept, and told that the part is gone.` : "";
  // Its own joint goes without saying: nothing else can be held by it.
  const words = rows.length > 0 ? `With it go: ${rows.join("; ")}. Undo brings all of it back.` : "Undo brings it back.";
  const sure = await ask({ title: `Remove ${name}?`, words: words + stay, yes: rows.length > 1 ? "Remove all of it" : "Remove it", no: "Keep it" });
  if (!sure) return;
  session.part.value = null;
  await session.change(`Remove ${name}`, "remove", { kind: "links", name, with_all: true }, "all");
}
