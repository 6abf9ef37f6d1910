/** On a phone the panels come and go by one button; on a desk they are always there. */

import { type Signal, useSignalEffect } from "@preact/signals";

export function DrawerButton({ open }: { open: Signal<boolean> }) {
  useSignalEffect(() => void document.body.classList.toggle("controls-open", open.value));
  return (
    <button class="side-toggle" type="button" aria-controls="panels" aria-expanded={open.value} onClick={() => (open.value = !open.value)}>
      {open.value ? "Figure" : "Controls"}
    </button>
  );
}
