/** A question that goes behind the poses: in a gap of what else Python is asked, now and then while they move, at once at rest. */

import type { Engine } from "../../engine/engine";

export interface Behind {
  /** What it is asked about has changed; the newest is asked about once it is its turn. */
  changed(): void;
  /** Python may have nothing else to do now. */
  free(): void;
}

const SOONEST_MS = 333; // after the last: figures that change more often than three times a second are not read
const REST_MS = 120; // without a change, and with nothing asked that may bring one
const LATEST_MS = 500; // after a change: where there is never a gap nor rest

export function createBehind(engine: Engine, ask: () => void): Behind {
  let last = -Infinity;
  let since = 0; // when the first change was that has not been asked about
  let timer = 0; // runs while there is one

  function wait(): void {
    clearTimeout(timer);
    timer = window.setTimeout(rested, Math.max(Math.min(REST_MS, since + LATEST_MS - performance.now()), 0));
  }

  function rested(): void {
    if (engine.busy() && performance.now() - since < LATEST_MS) wait();
    else go();
  }

  function go(): void {
    clearTimeout(timer);
    timer = 0;
    last = performance.now();
    ask();
  }

  return {
    changed() {
      if (!timer) since = performance.now();
      wait();
    },
    free() {
      if (timer && !engine.busy() && performance.now() - last >= SOONEST_MS) go();
    },
  };
}
