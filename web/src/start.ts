// Where the page begins: the worker and the first picture at once, and the rest of the page while they load.

import "./work/first-picture";
import { startEarly } from "./engine/launch";

const LONGEST_MS = 1000; // a window that is covered may have no frame
const PAINTED = "largest-contentful-paint";

startEarly();
void Promise.race([stillShown(), later(LONGEST_MS)]).then(() => import("./main"));

/** Resolves when the still of the first prop stands on the screen: what comes then keeps the processor for a while. */
async function stillShown(): Promise<void> {
  const image = document.querySelector<HTMLImageElement>(".still img");
  if (!image || document.documentElement.dataset["still"] !== "first" || document.hidden) return;
  if (PerformanceObserver.supportedEntryTypes.includes(PAINTED)) return painted(image);
  await image.decode().catch(() => undefined); // then it is not drawn, and nothing is to wait for
  await new Promise(requestAnimationFrame);
  await later(0); // after what the frame draws
}

/** Resolves when the browser tells that the image was drawn; never, where nobody can see it. */
function painted(image: HTMLImageElement): Promise<void> {
  return new Promise((resolve) => {
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
