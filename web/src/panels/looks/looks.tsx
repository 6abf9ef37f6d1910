/** Looks in one click, snapshots in and out. */

import { useSignal } from "@preact/signals";
import type { Bench } from "../../bench";
import { mayReplace } from "../../dialogs/ask";
import { copyOrShow } from "../../dialogs/by-hand";
import type { FindingView } from "../../engine/protocol";
import { download } from "../../ui/browser";
import { Button } from "../../ui/button";
import { Field, Typed } from "../../ui/field";
import { Findings } from "../../ui/finding";
import { Fold } from "../../ui/fold";
import { useRefusal } from "../../ui/refusal";
import { complain, say } from "../../ui/toasts";
import { askingFirst } from "../../work/replacing";
import type { Session } from "../../work/session";
import { BesideDialog } from "./beside";
import { ReachForm } from "./reach-form";
import { takeSnapshot } from "./snapshots";
import "./looks.css";

export function Looks({ bench }: { bench: Bench }) {
  const { session, reach } = bench;
  const comparing = useSignal(false);
  return (
    <div class="stack">
      <h2>Looks</h2>
      <LookList session={session} />
      {(session.prop.value?.looks.length ?? 0) > 0 && (
        <div class="row">
          <Button icon="look" words="Two looks side by side" onClick={() => (comparing.value = true)} />
        </div>
      )}
      <BesideDialog bench={bench} open={comparing} />
      <StoreForm session={session} />
      <Fold title="Move a part or a joint to a target">
        <ReachForm session={session} reach={reach} />
      </Fold>
      <Fold title="Import a snapshot" open>
        <PasteForm session={session} />
      </Fold>
      <Fold title="Export the snapshot" open>
        <CopyForm session={session} />
      </Fold>
    </div>
  );
}

function LookList({ session }: { session: Session }) {
  const looks = session.prop.value?.looks ?? [];
  if (looks.length === 0) return <p class="quiet">No looks yet. Pose the figure, then store the pose.</p>;
  return (
    <ul class="looks">
      {looks.map((look) => (
        <li key={look.name} class="look">
          <Button
            words={look.name}
            class="look__go"
            onClick={() => {
              session.history.settle();
              session.setValues(`Look ${look.name}`, look.values);
            }}
          />
          <Button icon="drop" name={`Remove look ${look.name}`} kind="plain" onClick={() => void session.change(`Remove look ${look.name}`, "drop_look", { name: look.name }, "all").catch(complain)} />
        </li>
      ))}
    </ul>
  );
}

function StoreForm({ session }: { session: Session }) {
  const name = useSignal("");
  const refusal = useRefusal();
  async function store(event: Event): Promise<void> {
    event.preventDefault();
    const look = { name: name.value.trim(), values: session.values() };
    const put = (replace: boolean): Promise<void> => session.change(`Store look ${look.name}`, "store_look", { ...look, replace }, "all");
    await refusal.attempt(async () => {
      if (await askingFirst(put, mayReplace("look"))) name.value = "";
    });
  }
  return (
    <form class="stack" onSubmit={(event) => void store(event)}>
      <div class="row row--end">
        <Field label="Name of a new look">
          {(named) => <Typed {...named} autocomplete="off" value={name.value} typing={(text) => (name.value = text)} commit={() => undefined} />}
        </Field>
        <Button type="submit" words="Store this pose" />
      </div>
      <Findings findings={refusal.findings} />
    </form>
  );
}

function PasteForm({ session }: { session: Session }) {
  const text = useSignal("");
  const taken = useSignal<readonly FindingView[] | null>(null);
  const refusal = useRefusal();
  async function put(): Promise<void> {
    taken.value = null;
    await refusal.attempt(async () => {
      taken.value = await takeSnapshot(session, new TextEncoder().encode(text.value), "");
    });
  }
  return (
    <div class="stack">
      <Field label={<>Snapshot as CSV or JSON<span class="for-mouse">, or drop a file anywhere on the page</span></>}>
        {(named) => (
          <textarea
            {...named}
            class="input"
            rows={5}
            spellcheck={false}
            placeholder={"universe,address,value\n1,9,128"}
            value={text.value}
            onInput={(event) => (text.value = event.currentTarget.value)}
          />
        )}
      </Field>
      <div class="row">
        <Button words="Use these values" kind="main" onClick={() => void put()} />
      </div>
      <div class="stack" role="status">
        {taken.value && <p class="quiet">Values set.</p>}
        <Findings findings={taken.value ?? refusal.findings} />
      </div>
    </div>
  );
}

type Form = "csv" | "json" | "text";

function CopyForm({ session }: { session: Session }) {
  const write = (form: Form): Promise<string> => session.make("write_snapshot", { values: session.values(), form });
  async function copy(form: Form): Promise<void> {
    if (await copyOrShow(await write(form))) say(`Snapshot copied as ${form === "text" ? "text" : form.toUpperCase()}.`);
  }
  async function save(): Promise<void> {
    const { folder } = session.history.work();
    download(`${folder}.csv`, await write("csv"), "text/csv");
  }
  return (
    <div class="row">
      <Button icon="copy" words="CSV" aria-label="Copy as CSV" onClick={() => void copy("csv").catch(complain)} />
      <Button icon="copy" words="JSON" aria-label="Copy as JSON" onClick={() => void copy("json").catch(complain)} />
      <Button icon="copy" words="text" aria-label="Copy as text" onClick={() => void copy("text").catch(complain)} />
      <Button icon="save" words="CSV file" onClick={() => void save().catch(complain)} />
    </div>
  );
}
