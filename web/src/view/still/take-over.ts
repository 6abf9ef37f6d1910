/** The still that the page begins with gives way to the figure. */

import type { Signal } from "@preact/signals";

/** `shown` counts the figures; with the first the still has done its work. */
export function takeOver(shown: Signal<number>): void {
  const still = document.querySelector(".still");
  if (!still) return;
  const stop = shown.subscribe((count) => {
    if (count === 0) return;
    queueMicrotask(() => stop());
    // It is drawn in the next frame, and stands on the screen when the one after is drawn.
    requestAnimationFrame(() => requestAnimationFrame(() => still.remove()));
  });
}
