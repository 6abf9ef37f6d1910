// Where the page begins: the worker and the first picture at once, and the rest of the page while they load.

import "./work/first-picture";
import { startEarly } from "./engine/launch";

const LONGEST_MS = 1000; // a window that is covered may have no frame
const UNTOLD_MS = 250; // from the frame of the still until it is on the screen, where nobody tells
const PAINTED = "largest-contentful-paint";

startEarly();
// Whatever becomes of the still, the page comes.
void Promise.race([stillShown().catch(() => undefined), later(LONGEST_MS)]).then(() => import("./main"));

/** Resolves when the still of the first prop stands on the screen: what comes then keeps the processor for a while. */
async function stillShown(): Promise<void> {
  const image = document.querySelector<HTMLImageElement>(".still img");
  if (!image || document.documentElement.dataset["still"] !== "first" || document.hidden) return;
  await Promise.race([painted(image), surelyDrawn(image)]);
}

/** Resolves when the image must have been drawn: not every browser tells, and none tells of every image. */
async function surelyDrawn(image: HTMLImageElement): Promise<void> {
  await image.decode().catch(() => undefined); // then it is not drawn, and nothing is to wait for
  await new Promise(requestAnimationFrame);
  await later(UNTOLD_MS); // after what the frame draws
}

/** Resolves when the browser tells that the image was drawn; never, where it does not. */
function painted(image: HTMLImageElement): Promise<void> {
  return new Promise((resolve) => {
    if (!globalThis.PerformanceObserver?.supportedEntryTypes?.includes(PAINTED)) return;
    const observer = new PerformanceObserver((list) => {
      if (!list.getEntries().some((entry) => (entry as PerformanceEntry & { element?: Element }).element === image)) return;
      observer.disconnect();
      resolve();
    });
    observer.observe({ type: PAINTED, buffered: true });
  });
}

function later(ms: number): Promise<void> {
  return new Promise((resolve) => setTimeout(resolve, ms));
}
