/** The map of a pair over its two most telling channels; it follows the values that stand. */

import { type Signal, untracked, useSignal, useSignalEffect } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import type { FileView } from "../../engine/protocol";
import { apart } from "../../ui/apart";
import { download } from "../../ui/browser";
import { Button } from "../../ui/button";
import { Field, Select } from "../../ui/field";
import { Findings } from "../../ui/finding";
import { useRefusal } from "../../ui/refusal";
import type { Session } from "../../work/session";
import type { Surveyor } from "./surveyor";

export type Pair = readonly [string, string];

const PAUSE_MS = 400; // values that still move would only make the worker late

export function StrikeMap({ session, surveyor, pair }: { session: Session; surveyor: Surveyor; pair: Signal<Pair | null> }) {
  const drawn = useSignal<FileView | null>(null);
  const drawing = useSignal(false);
  const refusal = useRefusal();
  const pairs = session.prop.value?.pairs ?? [];

  // Another pair is drawn at once, other values when they have come to rest.
  useSignalEffect(() => {
    pair.value;
    drawn.value = null;
    untracked(() => void draw());
  });
  useSignalEffect(() => {
    session.history.record.value;
    const timer = window.setTimeout(() => drawn.peek() && void draw(), PAUSE_MS);
    return () => clearTimeout(timer);
  });

  async function draw(): Promise<void> {
    const wanted = pair.peek();
    if (!wanted) return;
    drawing.value = true;
    await refusal.attempt(async () => {
      const made = await surveyor.map(wanted, session.values());
      if (made && pair.peek() === wanted) drawn.value = made;
    });
    drawing.value = false;
  }

  const file = drawn.value;
  return (
    <div class="stack">
      <Field label="Pair">
        {(named) => (
          <Select
            {...named}
            options={[["", "Choose a pair"], ...pairs.map((each) => [JSON.stringify(each), each.map(apart).join(" – ")] as const)]}
            value={pair.value ? JSON.stringify(pair.value) : ""}
            pick={(text) => (pair.value = text ? (JSON.parse(text) as Pair) : null)}
          />
        )}
      </Field>
      <div class="quiet" role="status">
        {drawing.value && !file && "Drawing the map…"}
        <Findings findings={refusal.findings} />
      </div>
      <Drawing file={file} />
      {file && (
        <div class="row">
          <Button icon="save" words="Save as SVG" onClick={() => download(file.name, file.data, file.type)} />
        </div>
      )}
    </div>
  );
}

/** Python's drawing, as it is. */
function Drawing({ file }: { file: FileView | null }) {
  const paper = useRef<HTMLDivElement>(null);
  useEffect(() => {
    if (!file) return paper.current?.replaceChildren();
    const text = new TextDecoder().decode(file.data);
    paper.current?.replaceChildren(document.adoptNode(new DOMParser().parseFromString(text, "image/svg+xml").documentElement));
  }, [file]);
  return <div ref={paper} class="map" tabIndex={0} role="region" aria-label="Map" />;
}
