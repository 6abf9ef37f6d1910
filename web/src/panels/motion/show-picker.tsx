/** Which show is open: one of the prop, a file of one's own, or a new one that begins with this pose. */

import { useSignal } from "@preact/signals";
import { useRef } from "preact/hooks";
import { KINDS } from "../../engine/protocol";
import { Button } from "../../ui/button";
import { Field, Select, Typed } from "../../ui/field";
import { Findings } from "../../ui/finding";
import { useRefusal } from "../../ui/refusal";
import type { Session } from "../../work/session";
import type { Rehearsal } from "./rehearsal";
import { SHOWS } from "./shows";

interface ShowPickerProps {
  readonly session: Session;
  readonly rehearsal: Rehearsal;
  readonly take: (file: File) => Promise<void>;
  /** Hears when a new show was made. */
  readonly began: () => void;
}

export function ShowPicker({ session, rehearsal, take, began }: ShowPickerProps) {
  const title = useSignal("");
  const refusal = useRefusal();
  const chooser = useRef<HTMLInputElement>(null);
  const show = rehearsal.show.value;
  const kept = Object.keys(session.history.record.value.work.files).filter((path) => path.startsWith(SHOWS));
  const files = show && !kept.includes(show.file) ? [...kept, show.file] : kept;

  function choose(file: string): void {
    if (file === "") rehearsal.close();
    else void refusal.attempt(() => rehearsal.open(file));
  }

  async function begin(event: Event): Promise<void> {
    event.preventDefault();
    await refusal.attempt(async () => {
      const name = title.value.trim();
      const file = `${SHOWS}${name}.toml`;
      await session.change(`Begin show ${name}`, "begin_show", { title: name, values: session.values() }, file);
      await rehearsal.open(file);
      title.value = "";
      began();
    });
  }

  return (
    <div class="stack">
      <div class="row row--end">
        <Field label="Show">
          {(named) => (
            <Select
              {...named}
              options={[["", files.length > 0 ? "Choose a show…" : "No shows yet"], ...files.map((file) => [file, file.replace(SHOWS, "")] as const)]}
              value={show?.file ?? ""}
              pick={choose}
            />
          )}
        </Field>
        <Button icon="open" words="Open a file" onClick={() => chooser.current?.click()} />
        <input
          ref={chooser}
          type="file"
          accept={KINDS.SHOWS.join(",")}
          hidden
          aria-label="Show to open"
          onChange={({ currentTarget }) => {
            const file = currentTarget.files?.[0];
            if (file) void refusal.attempt(() => take(file));
            currentTarget.value = "";
          }}
        />
      </div>
      <form class="row row--end" onSubmit={(event) => void begin(event)}>
        <Field label="Name of a new show">
          {(named) => <Typed {...named} autocomplete="off" value={title.value} typing={(text) => (title.value = text)} commit={() => undefined} />}
        </Field>
        <Button type="submit" words="Begin with this pose" />
      </form>
      <div class="stack" role="status">
        <Findings findings={[...refusal.findings, ...(show?.findings ?? [])]} />
      </div>
    </div>
  );
}
