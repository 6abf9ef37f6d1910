/** The still that the page begins with gives way to the figure. */

import type { Signal } from "@preact/signals";

/** `shown` counts the figures; with the first the still has done its work. `tried` ends when one has come, or cannot. */
export function takeOver(shown: Signal<number>, tried: Promise<void>): void {
  const still = document.querySelector(".still");
  if (!still) return;
  void tried.then(() => shown.peek() === 0 && still.remove()); // what looks like the figure and does nothing would puzzle
  const stop = shown.subscribe((count) => {
    if (count === 0) return;
    queueMicrotask(() => stop());
    // It is drawn in the next frame, and stands on the screen when the one after is drawn.
    requestAnimationFrame(() => requestAnimationFrame(() => still.remove()));
  });
}
