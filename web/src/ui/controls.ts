/** The few controls that every panel is made of. */

import { freshId, h, type Attributes, type Child } from "./dom";
import { icon, type IconName } from "./icons";
import type { FindingView } from "../engine/protocol";

/** A button with words, an icon, or both. Without words, `name` is its name and its tip. */
export function button(
  { drawn, words, name, kind = "", ...rest }: { drawn?: IconName; words?: string | undefined; name?: string; kind?: string } & Attributes,
  press: () => void,
): HTMLButtonElement {
  const looks = ["button", kind && `button--${kind}`, !words && "button--icon"].filter(Boolean).join(" ");
  const attributes = { type: "button", class: looks, "aria-label": name, title: words ? undefined : name, ...rest };
  return h("button", { ...attributes, onclick: press }, drawn && icon(drawn), words && h("span", { class: "button__words" }, words));
}

/** A button that stays down. */
export function toggle(drawn: IconName, name: string, change: (on: boolean) => void, words?: string): HTMLButtonElement {
  const made = button({ drawn, name, words, "aria-pressed": "false" }, () => {
    const on = !isPressed(made);
    press(made, on);
    change(on);
  });
  return made;
}

/** Set a button that stays down. */
export function press(made: HTMLButtonElement, on: boolean): void {
  made.setAttribute("aria-pressed", String(on));
}

export function isPressed(made: HTMLButtonElement): boolean {
  return made.getAttribute("aria-pressed") === "true";
}

/** A label above its control. */
export function field(label: string, control: HTMLElement, hint?: string): HTMLElement {
  control.id ||= freshId("field");
  const words = hint ? h("span", { class: "quiet", id: `${control.id}-hint` }, hint) : null;
  if (words) control.setAttribute("aria-describedby", words.id);
  return h("div", { class: "field" }, h("label", { for: control.id }, label), control, words);
}

/** A list to choose from. */
export function select(options: readonly (readonly [value: string, words: string])[], attributes: Attributes): HTMLSelectElement {
  return h("select", { class: "input", ...attributes }, ...options.map(([value, words]) => h("option", { value }, words)));
}

const LEVEL_WORDS = { error: "Error", warning: "Warning", note: "Note" } as const;

/** What is told of a finding. */
export type Told = Pick<FindingView, "level" | "text" | "alone">;

/** A finding: shape of the icon and a word tell its level, colour only repeats it. `where`: with file and key. */
export function findingLine(finding: Told, where = true): HTMLElement {
  return h(
    "p",
    { class: `finding finding--${finding.level}` },
    icon(finding.level),
    h("span", {}, h("strong", {}, `${LEVEL_WORDS[finding.level]}:`), ` ${where ? finding.text : finding.alone}`),
  );
}

/** A box that can be folded away. */
export function fold(summary: Child, open: boolean, ...children: Child[]): HTMLDetailsElement {
  return h("details", { class: "fold", open }, h("summary", {}, summary), h("div", { class: "stack fold__body" }, ...children));
}
