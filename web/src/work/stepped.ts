/** Long work in the second worker, in steps: begun, asked on until it is done, stopped on demand, forgotten if broken off. */

import { computed, type ReadonlySignal, type Signal, signal } from "@preact/signals";
import type { Files } from "./history";
import type { Asked, Second } from "./second";
import type { Session } from "./session";

/** How far work is, as Python tells it. */
interface Telling {
  readonly phase: string;
}

/** What is known of work: of which prop, with which files, and what whoever began it has to keep with it. */
export interface Known<View, Kept> {
  readonly of: string;
  readonly files: Files | null;
  readonly kept: Kept;
  readonly view: View;
}

export interface Steps<View> {
  readonly on: (worker: Asked, seconds: number) => Promise<View>;
  readonly stop: (worker: Asked) => Promise<View>;
}

export interface Stepped<View, Kept> {
  /** How far the work of the prop on the bench is, or what it found; null before the first. */
  readonly known: ReadonlySignal<Known<View, Kept> | null>;
  readonly running: Signal<boolean>;
  /** Whether the files of the prop were changed since the work began. */
  readonly changed: ReadonlySignal<boolean>;
  /** Begin and go on. Resolves when it is done or stopped; rejects where it was broken off. */
  run(begin: (worker: Asked) => Promise<View>, keep: (first: View) => Kept): Promise<void>;
  /** End with what is known. */
  stop(): void;
}

const STEP_S = 0.1; // between two looks at the progress, besides one step: twice a second has to hold on a slow machine, too

export function createStepped<View extends Telling, Kept>(session: Session, second: Second, steps: Steps<View>): Stepped<View, Kept> {
  const last = signal<Known<View, Kept> | null>(null);
  const known = computed(() => (last.value?.of === session.opened.value ? last.value : null));
  const running = signal(false);
  let stopping = false;

  return {
    known,
    running,
    changed: computed(() => known.value !== null && known.value.files !== session.history.record.value.work.files),

    async run(begin, keep) {
      const of = session.opened.value;
      stopping = false;
      running.value = true;
      try {
        const worker = await second.ready();
        const files = second.held();
        let [view, stopped] = [await begin(worker), false];
        const kept = keep(view);
        while (view.phase !== "done") {
          last.value = { of, files, kept, view };
          stopping ||= session.opened.value !== of; // nobody waits for what is of another prop
          const stops = stopping && !stopped; // as it is now: who stops it while we wait is heard by the next
          view = stops ? await steps.stop(worker) : await steps.on(worker, STEP_S);
          stopped ||= stops;
        }
        last.value = { of, files, kept, view };
      } catch (problem) {
        if (last.value?.view.phase !== "done") last.value = null; // nobody goes on with it
        throw problem;
      } finally {
        running.value = false;
      }
    },

    stop: () => void (stopping = true),
  };
}
