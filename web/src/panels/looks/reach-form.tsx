/** A part brought to a point, a joint to a position, by number. */

import { useSignal } from "@preact/signals";
import type { TargetedEvent } from "preact";
import { apart } from "../../ui/apart";
import { Button } from "../../ui/button";
import { Field, Select } from "../../ui/field";
import { Findings } from "../../ui/finding";
import { Numeral } from "../../ui/numeral";
import { useRefusal } from "../../ui/refusal";
import { askAll, needed, takenAlways } from "../../ui/typed-number";
import { unitText } from "../../ui/units";
import type { Session } from "../../work/session";
import type { Reach } from "./reach";

const AXES = ["x", "y", "z"] as const;

export function ReachForm({ session, reach }: { session: Session; reach: Reach }) {
  const refusal = useRefusal();
  const picked = useSignal("");
  const position = useSignal("0");
  const prop = session.prop.value;
  const joints = prop?.joints.filter(({ drives }) => drives.length > 0) ?? [];
  const joint = joints.find(({ name }) => name === picked.value)?.name ?? joints[0]?.name ?? "";

  function submit(doing: () => Promise<void>): (event: TargetedEvent<HTMLFormElement>) => void {
    return (event) => {
      event.preventDefault();
      const form = event.currentTarget;
      void refusal.attempt(async () => {
        askAll(form);
        await doing();
      });
    };
  }

  function aim(axis: number, mm: number): void {
    const [x, y, z] = reach.target.value.map((old, index) => (index === axis ? mm : old));
    reach.target.value = [x ?? 0, y ?? 0, z ?? 0];
  }

  return (
    <div class="stack">
      <p class="quiet">Choose “Turn a joint” or “Pull a part” above the figure and drag, or type numbers here.</p>
      <form class="stack" onSubmit={submit(() => reach.go())}>
        <Field label="Part">
          {(named) => (
            <Select {...named} options={prop?.links.map((name) => [name, name] as const) ?? []} value={reach.link.value} pick={(name) => (reach.link.value = name)} />
          )}
        </Field>
        <fieldset class="stack">
          <legend class="quiet">Target of the part’s origin, mm (x front, y left, z up)</legend>
          <div class="row">
            {AXES.map((axis, index) => (
              <Numeral
                key={axis}
                aria-label={`target ${axis}, mm`}
                always
                value={String(Number((reach.target.value[index] ?? 0).toFixed(3)))}
                exact={String(reach.target.value[index] ?? 0)}
                typing={takenAlways((mm) => aim(index, mm))}
                commit={takenAlways((mm) => aim(index, mm))}
              />
            ))}
          </div>
        </fieldset>
        <div class="row">
          <Button type="submit" words="Move there" />
        </div>
      </form>
      <form class="stack" onSubmit={submit(() => reach.turn(joint, needed(position.value, "Position")))}>
        <Field label="Joint">
          {(named) => (
            <Select {...named} options={joints.map(({ name, unit }) => [name, `${apart(name)}, ${unitText(unit)}`] as const)} value={joint} pick={(name) => (picked.value = name)} />
          )}
        </Field>
        <div class="row">
          <Numeral
            aria-label="position of the joint"
            value={position.value}
            typing={(text) => (position.value = text)}
            commit={(text) => (position.value = text)}
          />
          <Button type="submit" words="Turn to" />
        </div>
      </form>
      <Findings findings={refusal.findings} />
    </div>
  );
}
