/** Linkages in the picture, on demand: which there are, and one that is pulled by its grips. Python reckons all of it. */

import { type ReadonlySignal, type Signal, signal } from "@preact/signals";
import type { Engine } from "../../engine/engine";
import type { CandidateView, DragView, FiguresView, LinkageView, PreviewView } from "../../engine/protocol";
import { complain, say } from "../../ui/toasts";
import type { Grip } from "../../view/linkages";
import { listenToGrips } from "../../view/grips";
import type { View } from "../../view/view";
import type { Session } from "../../work/session";

export interface Linkages {
  /** Whether the picture shows them. */
  readonly drawn: Signal<boolean>;
  /** All linkages of the prop, known while they are drawn. */
  readonly views: Signal<readonly LinkageView[]>;
  /** What is pulled now: its figures follow. */
  readonly pulled: Signal<{ readonly grip: Grip; readonly view: DragView } | null>;
  figures(drive: string): Promise<FiguresView | null>;
  /** What is seen moving though the prop has it not. */
  readonly moving: Signal<CandidateView | null>;
  /** Let the picture go through these poses, to and fro; null ends it. */
  preview(which: null): void;
  preview(which: CandidateView, poses: PreviewView): void;
}

const SWING_S = 2.4; // from one end to the other

export function createLinkages(session: Session, view: View, failed: (problem: unknown) => void): Linkages {
  const drawn = session.linkages;
  const views = signal<readonly LinkageView[]>([]);
  const pulled = signal<Linkages["pulled"]["value"]>(null);
  const moving = signal<CandidateView | null>(null);
  let poses: PreviewView | null = null;
  let began = 0;
  let asked: Promise<DragView> | null = null;
  let hand: Grip | null = null; // what is or was pulled last; null once that was broken off
  const ask: Engine["ask"] = (method, params) => session.engine.ask(method, params);

  async function renew(): Promise<void> {
    if (poses) return; // what is seen moving has its own
    if (!drawn.value || !session.prop.value) {
      views.value = [];
      view.linkages(null);
      return;
    }
    try {
      views.value = (await ask("linkages", {})).linkages;
      view.linkages(drawn.value ? views.value : null);
    } catch (problem) {
      failed(problem);
    }
  }
  session.prop.subscribe(() => void renew());
  drawn.subscribe(() => void renew());
  view.shown.subscribe(() => view.linkages(drawn.peek() ? views.peek() : null));

  function preview(which: CandidateView | null, made: PreviewView | null = null): void {
    const before = poses;
    [poses, moving.value] = [made, which];
    if (made) {
      view.linkages(made.linkages);
      began = performance.now();
      if (!before) requestAnimationFrame(swing);
    } else if (before) {
      view.rest();
      void renew();
    }
  }

  function swing(now: number): void {
    const names = session.prop.peek()?.links;
    if (!poses || !names || poses.links.shape[1] !== names.length) return;
    const last = (poses.links.shape[0] ?? 1) - 1;
    const share = ((now - began) / 1000 / SWING_S) % 2;
    view.act(names, poses.links, Math.max(0, Math.round((share > 1 ? 2 - share : share) * last)), null, poses.points);
    requestAnimationFrame(swing);
  }
  session.prop.subscribe(() => preview(null)); // another prop, or the linkage that was taken

  async function pull(grip: Grip, eye: Parameters<Parameters<typeof listenToGrips>[2]["pulled"]>[1], to: typeof eye): Promise<void> {
    const answer = ask("drag_linkage", { drive: grip.drive, grip: grip.grip, eye, to, values: session.values() });
    [asked, hand] = [answer, grip];
    try {
      const found = await answer;
      if (hand !== grip) return;
      if (found.refused.length > 0) {
        pulled.value = { grip, view: { ...found, changes: pulled.value?.view.changes ?? {}, figures: pulled.value?.view.figures ?? null } };
        return;
      }
      pulled.value = { grip, view: found };
      const names = session.prop.value?.links;
      const own = views.value.find(({ drive }) => drive === grip.drive);
      if (names && own) view.pulled(names, found.links, own.first, found.points);
    } catch (problem) {
      failed(problem);
    }
  }

  /** The last answer counts, though it may not be here yet. */
  async function release(): Promise<void> {
    await asked?.catch(() => undefined);
    asked = null;
    const last = pulled.value;
    try {
      if (last && last.view.refused.length > 0) say(last.view.refused.map(({ text }) => text).join("\n"));
      const changes = last?.view.changes ?? {};
      if (last && Object.keys(changes).length > 0) {
        const [pose, before] = [next(session.pose), session.history.work().files];
        await session.change(`Move the ${last.grip.name} of ${last.grip.drive}`, "edit_all", { changes });
        // Until then the picture stays as it was pulled; where nothing changed no pose is on its way.
        if (session.history.work().files !== before) await pose;
      }
    } catch (problem) {
      complain(problem); // who let go wants it done
    }
    pulled.value = null;
    view.rest();
  }

  /** What is on its way for the pull counts no more. */
  function cancel(): void {
    [asked, hand, pulled.value] = [null, null, null];
    view.rest();
  }

  listenToGrips(view.stage, view.grips, {
    pulled(grip, eye, to) {
      if (session.drive.peek()?.name !== grip.drive) session.chooseDrive(grip.drive);
      void pull(grip, eye, to);
    },
    released: () => void release(),
    cancelled: cancel,
  });

  return { drawn, views, pulled, moving, preview, figures: (drive) => ask("linkage_figures", { drive }) };
}

/** Resolves when a signal has another value. */
function next(watched: ReadonlySignal<unknown>): Promise<void> {
  const before = watched.peek();
  return new Promise((resolve) => {
    const stop = watched.subscribe((now) => {
      if (now === before) return;
      resolve();
      queueMicrotask(() => stop());
    });
  });
}
