/** The envelope and its maps, in the second worker. */

import { computed, type ReadonlySignal, type Signal } from "@preact/signals";
import { Overtaken, Stale } from "../../engine/engine";
import type { FileView, SurveyView } from "../../engine/protocol";
import type { Values } from "../../work/history";
import type { Second } from "../../work/second";
import type { Session } from "../../work/session";
import { createStepped } from "../../work/stepped";

export interface Surveyor {
  /** How far the envelope of the prop on the bench is, or what it found; null before the first. */
  readonly survey: ReadonlySignal<SurveyView | null>;
  readonly running: Signal<boolean>;
  /** Whether the prop was changed since the survey began. */
  readonly outdated: ReadonlySignal<boolean>;
  /** Judge every pair anew. Resolves when it is done or stopped; rejects where it was broken off. */
  run(resolution: number): Promise<void>;
  /** End with what is known. */
  stop(): void;
  /** A map of a pair as SVG; null if a newer one was asked for meanwhile. Rejects with Overtaken where another prop came first. */
  map(pair: readonly [string, string], values: Values): Promise<FileView | null>;
}

export function createSurveyor(session: Session, second: Second): Surveyor {
  const work = createStepped<SurveyView, null>(session, second, {
    on: (worker, seconds) => worker.ask("survey_on", { seconds }),
    stop: (worker) => worker.ask("survey_stop", {}),
  });

  return {
    survey: computed(() => work.known.value?.view ?? null),
    running: work.running,
    outdated: work.changed,
    run: (resolution) => work.run((worker) => worker.ask("survey", { resolution }), () => null),
    stop: work.stop,

    async map(pair, values) {
      try {
        return await (await second.ready()).make("strike_map", { pair, values });
      } catch (problem) {
        if (problem instanceof Stale && !(problem instanceof Overtaken)) return null;
        throw problem;
      }
    },
  };
}
