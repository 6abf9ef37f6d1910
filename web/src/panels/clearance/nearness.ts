/** The pairs below the margin in the pose that stands, asked for after every pose and drawn in the picture. */

import { computed, type ReadonlySignal, type Signal, signal } from "@preact/signals";
import { Refused } from "../../engine/engine";
import type { JudgedView, NearView } from "../../engine/protocol";
import type { Files, Work } from "../../work/history";
import type { Session } from "../../work/session";
import { shownColour } from "../../view/stage";
import { createStrikes, ends, type Strikes } from "../../view/strikes";
import type { View } from "../../view/view";

/** What is near in a pose, and what is not judged in any. */
export type Near = NearView & JudgedView;

export interface Nearness {
  /** Null while they are not known; those of the pose before stay while the next answer is on its way. */
  readonly near: ReadonlySignal<Near | null>;
  /** Whether the picture shows them. */
  readonly drawn: Signal<boolean>;
  /** Take the camera to pair `index`. */
  visit(index: number): void;
}

interface Answer {
  readonly of: Work;
  readonly found: Near;
}

const VISIT_M = 0.25; // from how far a pair is looked at
const PREPARE_S = 0.03; // in which parts are got ready to be judged before a pose is looked for
// What is near takes as long as a frame, so it is looked for in steps, and a pose waits for one of them at most. While
// something moves a share of the time is enough, but twice a second however long it takes; nobody reads it sooner than
// the least.
const [LOOK_S, REST_TIMES, LEAST_REST_MS, MOST_REST_MS] = [0.002, 10, 50, 500];
const STILL_MS = 20; // between two looks whether anything moves

export function createNearness(session: Session, view: View, failed: (problem: unknown) => void): Nearness {
  const answer = signal<Answer | null>(null);
  const near = computed(() => {
    const now = session.history.record.value.work;
    const { of, found } = answer.value ?? {};
    if (!of || !found || of.opened !== now.opened) return null;
    const same = of.values === now.values && of.files === now.files;
    return same || session.progress.value.stage !== "stopped" ? found : null; // of a stopped engine no answer comes
  });
  const drawn = signal(true);
  let strikes: Strikes | null = null;

  let prepared: { readonly of: Files; readonly done: Promise<JudgedView | null> } | null = null;
  /** The parts are ready to be judged, which takes most of a second of Python: poses come between the steps to that. */
  function ready(of: Files): Promise<JudgedView | null> {
    if (prepared?.of !== of) prepared = { of, done: prepare(of) };
    return prepared.done;
  }

  async function prepare(of: Files): Promise<JudgedView | null> {
    try {
      return await inSteps(of, () => session.engine.ask("prepare", { seconds: PREPARE_S }));
    } catch (problem) {
      if (prepared?.of === of) prepared = null; // the next who asks tries again
      throw problem;
    }
  }

  /** What is asked for until it is there; null where the parts are others by then. */
  async function inSteps<Found>(of: Files, step: () => Promise<Found | null>): Promise<Found | null> {
    let found: Found | null = null;
    // Ends: with the steps, or when the parts are others.
    while (found === null && session.history.work().files === of) found = await step();
    return found;
  }

  async function lookAt(of: Work): Promise<void> {
    const judged = await ready(of.files);
    const begun = performance.now();
    const found = await inSteps(of.files, () => session.engine.ask("near", { values: of.values, seconds: LOOK_S }));
    if (!judged || !found) return; // the parts are others
    answer.value = { of, found: { ...judged, ...found } };
    await rest(REST_TIMES * (performance.now() - begun));
  }

  /** Leave Python to what moves, for about so long. */
  async function rest(ms: number): Promise<void> {
    const end = performance.now() + Math.min(Math.max(ms, LEAST_REST_MS), MOST_REST_MS);
    // Ends: with the time, if not before.
    while (session.engine.moves() && performance.now() < end) await new Promise((next) => setTimeout(next, STILL_MS));
  }

  let looking = false;
  /** Look at the pose that stands; who looks at one already comes to it by itself. */
  async function look(): Promise<void> {
    if (looking) return;
    looking = true;
    let of: Work | null = null;
    // Ends: with the pose that stands, also where it is refused.
    while (of !== session.history.work()) {
      of = session.history.work();
      try {
        await lookAt(of);
      } catch (problem) {
        if (problem instanceof Refused) answer.value = null;
        failed(problem);
      }
    }
    looking = false;
  }

  function draw(): void {
    const figure = view.figure();
    const found = near.value;
    if (!drawn.value || view.apart.value || !figure || !found || found.pairs.length === 0) {
      if (!strikes) return; // nothing stands there: the picture stays as it is
      strikes.remove();
      strikes = null;
    } else {
      strikes ??= createStrikes(figure, view.stage.labels, { bad: shownColour("--bad"), warn: shownColour("--warn") });
      strikes.show(found);
    }
    view.stage.draw();
  }

  session.pose.subscribe((pose) => pose && void look());
  view.shown.subscribe(() => {
    strikes?.remove(); // it hung on the figure that went
    strikes = null;
    draw();
  });
  near.subscribe(draw);
  drawn.subscribe(draw);
  view.apart.subscribe(draw);

  return {
    near,
    drawn,
    visit(index) {
      const points = near.value?.points.data;
      if (!points) return;
      const [a, b] = ends(points, index);
      view.stage.lookAt(a.lerp(b, 0.5), VISIT_M);
    },
  };
}
