/** Labels and what is typed or chosen below them. */

import { useSignal } from "@preact/signals";
import type { ComponentChildren, HTMLAttributes } from "preact";
import { useLayoutEffect, useRef } from "preact/hooks";
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
  readonly role?: "spinbutton";
  readonly placeholder?: string;
  readonly autocomplete?: "off";
  /** The control itself, where the focus is to go. */
  readonly inputRef?: (input: HTMLInputElement | null) => void;
  readonly value: string;
  /** The number that `value` tells shortened, to its last figure: what comes back where another was typed and is none. */
  readonly exact?: string | undefined;
  /** Takes what was typed, when the builder is done with it. */
  readonly commit: (text: string) => void;
  /** Hears of it letter by letter, and of the value `before` the first of them where another was made of those. */
  readonly typing?: (text: string, before?: string) => void;
  /** Hears of keys. Answers the text after one that steps it, or true where `value` will tell that, or false. */
  readonly keyed?: (event: KeyboardEvent, text: string) => string | boolean;
  /** Why a text cannot be taken, as a sentence; null where it can. Such a text stays in the field, with the sentence. */
  readonly wrong?: (text: string) => string | null;
  /** The number that is told of the text that stands there. */
  readonly now?: (text: string) => number | undefined;
}

/** Ctrl or Cmd with Z or Y. */
export function isUndo(event: KeyboardEvent): boolean {
  return (event.ctrlKey || event.metaKey) && ["z", "y"].includes(event.key.toLowerCase());
}

/** Whether undo belongs to the letters that are being typed there, and not to the work. */
export function undoesText(target: EventTarget | null): boolean {
  return target instanceof Element && target.matches("textarea, input[type=text]:not(.input--number)");
}

/** A line of text. While it is being typed it is the builder's: nothing that comes meanwhile replaces it. */
export function Typed({ value, exact = value, commit, typing, keyed, wrong, now, inputRef, class: more, ...rest }: TypedProps) {
  const draft = useSignal<string | null>(null);
  const told = useSignal<string | null>(null); // what is wrong with the draft, once the builder is done with it
  const before = useRef<string | null>(null); // the value when the typing began; null where nothing is being typed
  const id = useId();
  function show(text: string | null): void {
    if (text === null) before.current = null;
    [draft.value, told.value] = [text, null];
  }
  const shown = draft.value ?? value;
  // What came in its place is to be seen. At once: later the sentence may be that of a text typed since.
  useLayoutEffect(() => void (told.peek() !== null && exact !== before.current && show(null)), [exact]);
  return (
    <>
      <input
        {...rest}
        {...(inputRef && { ref: inputRef })}
        {...(told.value !== null && { "aria-invalid": true, "aria-describedby": [rest["aria-describedby"], id].filter(Boolean).join(" ") })}
        {...(now && { "aria-valuenow": now(shown) })}
        type="text"
        class={more ? `input ${more}` : "input"}
        value={shown}
        onInput={(event) => {
          before.current ??= exact;
          show(event.currentTarget.value);
          typing?.(event.currentTarget.value, exact === before.current ? undefined : before.current);
        }}
        onKeyDown={(event) => {
          if (isUndo(event) && !undoesText(event.target)) show(null); // what comes back is to be seen
          const stepped = keyed?.(event, event.currentTarget.value) ?? false;
          if (stepped === false) return;
          event.preventDefault();
          before.current = null;
          show(stepped === true ? null : stepped);
        }}
        onChange={(event) => {
          told.value = wrong?.(event.currentTarget.value) ?? null;
          if (told.value === null) before.current = null;
          commit(event.currentTarget.value);
        }}
        onBlur={() => told.peek() === null && show(null)}
      />
      {told.value !== null && <span class="wrong" id={id} role="alert">{told.value}</span>}
    </>
  );
}
