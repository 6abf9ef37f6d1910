/** Findings: all there is to tell about the prop and its pose, worst first. */

import { findingLine } from "../../ui/controls";
import { h } from "../../ui/dom";
import type { FindingView } from "../../engine/protocol";
import type { Session } from "../../work/session";

const ORDER = { error: 0, warning: 1, note: 2 } as const;

/** `count` hears how many findings of each level there are. */
export function findingsPanel(session: Session, count: (findings: readonly FindingView[]) => void): HTMLElement {
  const pose = h("div", { class: "stack" });
  const prop = h("div", { class: "stack" });

  function draw(): void {
    const now = sorted(session.pose.get()?.findings ?? []);
    const always = sorted(session.prop.get()?.findings ?? []);
    pose.replaceChildren(...lines(now, "Nothing to tell about this pose."));
    prop.replaceChildren(...lines(always, "Nothing to tell about the prop file."));
    count([...now, ...always]);
  }
  session.pose.watch(draw);
  session.prop.watch(draw);

  return h("div", { class: "stack" }, h("h2", {}, "Findings"), h("h3", {}, "This pose"), pose, h("h3", {}, "The prop"), prop);
}

function sorted(findings: readonly FindingView[]): readonly FindingView[] {
  return [...findings].sort((a, b) => ORDER[a.level] - ORDER[b.level]);
}

function lines(findings: readonly FindingView[], none: string): HTMLElement[] {
  return findings.length > 0 ? findings.map((finding) => findingLine(finding)) : [h("p", { class: "quiet" }, none)];
}
