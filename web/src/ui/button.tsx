/** Buttons: with words, an icon, or both. */

import type { Signal } from "@preact/signals";
import type { ComponentProps } from "preact";
import { Icon, type IconName } from "./icon";

export interface ButtonProps extends Omit<ComponentProps<"button">, "icon" | "name" | "children"> {
  readonly icon?: IconName;
  readonly words?: string | undefined;
  /** What a button without words is called, in full: its name and its tip. */
  readonly name?: string;
  /** The same in a word or two, written below the icon where there is no mouse to show a tip. */
  readonly short?: string;
  readonly kind?: "main" | "plain";
  /** It does nothing for now, and keeps the focus that it may have: for one that is out of use by its own press. */
  readonly off?: boolean;
}

const OFF = { "aria-disabled": true, onClick: (event: Event) => event.preventDefault() } as const;

export function Button({ icon, words, name, short, kind, off, class: more, ...rest }: ButtonProps) {
  const looks = ["button", kind && `button--${kind}`, !words && "button--icon", more].filter(Boolean).join(" ");
  return (
    <button type="button" class={looks} aria-label={name} title={words ? undefined : name} {...rest} {...(off && OFF)}>
      {icon && <Icon name={icon} />}
      {words && <span class="button__words">{words}</span>}
      {short && <span class="button__short" aria-hidden="true">{short}</span>}
    </button>
  );
}

/** A button that stays down while `on` is true. */
export function Toggle({ on, ...rest }: ButtonProps & { readonly on: Signal<boolean> }) {
  return <Button {...rest} aria-pressed={on.value} onClick={() => (on.value = !on.value)} />;
}
