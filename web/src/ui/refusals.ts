/** What Python would not do, told where it was asked for. */

import { findingLine } from "./controls";
import { Refused } from "../engine/engine";

/** Do something; if Python refuses, its findings stand in `told`. */
export async function showing(told: HTMLElement, doing: () => Promise<void>): Promise<void> {
  try {
    told.replaceChildren();
    await doing();
  } catch (problem) {
    if (!(problem instanceof Refused)) throw problem;
    told.replaceChildren(...problem.findings.map((finding) => findingLine(finding)));
  }
}
