/** The most that each servo has to hold, proved in the second worker; over the open show, too. */

import { computed, type ReadonlySignal, type Signal, signal } from "@preact/signals";
import type { ProofView, ShowView } from "../../engine/protocol";
import type { Files } from "../../work/history";
import type { Second } from "../../work/second";
import type { Session } from "../../work/session";
import type { Rehearsal } from "../motion/rehearsal";

export interface Prover {
  /** How far the proof of the prop on the bench is, or what it found; null before the first. */
  readonly proof: ReadonlySignal<ProofView | null>;
  readonly running: Signal<boolean>;
  /** Whether the prop was changed since the proof began. */
  readonly outdated: ReadonlySignal<boolean>;
  /** Whether the proof tells of the show that is open, as it is now. */
  readonly ofShow: ReadonlySignal<boolean>;
  /** Prove every servo. Resolves when it is done or stopped; rejects where it was broken off. */
  run(): Promise<void>;
  /** End with what is proved. */
  stop(): void;
}

interface Proof {
  readonly of: string;
  readonly files: Files | null;
  readonly show: ShowView | null;
  readonly view: ProofView;
}

const STEP_S = 0.3; // between two looks at the progress

export function createProver(session: Session, second: Second, rehearsal: Rehearsal): Prover {
  const found = signal<Proof | null>(null);
  const now = computed(() => (found.value?.of === session.opened.value ? found.value : null));
  const running = signal(false);
  let stopping = false;

  async function run(): Promise<void> {
    const of = session.opened.value;
    const show = rehearsal.show.value;
    const source = show ? rehearsal.source() : null;
    stopping = false;
    running.value = true;
    try {
      const worker = await second.ready();
      const files = second.held();
      let view = await worker.ask("prove", { show: source?.file ?? null, data: source?.data ?? null });
      while (view.phase !== "done") {
        found.value = { of, files, show, view };
        stopping ||= session.opened.value !== of; // nobody waits for what is of another prop
        const stops = stopping && !view.stopped;
        view = stops ? await worker.ask("prove_stop", {}) : await worker.ask("prove_on", { seconds: STEP_S });
      }
      found.value = { of, files, show, view };
    } catch (problem) {
      if (found.value?.view.phase !== "done") found.value = null; // nobody goes on proving
      throw problem;
    } finally {
      running.value = false;
    }
  }

  return {
    proof: computed(() => now.value?.view ?? null),
    running,
    outdated: computed(() => now.value !== null && now.value.files !== session.history.record.value.work.files),
    ofShow: computed(() => now.value?.view.phase === "done" && now.value.view.show !== null && now.value.show === rehearsal.show.value),
    run,
    stop: () => void (stopping = true),
  };
}
