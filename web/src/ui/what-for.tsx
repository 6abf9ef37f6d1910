/** Short help, folded away until it is wanted. */

import type { ComponentChildren } from "preact";

export function WhatFor({ children }: { children: ComponentChildren }) {
  return (
    <details class="what-for">
      <summary>What is this for?</summary>
      <div class="stack stack--close">{children}</div>
    </details>
  );
}
