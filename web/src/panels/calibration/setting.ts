/** One key of the prop file as a form control, chosen by the kind of its value. */

import { findingLine, select } from "../../ui/controls";
import { freshId, h } from "../../ui/dom";
import { Refused } from "../../engine/engine";
import type { FieldView } from "../../engine/protocol";
import type { Session, Setting } from "../../work/session";
import { unitText } from "../../ui/units";

const PAUSE_MS = 150;

export function settingField(session: Session, field: FieldView): HTMLElement {
  const id = freshId("setting");
  const told = h("div", { id: `${id}-told` });
  const control = controlFor(field, id, set);
  let timer = 0;

  function set(value: Setting, when: "now" | "soon"): void {
    clearTimeout(timer);
    timer = window.setTimeout(() => void send(value), when === "now" ? 0 : PAUSE_MS);
  }

  async function send(value: Setting): Promise<void> {
    try {
      told.replaceChildren();
      control.removeAttribute("aria-invalid");
      if (JSON.stringify(value) !== JSON.stringify(field.value)) await session.edit(field.path, value);
    } catch (problem) {
      if (!(problem instanceof Refused)) throw problem;
      control.setAttribute("aria-invalid", "true");
      told.replaceChildren(...problem.findings.map((finding) => findingLine(finding, false)));
    }
  }

  const name = field.path.split(".").at(-1) ?? field.path;
  const label = h("label", { for: id }, name.replaceAll("_", " "), field.unit && h("span", { class: "quiet" }, ` ${unitText(field.unit)}`));
  control.setAttribute("aria-describedby", `${id}-doc ${told.id}`);
  return h("div", { class: "setting", "data-path": field.path }, label, control, h("p", { class: "quiet", id: `${id}-doc` }, field.doc), told);
}

type Send = (value: Setting, when: "now" | "soon") => void;

function controlFor(field: FieldView, id: string, send: Send): HTMLElement {
  const { value, choices } = field;
  if (typeof value === "boolean") return checkbox(value, id, send);
  if (choices.length > 0) return choice(String(value), choices, id, send);
  if (Array.isArray(value)) return list(value, id, send);
  if (typeof value === "string") return words(value, id, send);
  return number(value as number | null, id, send);
}

function checkbox(value: boolean, id: string, send: Send): HTMLElement {
  const box = h("input", { type: "checkbox", id, checked: value });
  box.addEventListener("change", () => send(box.checked, "now"));
  return box;
}

function choice(value: string, choices: readonly string[], id: string, send: Send): HTMLElement {
  const made = select(choices.map((name) => [name, name.replaceAll("_", " ")] as const), { id });
  made.value = value;
  made.addEventListener("change", () => send(made.value, "now"));
  return made;
}

function words(value: string, id: string, send: Send): HTMLElement {
  const made = h("input", { type: "text", class: "input", id, value });
  made.addEventListener("change", () => send(made.value, "now"));
  return made;
}

function number(value: number | null, id: string, send: Send): HTMLElement {
  const made = h("input", { type: "number", step: "any", class: "input input--number", id, value, placeholder: "default" });
  const read = (): Setting => (made.value.trim() === "" ? null : made.valueAsNumber);
  made.addEventListener("input", () => send(read(), "soon"));
  made.addEventListener("change", () => send(read(), "now"));
  made.addEventListener("keydown", (event) => {
    const big = { PageUp: 10, PageDown: -10, ArrowUp: event.shiftKey ? 10 : 0, ArrowDown: event.shiftKey ? -10 : 0 }[event.key];
    if (!big) return;
    event.preventDefault();
    made.value = String((Number(made.value) || 0) + big);
    send(read(), "now");
  });
  return made;
}

/** Numbers in a row, or rows of numbers such as the measured points of a servo, one row a line. */
function list(value: readonly unknown[], id: string, send: Send): HTMLElement {
  const rows = value.some(Array.isArray) || value.length === 0;
  const text = rows ? value.map((row) => (row as number[]).join(", ")).join("\n") : value.join(", ");
  const made = rows
    ? h("textarea", { class: "input", id, rows: Math.max(value.length, 2), spellcheck: "false" }, text)
    : h("input", { type: "text", class: "input number", id, value: text });
  made.addEventListener("change", () => {
    const read = made.value.split("\n").filter((line) => line.trim() !== "").map(numbers);
    send(rows ? read : (read[0] ?? []), "now");
  });
  return made;
}

// What is no number goes to Python as it was typed, which tells what would be right.
function numbers(line: string): (number | string)[] {
  return line.split(/[,;\s]+/).filter(Boolean).map((word) => (Number.isFinite(Number(word)) ? Number(word) : word));
}
