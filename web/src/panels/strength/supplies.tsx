/** What feeds the drives and what makes their pulses, to be edited: supplies, which drive hangs on which, loss of values. */

import { type Signal, useSignal } from "@preact/signals";
import type { ComponentChildren } from "preact";
import { useRef } from "preact/hooks";
import { ask } from "../../dialogs/ask";
import type { FeedView, FieldView, PropView } from "../../engine/protocol";
import { apart } from "../../ui/apart";
import { Button } from "../../ui/button";
import { Field, Typed } from "../../ui/field";
import { Findings } from "../../ui/finding";
import { Numeral } from "../../ui/numeral";
import { useRefusal } from "../../ui/refusal";
import { needed } from "../../ui/typed-number";
import type { Session } from "../../work/session";
import { Settings } from "../calibration/calibration";

interface Props {
  readonly session: Session;
  readonly prop: PropView;
}

export function Supplies({ session, prop }: Props) {
  const adding = useSignal(false);
  const add = useRef<HTMLDivElement>(null);
  // Keyed by their place: a supply that is renamed keeps the focus, though its path is another.
  return (
    <div class="stack">
      {prop.feeds.map((feed, at) => <Feed key={at} session={session} prop={prop} feed={feed} gone={() => focus(add.current?.querySelector("button"))} />)}
      <OfEach session={session} prop={prop} keyed="supply" legend="Which supply feeds each drive" />
      <div ref={add}>
        <Small open={adding} words="Add a supply" go="Add it" make={async ({ voltage = 0, current = 0 }, { name: called = "" }) => {
          const name = called.trim();
          await session.change(`Add supply ${name}`, "add_supply", { name, voltage, current });
        }} asks={[["name", "Name of the supply", ""], ...SUPPLY]} />
      </div>
    </div>
  );
}

/** Where the focus goes when what had it went away with what it did. */
const focus = (to: HTMLElement | null | undefined): void => to?.focus();

/** What a small form asks for: a key, what it is called, its unit; a number where it has one. */
type Asked = readonly [key: string, label: string, unit: string];
const SUPPLY: readonly Asked[] = [["voltage", "Voltage", "V"], ["current", "Current it can give all the time", "A"]];
const WIRE: readonly Asked[] = [["length", "From the supply to the servos, one way", "mm"], ["area", "Cross-section of one wire", "mm²"]];

interface FeedProps extends Props {
  readonly feed: FeedView;
  /** The supply was removed. */
  readonly gone: () => void;
}

function Feed({ session, prop, feed, gone }: FeedProps) {
  const refusal = useRefusal();
  const box = useRef<HTMLFieldSetElement>(null);
  const [coming, wiring] = [useSignal(false), useSignal(false)];
  const first = feed.path === "supply";
  const { name, path, drives } = feed;

  async function edit(label: string, changes: Record<string, number | null>): Promise<void> {
    await session.change(label, "edit_all", { changes });
    focus(box.current);
  }

  async function rename(to: string): Promise<void> {
    const called = to.trim();
    if (called !== "" && called !== name) await refusal.attempt(() => session.change(`Rename supply ${name} to ${called}`, "rename", { kind: "supplies", name, new: called }));
  }

  async function remove(): Promise<void> {
    const { rows } = first ? { rows: drives.map((drive) => `${apart(drive)} (nothing would feed it)`) } : await session.engine.ask("goes_with", { kind: "supplies", name });
    const sure = rows.length === 0 || (await ask({ title: `Remove supply ${apart(name)}?`, words: `It feeds: ${rows.join("; ")}. Undo brings all of it back.`, yes: "Remove it", no: "Keep it" }));
    if (!sure) return;
    if (first) await session.change("Remove the supply", "edit_all", { changes: { [path]: null } });
    else await session.change(`Remove supply ${name}`, "remove", { kind: "supplies", name, with_all: true });
    gone();
  }

  return (
    <fieldset ref={box} class="stack" tabIndex={-1} data-feed={name}>
      <legend>{first ? "Supply" : `Supply ${apart(name)}`}</legend>
      <p class="quiet">{feedsText(feed, prop, first)}</p>
      {!first && <Field label="Name">{(named) => <Typed {...named} value={name} commit={(to) => void rename(to)} />}</Field>}
      <Settings session={session} fields={feed.fields} within={path} />
      {!feed.there && (
        <Small open={coming} words="Add the supply" go="Add" asks={SUPPLY} make={(figures) => edit("Add the supply", below(path, figures))} />
      )}
      {feed.there && (
        <>
          {!feed.wired && (
            <Small open={wiring} words="Add its wire" go="Add" asks={WIRE} make={(figures) => edit(`Add the wire of ${name}`, below(`${path}.wire`, figures))} />
          )}
          <div class="row">
            {feed.wired && <Button icon="drop" words="Remove its wire" name={`Remove its wire: ${name}`} onClick={() => void refusal.attempt(() => edit(`Remove the wire of ${name}`, { [`${path}.wire`]: null }))} />}
            <Button icon="drop" words="Remove" name={`Remove supply ${name}`} onClick={() => void refusal.attempt(remove)} />
          </div>
        </>
      )}
      <Findings findings={refusal.findings} />
    </fieldset>
  );
}

function feedsText({ drives, there }: FeedView, prop: PropView, first: boolean): string {
  if (!there) return `The file names no supply for ${drives.length === prop.drives.length ? "these drives" : drives.map(apart).join(", ")}.`;
  const rest = first && prop.feeds.length > 1 ? ", which name no other" : "";
  return drives.length === 0 ? "Feeds no drive." : `Feeds ${drives.map(apart).join(", ")}${rest}.`;
}

/** Figures as the keys of the file that they are, below a path. */
function below(path: string, figures: Readonly<Record<string, number>>): Record<string, number> {
  return Object.fromEntries(Object.entries(figures).map(([key, figure]) => [`${path}.${key}`, figure]));
}

interface SmallProps {
  readonly open: Signal<boolean>;
  readonly words: string;
  readonly go: string;
  readonly asks: readonly Asked[];
  readonly make: (figures: Readonly<Record<string, number>>, words: Readonly<Record<string, string>>) => Promise<void>;
}

/** A button that opens a small form, whose way out is Escape; what Python refuses is told in it. */
function Small({ open, words, go, asks, make }: SmallProps) {
  const refusal = useRefusal();
  const typed = useSignal<Readonly<Record<string, string>>>({});
  const set = (key: string, text: string): void => void (typed.value = { ...typed.value, [key]: text });
  const tried = async (): Promise<void> => {
    const numbers = asks.filter(([, , unit]) => unit).map(([key, label]) => [key, needed(typed.value[key] ?? "", label)] as const);
    await make(Object.fromEntries(numbers), typed.value);
  };
  const closed = useRef(false); // just now, so that the focus goes back to where it came from
  const close = (): void => void ([open.value, typed.value, closed.current] = [false, {}, true]);
  if (!open.value) {
    const back = (row: HTMLElement | null): void => {
      if (row && closed.current) row.querySelector("button")?.focus();
      if (row) closed.current = false;
    };
    return (
      <div class="row" ref={back}>
        <Button icon="add" words={words} onClick={() => (open.value = true)} />
      </div>
    );
  }
  return (
    <form
      class="stack part-act"
      aria-label={words}
      onKeyDown={(event) => event.key === "Escape" && close()}
      onSubmit={(event) => {
        event.preventDefault();
        void refusal.attempt(tried).then((made) => made && close());
      }}
    >
      {asks.map(([key, label, unit], at) => (
        <Field key={key} label={unit ? `${label}, ${unit}` : label}>
          {(named) => {
            const all = { ...named, ...(at === 0 && { inputRef: focused }), value: typed.value[key] ?? "", typing: (text: string) => set(key, text), commit: (text: string) => set(key, text) };
            return unit ? <Numeral {...all} least={0} /> : <Typed {...all} autocomplete="off" />;
          }}
        </Field>
      ))}
      <div role="alert">
        <Findings findings={refusal.findings} />
      </div>
      <div class="row">
        <Button type="submit" kind="main" words={go} />
        <Button words="Cancel" onClick={close} />
      </div>
    </form>
  );
}

/** Puts the focus where the builder goes on typing. */
const focused = (input: HTMLInputElement | null): void => input?.focus();

/** What makes pulses of the values, and what each drive does when they stop coming. */
export function Receiver({ session, prop }: Props) {
  return (
    <div class="stack">
      <p class="quiet">
        When values stop coming a receiver keeps the last, goes to others or stops the pulses; its manual tells. Hold: the servo stays. Rest:
        it goes to the rest value of its drive. Release: it gets no pulses and lets go.
      </p>
      <Settings session={session} fields={prop.receiver} />
      <OfEach session={session} prop={prop} keyed="on_loss" legend="What each drive does" />
    </div>
  );
}

/** One key of every drive, called by the drive. */
function OfEach({ session, prop, keyed, legend }: Props & { keyed: string; legend: ComponentChildren }) {
  const fields: FieldView[] = prop.drives.flatMap((drive) =>
    drive.fields.filter(({ path }) => path === `${drive.path}.${keyed}`).map((field) => ({ ...field, label: apart(drive.name), doc: "" })),
  );
  if (fields.length === 0) return null;
  return (
    <fieldset class="stack">
      <legend>{legend}</legend>
      <Settings session={session} fields={fields} />
    </fieldset>
  );
}
