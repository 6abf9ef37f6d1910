// Where the page begins: the worker and the first picture at once, and the rest of the page while they load.

import "./work/first-picture";
import { startEarly } from "./engine/launch";

const LONGEST_MS = 1000; // a window that is covered may have no frame

startEarly();
void stillShown().then(() => import("./main"));

/** Resolves when the still of the first prop is on its way to the screen: what comes then keeps the processor for a while. */
async function stillShown(): Promise<void> {
  if (document.documentElement.dataset["still"] !== "first" || document.hidden) return;
  await new Promise((next) => {
    requestAnimationFrame(next);
    setTimeout(next, LONGEST_MS);
  });
  await new Promise((next) => setTimeout(next)); // after what the frame draws
}
