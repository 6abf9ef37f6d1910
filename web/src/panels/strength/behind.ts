/** A question that goes behind the poses: now and then while they move, at once at rest. */

import type { Engine } from "../../engine/engine";

export interface Behind {
  /** What it is asked about has changed; the newest is asked about once it is its turn. */
  changed(): void;
  /** All that is asked of a pose was answered: it is its turn, and a pose that waits goes before it. */
  turn(): void;
}

const SOONEST_MS = 333; // after the last: of sixty poses a second fewer than one in twenty then meet new bars
const REST_MS = 120; // without a change, and with nothing asked that may bring one
const LATEST_MS = 500; // after a change: where its turn never comes, nor rest

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
    turn() {
      if (timer && performance.now() - last >= SOONEST_MS) go();
    },
  };
}
