/** Ids for `for`, `aria-describedby` and their kin. Preact's own are unique in one tree only, and the page has several. */

import { useState } from "preact/hooks";

let last = 0;

export function useId(): string {
  return useState(() => `id-${(last += 1)}`)[0];
}
