/** The most that each servo has to hold, proved in the second worker; over the open show, too. */

import { computed, type ReadonlySignal, type Signal } from "@preact/signals";
import type { ProofView } from "../../engine/protocol";
import type { Second } from "../../work/second";
import type { Session } from "../../work/session";
import { createStepped } from "../../work/stepped";
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

export function createProver(session: Session, second: Second, rehearsal: Rehearsal): Prover {
  const work = createStepped<ProofView, number>(session, second, {
    on: (worker, seconds) => worker.ask("prove_on", { seconds }),
    stop: (worker) => worker.ask("prove_stop", {}),
  });
  const now = work.known;

  return {
    proof: computed(() => now.value?.view ?? null),
    running: work.running,
    outdated: work.changed,
    ofShow: computed(() => {
      const open = rehearsal.show.value !== null && !work.changed.value;
      return open && now.value?.view.phase === "done" && now.value.view.show !== null && now.value.kept === rehearsal.which();
    }),
    run() {
      const source = rehearsal.show.value ? rehearsal.source() : null;
      const which = rehearsal.which();
      return work.run((worker) => worker.ask("prove", { show: source?.file ?? null, data: source?.data ?? null }), () => which);
    },
    stop: work.stop,
  };
}
