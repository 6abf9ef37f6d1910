/** Labels and what is typed or chosen below them. */

import { useSignal } from "@preact/signals";
import type { ComponentChildren, HTMLAttributes } from "preact";
import { useId } from "./id";

/** What a control needs to be named by its label. */
export interface Named {
  readonly id: string;
  readonly "aria-describedby": string | undefined;
}

/** A label above its control. */
export function Field({ label, hint, children }: { label: ComponentChildren; hint?: string; children: (named: Named) => ComponentChildren }) {
  const id = useId();
  const described = hint ? `${id}-hint` : undefined;
  return (
    <div class="field">
      <label for={id}>{label}</label>
      {children({ id, "aria-describedby": described })}
      {hint && <span class="quiet" id={described}>{hint}</span>}
    </div>
  );
}

export type Option = readonly [value: string, words: string];

interface SelectProps extends Omit<HTMLAttributes<HTMLSelectElement>, "onChange" | "children" | "class" | "role"> {
  readonly class?: string;
  readonly options: readonly Option[];
  readonly value: string;
  readonly pick: (value: string) => void;
}

/** A list to choose from. */
export function Select({ options, value, pick, class: more, ...rest }: SelectProps) {
  return (
    <select class={more ? `input ${more}` : "input"} value={value} onChange={(event) => pick(event.currentTarget.value)} {...rest}>
      {options.map(([each, words]) => (
        <option key={each} value={each}>{words}</option>
      ))}
    </select>
  );
}

export interface TypedProps extends Omit<HTMLAttributes<HTMLInputElement>, "onChange" | "onInput" | "onBlur" | "onKeyDown" | "class" | "role"> {
  readonly class?: string;
  readonly type?: "text" | "number";
  readonly placeholder?: string;
  readonly autocomplete?: "off";
  readonly min?: number;
  readonly step?: number | "any";
  /** The control itself, where the focus is to go. */
  readonly inputRef?: (input: HTMLInputElement | null) => void;
  readonly value: string;
  /** Takes what was typed, when the builder is done with it. */
  readonly commit: (text: string) => void;
  /** Hears of it letter by letter. */
  readonly typing?: (text: string) => void;
  /** Hears of keys. Answers the text after one that steps it, or true where `value` will tell that, or false. */
  readonly keyed?: (event: KeyboardEvent, text: string) => string | boolean;
}

/** Ctrl or Cmd with Z or Y. */
export function isUndo(event: KeyboardEvent): boolean {
  return (event.ctrlKey || event.metaKey) && ["z", "y"].includes(event.key.toLowerCase());
}

/** Whether undo belongs to the letters that are being typed there, and not to the work. */
export function undoesText(target: EventTarget | null): boolean {
  return target instanceof Element && target.matches("textarea, input[type=text]:not(.input--number)");
}

/** A line of text or a number. While it is being typed it is the builder's: nothing that comes meanwhile replaces it. */
export function Typed({ type = "text", value, commit, typing, keyed, inputRef, class: more, ...rest }: TypedProps) {
  const draft = useSignal<string | null>(null);
  return (
    <input
      {...rest}
      {...(inputRef && { ref: inputRef })}
      type={type as "number"} // of text, too: the types of Preact tell them apart, and both take the same here
      class={more ? `input ${more}` : "input"}
      value={draft.value ?? value}
      onInput={(event) => {
        draft.value = event.currentTarget.value;
        // What is no number yet, such as a lone minus, reads as nothing, which is not what is meant.
        if (!event.currentTarget.validity.badInput) typing?.(draft.value);
      }}
      onKeyDown={(event) => {
        if (isUndo(event) && !undoesText(event.target)) draft.value = null; // what comes back is to be seen
        const stepped = keyed?.(event, event.currentTarget.value) ?? false;
        if (stepped === false) return;
        event.preventDefault();
        draft.value = stepped === true ? null : stepped;
      }}
      onChange={(event) => event.currentTarget.validity.badInput || commit(event.currentTarget.value)}
      onBlur={() => (draft.value = null)}
    />
  );
}
