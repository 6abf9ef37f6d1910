/** A question that goes behind the poses: in a gap of what else Python is asked, and only as often as the eye follows. */

import type { Engine } from "../../engine/engine";

export interface Behind {
  /** What it is asked about has changed; the newest is asked about once it is its turn. */
  changed(): void;
  /** Python may have nothing else to do now. */
  free(): void;
}

const SOONEST_MS = 80; // after the last: bars are read, and twelve a second seem to flow
const LATEST_MS = 130; // after a change: where there is never a gap, and at rest

export function createBehind(engine: Engine, ask: () => void): Behind {
  let last = -Infinity;
  let timer = 0; // runs while something has changed since it was last asked

  function go(): void {
    clearTimeout(timer);
    timer = 0;
    last = performance.now();
    ask();
  }

  return {
    changed() {
      timer ||= window.setTimeout(go, LATEST_MS);
    },
    free() {
      if (timer && !engine.busy() && performance.now() - last >= SOONEST_MS) go();
    },
  };
}
