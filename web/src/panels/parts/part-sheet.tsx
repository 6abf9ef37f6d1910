/** The chosen part: what it weighs, and the shapes it is made of. */

import { useSignal } from "@preact/signals";
import type { PartForm, PartView, ShapeView } from "../../engine/protocol";
import { Button } from "../../ui/button";
import { Field, Select } from "../../ui/field";
import { Findings } from "../../ui/finding";
import { Fold } from "../../ui/fold";
import { complain } from "../../ui/toasts";
import type { Session } from "../../work/session";
import { Setting } from "../calibration/setting";
import { NewShape } from "./new-shape";

interface SheetProps {
  readonly session: Session;
  readonly parts: readonly PartView[];
  readonly form: PartForm;
}

export function PartSheet({ session, parts, form }: SheetProps) {
  return (
    <section class="stack" aria-label={form.name}>
      <h3>{form.name}</h3>
      <Fold title="Mass" open>
        <p aria-live="polite">{form.mass}</p>
        <Findings findings={form.findings} />
        <div class="settings">
          {form.fields.map((field) => <Setting key={field.path} session={session} field={field} />)}
        </div>
      </Fold>
      {form.shapes.length > 1 && <AllShapes session={session} form={form} />}
      {form.shapes.map((shape, number) => (
        <Shape key={`${number} of ${form.shapes.length}`} session={session} parts={parts} part={form.name} shape={shape} number={number} open={form.shapes.length === 1} />
      ))}
      <AddShape session={session} part={form.name} />
    </section>
  );
}

/** What holds for all shapes of a part at once: one step of undo. */
function AllShapes({ session, form }: { session: Session; form: PartForm }) {
  const solid = form.shapes.every((shape) => isSolid(shape));
  const all = (label: string, key: string, value: string | boolean): void => {
    const changes = Object.fromEntries(form.shapes.map(({ path }) => [`${path}.${key}`, value]));
    void session.change(`${label} of ${form.name}`, "edit_all", { changes }, undefined, `${key} of ${form.path}`).catch(complain);
  };
  return (
    <div class="row">
      <Field label="Colour of all its shapes">
        {(named) => <input {...named} type="color" class="input colour" value={form.shapes[0]?.colour ?? "#000000"} onChange={(event) => all("Colour", "colour", event.currentTarget.value)} />}
      </Field>
      <label class="row">
        <input type="checkbox" checked={solid} onChange={(event) => all("Solid", "solid", event.currentTarget.checked)} /> All are solid
      </label>
    </div>
  );
}

function isSolid(shape: ShapeView): boolean {
  return shape.fields.find(({ path }) => path === `${shape.path}.solid`)?.value === true;
}

interface ShapeProps {
  readonly session: Session;
  readonly parts: readonly PartView[];
  readonly part: string;
  readonly shape: ShapeView;
  readonly number: number;
  readonly open: boolean;
}

function Shape({ session, parts, part, shape, number, open }: ShapeProps) {
  const to = useSignal("");
  const others = parts.filter(({ name }) => name !== part).map(({ name }) => [name, name] as const);
  const called = `${shape.title} of ${part}`;
  return (
    <Fold title={`Shape ${number + 1}: ${shape.title}`} open={open}>
      <div class="settings">
        {shape.fields.map((field) => <Setting key={field.path} session={session} field={field} />)}
      </div>
      {others.length > 0 && (
        <div class="row row--end">
          <Field label="Give it to another part" hint="It stays where it is.">
            {(named) => <Select {...named} options={[["", "choose a part"], ...others]} value={to.value} pick={(name) => (to.value = name)} />}
          </Field>
          <Button
            words="Give it"
            disabled={to.value === ""}
            onClick={() => void session.change(`Give ${called} to ${to.value}`, "move_shape", { part, number, to: to.value }).catch(complain)}
          />
        </div>
      )}
      <div class="row">
        <Button icon="drop" words="Remove this shape" onClick={() => void session.change(`Remove ${called}`, "remove_shape", { part, number }).catch(complain)} />
      </div>
    </Fold>
  );
}

function AddShape({ session, part }: { session: Session; part: string }) {
  const open = useSignal(false);
  return (
    <>
      <div class="row">
        <Button icon="add" words="Add a shape" aria-expanded={open.value} onClick={() => (open.value = !open.value)} />
      </div>
      {open.value && (
        <NewShape
          session={session}
          title={`Add a shape to ${part}`}
          words="Add the shape"
          hint={`Places are in the frame of ${part}.`}
          done={() => (open.value = false)}
          make={(form, keys) => session.change(`Add a ${form} to ${part}`, "add_shape", { part, form, keys })}
        />
      )}
    </>
  );
}
