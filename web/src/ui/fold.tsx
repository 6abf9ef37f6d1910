/** A box that can be folded away, and stays as it was left while what is in it changes. */

import { type Signal, useSignal } from "@preact/signals";
import type { ComponentChildren } from "preact";

interface FoldProps {
  readonly title: ComponentChildren;
  /** How it begins. */
  readonly open?: boolean;
  /** Whether it is open, where others want to know or to say. */
  readonly at?: Signal<boolean>;
  readonly children: ComponentChildren;
}

export function Fold({ title, open = false, at, children }: FoldProps) {
  const own = useSignal(open);
  const opened = at ?? own;
  return (
    <details class="fold" open={opened.value} onToggle={(event) => (opened.value = event.currentTarget.open)}>
      <summary>{title}</summary>
      <div class="stack fold__body">{children}</div>
    </details>
  );
}
