/** A drive more: its joint, its servo type or one made of a data sheet, its address. One press, one step of undo. */

import { type Signal, useSignal, useSignalEffect } from "@preact/signals";
import type { DriveOffer, ServoFigure } from "../../engine/protocol";
import { Button } from "../../ui/button";
import { Dialog } from "../../ui/dialog";
import { Field, Select, Typed } from "../../ui/field";
import { Findings } from "../../ui/finding";
import { useId } from "../../ui/id";
import { Numeral } from "../../ui/numeral";
import { useRefusal } from "../../ui/refusal";
import { complainUnasked } from "../../ui/toasts";
import { neededWhole, read } from "../../ui/typed-number";
import { unitText } from "../../ui/units";
import type { Session } from "../../work/session";

const MAKE = "\n"; // no name of a servo
const OWN = "";

export function AddDrive({ session, open }: { session: Session; open: Signal<boolean> }) {
  return (
    <Dialog title="Add a drive" open={open}>
      <Form session={session} done={() => (open.value = false)} />
    </Dialog>
  );
}

interface Draft {
  readonly name: string | null; // null: as its joint
  readonly joint: string | null;
  readonly servo: string | null;
  readonly servoName: string;
  readonly kind: string;
  readonly figures: Readonly<Record<string, string>>;
  readonly universe: string;
  readonly address: string | null; // null: the next free one
  readonly bits: 8 | 16;
}

function Form({ session, done }: { session: Session; done: () => void }) {
  const offer = useSignal<DriveOffer | null>(null);
  const draft = useSignal<Draft>({ name: null, joint: null, servo: null, servoName: "", kind: "standard", figures: {}, universe: "1", address: null, bits: 8 });
  const refusal = useRefusal();
  const set = (change: Partial<Draft>): void => void (draft.value = { ...draft.value, ...change });
  useSignalEffect(() => {
    session.prop.value;
    session.engine.ask("drive_offer", { universe: universeOf(draft.value) }).then((found) => (offer.value = found), complainUnasked);
  });
  const made = offer.value;
  if (!made) return <p class="quiet">Reading the prop …</p>;

  const { name, joint, servo, servoName, kind, figures, universe, address, bits } = draft.value;
  const free = made.joints.filter(({ moved_by }) => moved_by === "");
  const moves = joint ?? free[0]?.name ?? "";
  const called = name ?? freeName(moves, session);
  const type = servo ?? made.servos[0] ?? MAKE;
  const typical = made.classes.find((each) => each.name === kind);
  const typed = { ...typical?.figures, ...figures };
  const next = made.address[bits];

  async function add(): Promise<void> {
    const making = type === MAKE;
    const params = {
      name: called.trim(),
      joint: moves,
      servo: making ? servoName.trim() || kind || "servo" : type,
      universe: neededWhole(universe, "Universe"),
      address: address === null ? null : neededWhole(address, "Address"),
      bits,
      new_servo: making ? typed : null,
      typical: making && kind !== OWN ? kind : null,
    };
    await session.change(`Add drive ${params.name}`, "add_drive", params);
    session.chooseDrive(params.name);
  }

  return (
    <form
      class="stack"
      onSubmit={(event) => {
        event.preventDefault();
        void refusal.attempt(add).then((added) => added && done());
      }}
    >
      {free.length === 0 && <p class="caution">Every joint that moves is moved by a drive or follows another. Add a joint first.</p>}
      <Field label="Joint it moves">
        {(named) => (
          <select {...named} class="input" value={moves} onChange={(event) => set({ joint: event.currentTarget.value })}>
            {made.joints.map((each) => (
              <option key={each.name} value={each.name} disabled={each.moved_by !== ""}>
                {each.moved_by ? `${each.name} (${each.moved_by})` : each.name}
              </option>
            ))}
          </select>
        )}
      </Field>
      <Field label="Name of the drive">{(named) => <Typed {...named} autocomplete="off" value={called} typing={(text) => set({ name: text })} commit={(text) => set({ name: text })} />}</Field>
      <Field label="Servo">
        {(named) => (
          <Select
            {...named}
            options={[...made.servos.map((each) => [each, each] as const), [MAKE, "a new type, from its data sheet"]]}
            value={type}
            pick={(to) => set({ servo: to })}
          />
        )}
      </Field>
      {type === MAKE && (
        <fieldset class="stack">
          <legend>New servo type</legend>
          <Field label="Begin with" hint={typical?.about ?? "Every figure from your data sheet."}>
            {(named) => (
              <Select
                {...named}
                options={[...made.classes.map((each) => [each.name, `a ${each.name.replaceAll("_", " ")} servo`] as const), [OWN, "nothing: my own figures"]]}
                value={kind}
                pick={(to) => set({ kind: to })}
              />
            )}
          </Field>
          <Field label="Name of the type">
            {(named) => (
              <Typed {...named} autocomplete="off" placeholder={kind || "servo"} value={servoName} typing={(text) => set({ servoName: text })} commit={(text) => set({ servoName: text })} />
            )}
          </Field>
          <div class="figures">
            {made.figures.map((figure) => (
              <Figure key={figure.key} figure={figure} value={typed[figure.key] ?? ""} set={(text) => set({ figures: { ...figures, [figure.key]: text } })} />
            ))}
          </div>
          <p class="quiet">Typical figures stand until you type those of your data sheet, in the unit it has them, as in the examples.</p>
        </fieldset>
      )}
      <div class="row row--end">
        <Field label="Universe">
          {(named) => <Numeral {...named} least={1} value={universe} typing={(text) => set({ universe: text })} commit={(text) => set({ universe: text })} />}
        </Field>
        <Field label="Address">
          {(named) => (
            <Numeral
              {...named}
              least={1}
              value={address ?? (next === null || next === undefined ? "" : String(next))}
              typing={(text) => set({ address: text === "" ? null : text })}
              commit={(text) => set({ address: text === "" ? null : text })}
            />
          )}
        </Field>
        <Field label="Bits">
          {(named) => <Select {...named} options={[["8", "8"], ["16", "16 (fine)"]]} value={String(bits)} pick={(to) => set({ bits: to === "16" ? 16 : 8 })} />}
        </Field>
      </div>
      <p class="quiet">
        {address === null && (next ? `Address ${next} is the first one behind all that are taken. ` : "No address is left behind those taken: type one. ")}
        End points begin at 90° about the neutral pulse, which any servo turns: widen them in Calibration, horn off.
      </p>
      <Findings findings={refusal.findings} />
      <div class="row">
        <Button type="submit" words="Add" name="Add the drive" kind="main" disabled={moves === ""} />
      </div>
    </form>
  );
}

function Figure({ figure: { label, unit, doc, example }, value, set }: { figure: ServoFigure; value: string; set: (text: string) => void }) {
  const id = useId();
  return (
    <>
      <label for={id}>
        {label} <span class="quiet">{unitText(unit)}: {doc}</span>
      </label>
      <Typed id={id} autocomplete="off" class="number" placeholder={example} value={value} typing={set} commit={set} />
    </>
  );
}

/** The universe in which a free address is looked for: the one typed, where it is one. */
function universeOf({ universe }: Draft): number {
  const { number } = read(universe);
  return number !== null && Number.isInteger(number) && number >= 1 ? number : 1;
}

/** As the joint is called, with a number where that is taken. */
function freeName(joint: string, session: Session): string {
  const taken = new Set(session.prop.value?.drives.map(({ name }) => name));
  let name = joint;
  for (let number = 2; taken.has(name); number += 1) name = `${joint}_${number}`;
  return name;
}
