/** A new shape by numbers: its form, its sizes, its place and its colour. */

import { useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import type { ComponentChildren, TargetedEvent } from "preact";
import type { FieldView, FindingView, FormView, Methods } from "../../engine/protocol";
import { Button } from "../../ui/button";
import { Field, Select } from "../../ui/field";
import { Findings } from "../../ui/finding";
import { useRefusal } from "../../ui/refusal";
import { complainUnasked } from "../../ui/toasts";
import { needed, read } from "../../ui/typed-number";
import type { Setting as Value } from "../../work/changes";
import type { Session } from "../../work/session";
import { Entry } from "../calibration/setting";

type FormName = Methods["add_shape"]["params"]["form"];
type Keys = Record<string, Value>;

interface NewShapeProps {
  readonly session: Session;
  readonly title: string;
  readonly hint: string;
  /** What the button says. */
  readonly words: string;
  readonly make: (form: FormName, keys: Keys) => Promise<void>;
  readonly done: () => void;
  /** What is asked before. */
  readonly children?: ComponentChildren;
}

const AT: FieldView = { path: "at", label: "at", doc: "where its middle is: x to the front, y to the left, z up", unit: "mm", value: [0, 0, 0], choices: [], named: false, numbers: 3, unset: "" };
const COLOUR: FieldView = { path: "colour", label: "colour", doc: "colour as #rrggbb", unit: "", value: "#9aa3ad", choices: [], named: false, numbers: 0, unset: "" };

export function NewShape({ session, title, hint, words, make, done, children }: NewShapeProps) {
  const forms = useSignal<readonly FormView[]>([]);
  const form = useSignal("box");
  const typed = useSignal<Keys>({});
  const refusal = useRefusal();
  useEffect(() => void session.engine.ask("forms", {}).then((found) => (forms.value = found.forms), complainUnasked), []);
  const chosen = forms.value.find(({ name }) => name === form.value);
  const fields = [...(chosen?.fields ?? []), AT, COLOUR];
  const valueOf = ({ path, value }: FieldView): Value => typed.value[path] ?? (value as Value);

  async function go(event: TargetedEvent<HTMLFormElement>): Promise<void> {
    event.preventDefault();
    const wrong = [...event.currentTarget.querySelectorAll<HTMLInputElement>("[role=spinbutton]")].find(({ value }) => read(value).wrong !== null);
    const keys = Object.fromEntries(fields.map((field) => [field.path, valueOf(field)]));
    if (await refusal.attempt(async () => {
      if (wrong) needed(wrong.value, wrong.ariaLabel ?? wrong.labels?.[0]?.textContent ?? "");
      await make(form.value as FormName, keys);
    })) done();
  }

  return (
    <form class="stack part-act" aria-label={title} onKeyDown={(event) => event.key === "Escape" && done()} onSubmit={(event) => void go(event)}>
      {children}
      <Field label="Form">
        {(named) => <Select {...named} options={forms.value.map(({ name }) => [name, name] as const)} value={form.value} pick={(name) => (form.value = name)} />}
      </Field>
      <p class="quiet">{chosen?.doc}</p>
      <div class="settings">
        {fields.map((field) => (
          <Entry
            key={`${form.value} ${field.path}`}
            field={{ ...field, value: valueOf(field) }}
            findings={refusal.findings.filter((finding) => isOf(finding, field))}
            set={(value) => (typed.value = { ...typed.value, [field.path]: value })}
          />
        ))}
      </div>
      <p class="quiet">{hint}</p>
      <div role="alert">
        <Findings findings={refusal.findings.filter((finding) => !fields.some((field) => isOf(finding, field)))} where={false} />
      </div>
      <div class="row">
        <Button type="submit" kind="main" words={words} />
        <Button words="Cancel" onClick={done} />
      </div>
    </form>
  );
}

/** Whether a finding is about this key of the new shape. */
function isOf({ subject }: FindingView, { path }: FieldView): boolean {
  const key = subject.split(".").at(-1)?.replace(/\[\d+\]$/, "");
  return subject.includes("shapes[") && (key === path || (path === "size" && key === "box"));
}
