/** Measure a servo: pulses and angles in a table, the fit drawn at once, taken into the servo type with one press. */

import { useSignal, useSignalEffect } from "@preact/signals";
import { ask } from "../../dialogs/ask";
import type { DriveView, MeasuredView, PropView, SentView } from "../../engine/protocol";
import { Button } from "../../ui/button";
import { Field, Select } from "../../ui/field";
import { Findings } from "../../ui/finding";
import { useRefusal } from "../../ui/refusal";
import { complain, complainUnasked, say } from "../../ui/toasts";
import type { Session } from "../../work/session";
import { full, kept, keepRows, measuredOf, type Row, rowsOf } from "./draft";
import { FitChart } from "./fit-chart";
import { MeasureTable } from "./measure-table";
import { NoRoom } from "./no-room";

export function Measure({ session }: { session: Session }) {
  const picked = useSignal<string | null>(null);
  const prop = session.prop.value;
  if (!prop) return null;
  const opened = session.opened.value;
  const drive = session.drive.value ?? prop.drives[0];
  const names = [...new Set([...prop.servos.map(({ name }) => name), ...measuredOf(opened)])];
  const servo = picked.value !== null && names.includes(picked.value) ? picked.value : (drive?.servo ?? names[0]);
  if (servo === undefined) return <p class="quiet">No servo types yet. Make one with the first drive, and measure it here.</p>;
  const there = (name: string): boolean => prop.servos.some((each) => each.name === name);
  return (
    <>
      <Field label="Servo type to measure">
        {(named) => (
          <Select
            {...named}
            options={names.map((name) => [name, there(name) ? name : `${name} (not in this prop now)`] as const)}
            value={servo}
            pick={(name) => (picked.value = name)}
          />
        )}
      </Field>
      <Table key={servo} session={session} prop={prop} opened={opened} servo={servo} />
    </>
  );
}

interface TableProps {
  readonly session: Session;
  readonly prop: PropView;
  readonly opened: string;
  readonly servo: string;
}

function Table({ session, prop, opened, servo }: TableProps) {
  const found = useSignal<MeasuredView | null>(null);
  const sent = useSignal<readonly SentView[]>([]);
  const refusal = useRefusal();
  const rows = rowsOf(opened, servo);
  const drive = driveOf(session, prop, servo);

  useSignalEffect(() => {
    void session.prop.value; // its servo and end points count, too
    const now = rowsOf(opened, servo);
    session.engine.ask("measured", { servo, rows: now }).then(
      (view) => (found.value = view),
      complainUnasked,
    );
  });

  function set(next: readonly Row[]): boolean {
    refusal.clear();
    return keepRows(opened, servo, next, prop.name);
  }

  async function fill(of: DriveView): Promise<void> {
    sent.value = await session.engine.ask("to_measure", { drive: of.name });
    const now = rowsOf(opened, servo); // with what was typed meanwhile
    const there = new Set(now.map(([pulse]) => pulse.trim()));
    set([...now, ...sent.value.filter(({ pulse }) => !there.has(pulse)).map(({ pulse }): Row => [pulse, ""])]);
  }

  async function paste(text: string, at: number): Promise<void> {
    const pasted = await session.engine.ask("pasted", { text });
    const now = rowsOf(opened, servo);
    const taken = set([...now.slice(0, at), ...pasted, ...now.slice(at + givingWay(now.slice(at), pasted))]);
    if (taken) say(`${pasted.length} ${pasted.length === 1 ? "row" : "rows"} pasted.`);
  }

  async function take(): Promise<void> {
    await session.change(`Measured points of ${servo}`, "take_measured", { servo, rows: rowsOf(opened, servo) });
    say(`The points of ${servo} are those measured. Undo restores what it had.`);
  }

  async function empty(): Promise<void> {
    const words = "What you measured is not in the prop file unless you took it. This cannot be undone.";
    if (await ask({ title: `Empty the table of ${servo}?`, words, yes: "Empty it", no: "Keep it" })) set([]);
  }

  const fit = found.value?.fit;
  return (
    <>
      <ol class="measure__steps quiet">
        <li>Fix a protractor behind the horn, and a pointer on it.</li>
        <li>Send a value, wait until the servo rests, and write down pulse (µs) and angle (°). Go up and then down again: that shows its play.</li>
        <li>Count angles from where the shaft stands at 1500 µs, plus to one side. Where that turns the servo round, you are told.</li>
      </ol>
      {drive && (
        <div class="row">
          <Button words={`Fill in pulses for ${drive.name}`} onClick={() => void refusal.attempt(() => fill(drive))} />
          <span class="quiet">from end point to end point, with the value to send</span>
        </div>
      )}
      <MeasureTable rows={rows} told={found.value?.rows ?? []} sent={sent.value} set={set} paste={(text, at) => void refusal.attempt(() => paste(text, at))} />
      {full.value > 0 && <NoRoom />}
      {!kept.value && <p class="quiet">This browser keeps nothing: copy the table before you leave the page.</p>}
      {fit && <FitChart fit={fit} rows={found.value?.rows ?? []} />}
      <div class="stack stack--close" role="status">
        {fit && <p>Line: {fit.line_text}.</p>}
        <Findings findings={[...refusal.findings, ...(found.value?.findings ?? [])]} />
      </div>
      <div class="row">
        <Button words={`Take these points into ${servo}`} kind="main" disabled={!fit} onClick={() => void refusal.attempt(take)} />
        {rows.length > 0 && <Button words="Empty the table" kind="plain" onClick={() => void empty().catch(complain)} />}
      </div>
    </>
  );
}

/** How many rows can be written over from the first on: each cell is empty or the same already, so that no reading is lost. */
function givingWay(rows: readonly Row[], by: readonly Row[]): number {
  const stays = rows.findIndex((row, at) => row.some((cell, column) => cell.trim() !== "" && cell.trim() !== by[at]?.[column]));
  return Math.min(by.length, stays < 0 ? rows.length : stays);
}

/** The drive to measure by: the chosen one if it has this servo type. */
function driveOf(session: Session, prop: PropView, servo: string): DriveView | undefined {
  const chosen = session.drive.value;
  return chosen?.servo === servo ? chosen : prop.drives.find((each) => each.servo === servo);
}
