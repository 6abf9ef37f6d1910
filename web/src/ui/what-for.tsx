/** Short help at a panel: what it is for, in plain words, folded away until it is wanted. */

import type { ComponentChildren } from "preact";
import { Fold } from "./fold";

export function WhatFor({ children }: { children: ComponentChildren }) {
  return <Fold title="What is this for?">{children}</Fold>;
}
