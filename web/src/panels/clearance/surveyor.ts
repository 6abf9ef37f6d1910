/** The envelope and its maps, in the second worker. */

import { computed, type ReadonlySignal, type Signal, signal } from "@preact/signals";
import { Stale } from "../../engine/engine";
import type { FileView, SurveyView } from "../../engine/protocol";
import type { Files, Values } from "../../work/history";
import type { Second } from "../../work/second";
import type { Session } from "../../work/session";

export interface Surveyor {
  /** How far the envelope of the prop on the bench is, or what it found; null before the first. */
  readonly survey: ReadonlySignal<SurveyView | null>;
  readonly running: Signal<boolean>;
  /** Whether the prop was changed since the survey began. */
  readonly outdated: Signal<boolean>;
  /** Judge every pair anew. Resolves when it is done or stopped; rejects where it was broken off. */
  run(resolution: number): Promise<void>;
  /** End with what is known. */
  stop(): void;
  /** A map of a pair as SVG; null if a newer one was asked for meanwhile. */
  map(pair: readonly [string, string], values: Values): Promise<FileView | null>;
}

const STEP_S = 0.3; // between two looks at the progress

export function createSurveyor(session: Session, second: Second): Surveyor {
  const found = signal<{ readonly of: string; readonly view: SurveyView } | null>(null);
  const survey = computed(() => (found.value?.of === session.opened.value ? found.value.view : null));
  const running = signal(false);
  const outdated = signal(false);
  let surveyed: Files | null = null;
  let stopping = false;

  session.history.record.subscribe(({ work }) => {
    outdated.value = surveyed !== null && found.value?.of === work.opened && work.files !== surveyed;
  });

  return {
    survey,
    running,
    outdated,

    async run(resolution) {
      const of = session.opened.value;
      stopping = false;
      running.value = true;
      try {
        const worker = await second.ready();
        surveyed = second.held();
        outdated.value = false;
        let view = await worker.ask("survey", { resolution });
        while (view.phase !== "done") {
          found.value = { of, view };
          stopping ||= session.opened.value !== of; // nobody waits for what is of another prop
          view = stopping ? await worker.ask("survey_stop", {}) : await worker.ask("survey_on", { seconds: STEP_S });
        }
        found.value = { of, view };
      } catch (problem) {
        if (found.value?.view.phase !== "done") found.value = null; // nobody goes on judging
        throw problem;
      } finally {
        running.value = false;
      }
    },

    stop() {
      stopping = true;
    },

    async map(pair, values) {
      try {
        return await (await second.ready()).ask("strike_map", { pair, values });
      } catch (problem) {
        if (problem instanceof Stale) return null;
        throw problem;
      }
    },
  };
}
