/** The pairs below the margin in the pose that stands, asked for after every pose and drawn in the picture. */

import { computed, type ReadonlySignal, type Signal, signal } from "@preact/signals";
import { Refused } from "../../engine/engine";
import type { NearView } from "../../engine/protocol";
import type { Files, Work } from "../../work/history";
import type { Session } from "../../work/session";
import { shownColour } from "../../view/stage";
import { createStrikes, ends, type Strikes } from "../../view/strikes";
import type { View } from "../../view/view";

export interface Nearness {
  /** Null while they are not known; those of the pose before stay while the next answer is on its way. */
  readonly near: ReadonlySignal<NearView | null>;
  /** Whether the picture shows them. */
  readonly drawn: Signal<boolean>;
  /** Take the camera to pair `index`. */
  visit(index: number): void;
}

interface Answer {
  readonly of: Work;
  readonly found: NearView;
}

const VISIT_M = 0.25; // from how far a pair is looked at
const STEP_S = 0.03; // in which parts are got ready to be judged before a pose is looked for

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

  let prepared: { readonly of: Files; readonly done: Promise<void> } | null = null;
  /** The parts are ready to be judged, which takes most of a second of Python: poses come between the steps to that. */
  function ready(of: Files): Promise<void> {
    if (prepared?.of !== of) prepared = { of, done: prepare(of) };
    return prepared.done;
  }

  async function prepare(of: Files): Promise<void> {
    try {
      // Ends: with the steps, or when the parts are others.
      while (session.history.work().files === of && !(await session.engine.ask("prepare", { seconds: STEP_S })));
    } catch (problem) {
      if (prepared?.of === of) prepared = null; // the next who asks tries again
      throw problem;
    }
  }

  async function ask(): Promise<void> {
    const of = session.history.work();
    try {
      await ready(of.files);
      if (of !== session.history.work()) return; // a newer pose asks
      answer.value = { of, found: await session.engine.ask("near", { values: of.values }) };
    } catch (problem) {
      if (problem instanceof Refused) answer.value = null;
      failed(problem);
    }
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

  session.pose.subscribe((pose) => pose && void ask());
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
