/** Two looks side by side, with what differs in values and degrees. */

import { type Signal, useSignal, useSignalEffect } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import type { Bench } from "../../bench";
import type { BesideView, DifferenceRow, LookView } from "../../engine/protocol";
import { Button } from "../../ui/button";
import { Dialog } from "../../ui/dialog";
import { Field, Select } from "../../ui/field";
import { Table } from "../../ui/table";
import { complainUnasked } from "../../ui/toasts";
import type { Values } from "../../work/history";
import { createTwins, type Twins } from "./beside-view";

const NOW = "the pose that stands"; // stands first, by which it is told from a look that has these words for its name

export function BesideDialog({ bench, open }: { bench: Bench; open: Signal<boolean> }) {
  const twins = useRef<Twins | null>(null);
  return (
    <Dialog title="Two looks side by side" open={open} wide>
      <Beside bench={bench} twins={() => (twins.current ??= createTwins(bench.session, bench.view))} />
    </Dialog>
  );
}

function Beside({ bench: { session }, twins }: { bench: Bench; twins: () => Twins }) {
  const looks = session.prop.value?.looks ?? [];
  const [left, right] = [useSignal(0), useSignal(looks.length > 1 ? 1 : -1)];
  const found = useSignal<BesideView | null>(null);
  const part = useSignal<string | null>(null);

  useSignalEffect(() => {
    const prop = session.prop.value;
    const glb = session.picture.value;
    session.history.record.value;
    const poses = { left: valuesOf(session.values(), prop?.looks ?? [], left.value), right: valuesOf(session.values(), prop?.looks ?? [], right.value) };
    if (!prop || !glb) return;
    session.engine.ask("beside", poses).then(
      (view) => {
        found.value = view;
        return twins().show(glb, prop.links, view);
      },
    ).catch(complainUnasked);
  });
  useSignalEffect(() => twins().choose(part.value));

  const names = [[String(-1), NOW] as const, ...looks.map(({ name }, index) => [String(index), name] as const)];
  return (
    <>
      <div class="beside">
        <Side label="Left" names={names} which={left} holder={() => twins().holders[0]} />
        <Side label="Right" names={names} which={right} holder={() => twins().holders[1]} />
      </div>
      <p role="status">{found.value?.sentence ?? "Comparing…"}</p>
      {found.value && found.value.drives.length > 0 && <Differences caption="Values that differ" heads={["Drive", "Joint"]} rows={found.value.drives} part={part} />}
      {found.value && found.value.joints.length > 0 && <Differences caption="Joints that stand elsewhere" heads={["Joint", "Part"]} rows={found.value.joints} part={part} />}
    </>
  );
}

interface SideProps {
  readonly label: string;
  readonly names: readonly (readonly [string, string])[];
  readonly which: Signal<number>;
  readonly holder: () => HTMLElement;
}

function Side({ label, names, which, holder }: SideProps) {
  const place = useRef<HTMLDivElement>(null);
  useEffect(() => place.current?.append(holder()), []);
  return (
    <div class="stack">
      <Field label={label}>
        {(named) => <Select {...named} options={names} value={String(which.value)} pick={(to) => (which.value = Number(to))} />}
      </Field>
      <div ref={place} class="beside__picture" />
    </div>
  );
}

function Differences({ caption, heads, rows, part }: { caption: string; heads: readonly string[]; rows: readonly DifferenceRow[]; part: Signal<string | null> }) {
  const cells = rows.map((row) => [
    row.part === null ? row.name : (
      <Button words={row.name} kind="plain" title="Outline its part in both pictures" aria-pressed={part.value === row.part} onClick={() => (part.value = part.value === row.part ? null : row.part)} />
    ),
    row.of,
    row.left,
    row.right,
    row.by,
  ]);
  return <Table caption={caption} heads={[...heads, "Left", "Right", "Differs by"]} rows={cells} />;
}

/** The values of a look by its number; of none, those that stand. */
function valuesOf(now: Values, looks: readonly LookView[], which: number): Values {
  return looks[which]?.values ?? now;
}
