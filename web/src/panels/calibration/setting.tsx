/** One key of the prop file as a form control, chosen by the kind of its value. */

import { useSignal } from "@preact/signals";
import { Refused } from "../../engine/engine";
import type { FieldView, FindingView } from "../../engine/protocol";
import { Select, Typed, type TypedProps } from "../../ui/field";
import { Findings } from "../../ui/finding";
import { useId } from "../../ui/id";
import { Numeral } from "../../ui/numeral";
import { complain } from "../../ui/toasts";
import { read, readList, taken, takenAlways } from "../../ui/typed-number";
import { unitText } from "../../ui/units";
import type { Setting as Value } from "../../work/changes";
import type { Session } from "../../work/session";

export function Setting({ session, field: settled }: { session: Session; field: FieldView }) {
  const refused = useSignal<readonly FindingView[]>([]);
  const typed = session.typed.value;
  const field = typed.has(settled.path) ? { ...settled, value: typed.get(settled.path) ?? null } : settled;

  /** What is typed is handed over at once, to be kept; what comes of it is judged when Python comes to it. */
  async function set(value: Value, when: "now" | "soon"): Promise<void> {
    try {
      refused.value = [];
      await session.edit(field.path, value, field.path, when === "soon");
    } catch (problem) {
      if (problem instanceof Refused) refused.value = problem.findings;
      else complain(problem);
    }
  }

  return <Entry field={field} findings={refused.value} set={(value, when) => void set(value, when)} />;
}

interface EntryProps {
  readonly field: FieldView;
  /** What is wrong with what was typed. */
  readonly findings: readonly FindingView[];
  readonly set: (value: Value, when: "now" | "soon") => void;
}

/** A key with its name, its control, what it means, and what is wrong with what was typed. */
export function Entry({ field, findings, set }: EntryProps) {
  const id = useId();
  const named = {
    id,
    "aria-describedby": `${id}-doc ${id}-told`,
    "aria-invalid": findings.length > 0,
  };
  return (
    <div class="setting" data-path={field.path}>
      <label for={id} id={`${id}-label`}>
        {field.label}
        {field.unit && <span class="quiet"> {unitText(field.unit)}</span>}
      </label>
      <Control field={field} named={named} set={set} />
      <p class="quiet" id={`${id}-doc`}>{field.doc !== field.label && field.doc}</p>
      <div id={`${id}-told`}>
        <Findings findings={findings} where={false} />
      </div>
    </div>
  );
}

interface ControlProps {
  readonly field: FieldView;
  readonly named: { id: string; "aria-describedby": string; "aria-invalid": boolean };
  readonly set: (value: Value, when: "now" | "soon") => void;
}

function Control({ field, named, set }: ControlProps) {
  const { value, choices } = field;
  if (typeof value === "boolean") {
    return <input {...named} type="checkbox" checked={value} onChange={(event) => set(event.currentTarget.checked, "now")} />;
  }
  if (choices.length > 0) {
    const options = choices.map((name) => [name, name === "" ? field.unset : field.named ? name : name.replaceAll("_", " ")] as const);
    // An empty word leaves the key out.
    return <Select {...named} options={options} value={String(value ?? "")} pick={(name) => set(name === "" ? null : name, "now")} />;
  }
  if (isThree(value)) return <Three field={field} value={value} named={named} set={set} />;
  if (field.numbers > 1 && (value === null || Array.isArray(value))) return <List value={value ?? []} named={named} set={set} row />;
  if (Array.isArray(value)) return <List value={value} named={named} set={set} />;
  if (typeof value === "string" && COLOUR.test(value)) return <Colour field={field} value={value} named={named} set={set} />;
  if (typeof value === "string") return <Typed {...named} value={value} commit={(text) => set(text, "now")} />;
  return <Numeral {...named} placeholder="default" value={value === null ? "" : String(value)} {...numbered(set)} />;
}

type Vector = readonly [number, number, number];

function isThree(value: unknown): value is Vector {
  return Array.isArray(value) && value.length === 3 && value.every((each) => typeof each === "number");
}

const AXES = ["x", "y", "z"] as const;

/** Three numbers along x, y and z, or about them. */
function Three({ field, value, named, set }: ControlProps & { value: Vector }) {
  const along = (at: number, number: number): number[] => value.map((each, other) => (other === at ? number : each));
  return (
    <div class="three" role="group" aria-labelledby={`${named.id}-label`}>
      {AXES.map((axis, at) => (
        <Numeral
          key={axis}
          {...named}
          id={at === 0 ? named.id : `${named.id}-${axis}`}
          aria-label={`${field.label} ${axis}`}
          always
          value={String(value[at])}
          typing={takenAlways((number) => set(along(at, number), "soon"))}
          commit={takenAlways((number) => set(along(at, number), "now"))}
        />
      ))}
    </div>
  );
}

const COLOUR = /^#[0-9a-f]{6}$/i;

/** A colour, picked or typed. */
function Colour({ field, value, named, set }: ControlProps & { value: string }) {
  return (
    <div class="row">
      <input type="color" class="input colour" aria-label={`pick the ${field.label}`} value={value} onChange={(event) => set(event.currentTarget.value, "now")} />
      <Typed {...named} class="number input--fit colour__text" value={value} commit={(text) => set(text, "now")} />
    </div>
  );
}

/** What a field of a number hears: letter by letter, and when the builder is done with it. */
function numbered(set: (number: number | null, when: "now" | "soon") => void): Pick<TypedProps, "typing" | "commit"> {
  return { typing: taken((number) => set(number, "soon")), commit: taken((number) => set(number, "now")) };
}

/** Numbers in a row, or rows of numbers such as the measured points of a servo, one row a line. */
function List({ value, named, set, row = false }: Pick<ControlProps, "named" | "set"> & { value: readonly unknown[]; row?: boolean }) {
  const told = useSignal<string | null>(null); // why the rows cannot be taken
  const rows = !row && (value.some(Array.isArray) || value.length === 0);
  const several = row || rows;
  const take = (text: string): void => {
    if ((told.value = inTwoWays(text, several)) !== null) return;
    const found = linesOf(text).map((line) => numbers(line, several));
    set(rows ? found : (found[0] ?? (row ? null : [])), "now");
  };
  if (!rows) return <Typed {...named} class="number" placeholder="default" value={value.join(", ")} commit={take} wrong={(text) => inTwoWays(text, several)} />;
  const text = value.map((row) => (row as number[]).join(", ")).join("\n");
  return (
    <>
      <textarea {...named} class="input" rows={Math.max(value.length, 2)} spellcheck={false} value={text} onChange={(event) => take(event.currentTarget.value)} />
      {told.value !== null && <span class="wrong" role="alert">{told.value}</span>}
    </>
  );
}

function linesOf(text: string): string[] {
  return text.split("\n").filter((line) => line.trim() !== "");
}

/** What can be read in two ways in a list, and what to write. */
function inTwoWays(text: string, several: boolean): string | null {
  return linesOf(text).map((line) => readList(line, several)).find(({ either }) => either)?.wrong ?? null;
}

// What is no number goes to Python as it was typed, which tells what would be right.
function numbers(line: string, several: boolean): readonly (number | string)[] {
  const { numbers: found, wrong } = readList(line, several);
  return wrong === null ? found : line.split(/[,;\s]+/).filter(Boolean).map((word) => read(word).number ?? word);
}
