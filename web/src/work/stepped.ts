/**
 * Long work in the second worker, in steps: begun, asked on until it is done, stopped on demand, forgotten if broken off.
 * It gives way to what moves, which needs the processor for its poses, but never for good.
 */

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
  /** Go on for about so long, at least by one step. */
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
const PAUSE_MS = 350; // at most, while something moves: with a step after it progress is told twice a second still
const LOOK_MS = 20; // between two looks whether it does

export function createStepped<View extends Telling, Kept>(session: Session, second: Second, steps: Steps<View>): Stepped<View, Kept> {
  const last = signal<Known<View, Kept> | null>(null);
  const known = computed(() => (last.value?.of === session.opened.value ? last.value : null));
  const running = signal(false);
  let stopping = false;

  /** Leave the processor to what moves, until it rests; whether anything did. */
  async function gaveWay(): Promise<boolean> {
    const end = performance.now() + PAUSE_MS;
    const moved = session.engine.moves();
    // Ends: with the pause, so that the work gets on however long a hand is at it.
    while (session.engine.moves() && !stopping && performance.now() < end) await new Promise((next) => setTimeout(next, LOOK_MS));
    return moved;
  }

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
          const seconds = (await gaveWay()) ? 0 : STEP_S;
          stopping ||= session.opened.value !== of; // nobody waits for what is of another prop
          const stops = stopping && !stopped; // as it is now: who stops it while we wait is heard by the next
          view = stops ? await steps.stop(worker) : await steps.on(worker, seconds);
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
