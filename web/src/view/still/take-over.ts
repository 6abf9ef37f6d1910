/** The still that the page begins with gives way to the figure. */

import type { ReadonlySignal } from "@preact/signals";
import type { View } from "../view";

const LONGEST_MS = 4000; // that the still stands for a figure that could be drawn: where Python comes slowly

/**
 * `shown` counts the figures; with the first the still has done its work. `tried` ends when one has come, or cannot. Where
 * the processor draws, the still stands until Python, which needs it more, no longer is `starting`; who does something does
 * not wait for that.
 */
export function takeOver({ stage, shown }: Pick<View, "stage" | "shown">, tried: Promise<void>, starting: ReadonlySignal<boolean>): void {
  const still = document.querySelector(".still");
  if (!still) return stage.begin();
  const stop = shown.subscribe(async (count) => {
    if (count === 0) return;
    queueMicrotask(() => stop());
    if (stage.waits()) await Promise.race([over(starting), hand(), later(LONGEST_MS)]);
    stage.begin();
    // It is drawn in the next frame, and stands on the screen when the one after is drawn.
    requestAnimationFrame(() => requestAnimationFrame(() => still.remove()));
  });
  void tried.then(() => {
    if (shown.peek() > 0) return;
    still.remove(); // what looks like the figure and does nothing would puzzle
    stage.begin();
  });
}

function over(starting: ReadonlySignal<boolean>): Promise<void> {
  return new Promise((resolve) => {
    const stop = starting.subscribe((still) => {
      if (still) return;
      queueMicrotask(() => stop());
      resolve();
    });
  });
}

/** Resolves when somebody does something. A screen reader clicks without a pointer. */
function hand(): Promise<unknown> {
  return Promise.race(["pointerdown", "click", "wheel", "keydown"].map((kind) => new Promise((resolve) => addEventListener(kind, resolve, { once: true, passive: true, capture: true }))));
}

function later(ms: number): Promise<unknown> {
  return new Promise((resolve) => setTimeout(resolve, ms));
}
