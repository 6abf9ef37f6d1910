/** A modal box with a heading and a way out. What is in it begins anew each time it opens. */

import { type Signal, useSignalEffect } from "@preact/signals";
import type { ComponentChildren } from "preact";
import { useRef } from "preact/hooks";
import { Button } from "./button";
import { useId } from "./id";

interface DialogProps {
  readonly title: string;
  readonly open: Signal<boolean>;
  /** For lines that should not be broken. */
  readonly wide?: boolean;
  /** There is no way out for now: what was begun in it is nearly done. */
  readonly stays?: boolean;
  readonly children: ComponentChildren;
}

export function Dialog({ title, open, wide, stays = false, children }: DialogProps) {
  const id = useId();
  const box = useRef<HTMLDialogElement>(null);
  useSignalEffect(() => {
    if (open.value) box.current?.showModal();
    else box.current?.close();
  });
  return (
    <dialog
      ref={box}
      class={wide ? "dialog dialog--wide" : "dialog"}
      aria-labelledby={id}
      onCancel={(event) => stays && event.preventDefault()}
      onClose={() => (open.value = false)}
      onClick={(event) => event.target === box.current && !stays && (open.value = false)}
    >
      <div class="stack">
        <div class="row row--between">
          <h2 id={id}>{title}</h2>
          <Button words="Close" kind="plain" disabled={stays} onClick={() => (open.value = false)} />
        </div>
        {open.value && children}
      </div>
    </dialog>
  );
}
