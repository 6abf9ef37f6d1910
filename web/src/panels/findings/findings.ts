/** Findings: all there is to tell about the prop and its pose, worst first. */

import { findingLine } from "../../ui/controls";
import { h } from "../../ui/dom";
import { Stale, Stopped } from "../../engine/engine";
import type { FindingView, PropView } from "../../engine/protocol";
import type { Session } from "../../work/session";
import type { Nearness } from "../clearance/nearness";

const ORDER = { error: 0, warning: 1, note: 2 } as const;

export interface FindingsPanel {
  readonly element: HTMLElement;
  /** Look at the meshes, too, which takes a while: asked for when the panel is opened. */
  open(isOpen: boolean): void;
}

/** `count` hears how many findings of each level there are. */
export function findingsPanel(
  session: Session,
  nearness: Nearness,
  count: (findings: readonly FindingView[]) => void,
  failed: (problem: unknown) => void,
): FindingsPanel {
  const pose = h("div", { class: "stack" });
  const prop = h("div", { class: "stack" });
  const looking = h("p", { class: "quiet", role: "status" });
  let isOpen = false;
  let checked: { view: PropView; findings: readonly FindingView[] } | null = null;

  function draw(): void {
    const view = session.prop.get();
    const whole = checked?.view === view ? checked : null;
    const now = sorted([...(session.pose.get()?.findings ?? []), ...(nearness.near.get()?.findings ?? [])]);
    const always = sorted(whole?.findings ?? view?.findings ?? []);
    pose.replaceChildren(...lines(now, "Nothing found in this pose."));
    prop.replaceChildren(...lines(always, whole ? "Nothing found in the prop." : ""));
    looking.textContent = view && !whole ? "Checking the shapes of the parts…" : "";
    count([...now, ...always]);
  }

  async function check(): Promise<void> {
    const view = session.prop.get();
    if (!isOpen || !view || checked?.view === view) return;
    try {
      const { findings } = await session.engine.ask("check", {});
      checked = { view, findings };
      draw();
    } catch (problem) {
      if (!(problem instanceof Stale || problem instanceof Stopped)) failed(problem);
    }
  }

  session.pose.watch(draw);
  session.prop.watch(() => {
    draw();
    void check();
  });
  nearness.near.watch(draw);

  const element = h(
    "div",
    { class: "stack" },
    h("h2", {}, "Findings"),
    h("h3", {}, "This pose"),
    pose,
    h("h3", {}, "The prop"),
    prop,
    looking,
  );
  return {
    element,
    open(now) {
      isOpen = now;
      void check();
    },
  };
}

function sorted(findings: readonly FindingView[]): readonly FindingView[] {
  return [...findings].sort((a, b) => ORDER[a.level] - ORDER[b.level]);
}

function lines(findings: readonly FindingView[], none: string): HTMLElement[] {
  return findings.length > 0 ? findings.map((finding) => findingLine(finding)) : [h("p", { class: "quiet" }, none)];
}
