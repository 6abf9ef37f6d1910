/** What becomes of the pose when servos let go and when values stop coming: looked at in the second worker, and drawn. */

import { computed, effect, type ReadonlySignal, type Signal, signal, untracked } from "@preact/signals";
import type { LossView } from "../../engine/protocol";
import type { View } from "../../view/view";
import type { Values } from "../../work/history";
import type { Second } from "../../work/second";
import type { Session } from "../../work/session";
import { createStepped } from "../../work/stepped";
import type { Player } from "../motion/player";
import type { Prover } from "./prover";

export interface Faller {
  /** How far the look is, or what it found of the prop on the bench; null before the first. */
  readonly found: ReadonlySignal<LossView | null>;
  readonly running: Signal<boolean>;
  /** Whether the prop was changed since, or stands in another pose. */
  readonly outdated: ReadonlySignal<boolean>;
  /** The pose of those found that the picture shows; null while it stands as the channels say. */
  readonly drawn: Signal<number | null>;
  /** Look at the pose that the channels give. Resolves when all is looked at, or it was stopped; rejects where it was broken off. */
  run(): Promise<void>;
  /** Look at no further way. */
  stop(): void;
}

export function createFaller(session: Session, second: Second, prover: Prover, player: Player, view: View, open: ReadonlySignal<boolean>): Faller {
  const work = createStepped<LossView, Values>(session, second, {
    on: (worker, seconds) => worker.ask("lose_on", { seconds }),
    stop: (worker) => worker.ask("lose_stop", {}),
  });
  const now = work.known;
  const outdated = computed(() => work.changed.value || (now.value !== null && !stands(now.value.kept)));
  const drawn = signal<number | null>(null);
  let acting = false;

  /** Whether the channels give these values still. */
  function stands(values: Values): boolean {
    const now = session.history.record.value.work.values;
    return Object.entries(values).every(([drive, value]) => (now[drive] ?? value) === value);
  }

  /** Those that may not sleep, with the values where they hold most, as far as it is proved of the prop as it is. */
  function worst(): Record<string, Values> {
    const proof = prover.outdated.value ? null : prover.proof.value;
    return Object.fromEntries(proof?.drives.filter(({ may_sleep }) => may_sleep === false).map(({ drive, values }) => [drive, values]) ?? []);
  }

  function run(): Promise<void> {
    const most = worst();
    drawn.value = null;
    return work.run((worker) => worker.ask("lose", { values: session.values(), worst: most }), ({ values }) => values);
  }

  // What is told to be drawn is of the pose that was asked about, and of a picture that nothing else moves.
  effect(() => {
    if (!open.value || outdated.value || player.playing.value) drawn.value = null;
  });
  effect(() => {
    const [found, prop, at] = [now.value?.view, session.prop.value, drawn.value];
    void view.shown.value;
    if (found && prop && at !== null && found.links.shape[1] === prop.links.length) {
      acting = true;
      untracked(() => {
        player.leave();
        view.apart.value = true;
        view.act(prop.links, found.links, at, null);
      });
    } else if (acting) {
      acting = false;
      untracked(() => {
        view.apart.value = false;
        view.rest();
      });
    }
  });

  return { found: computed(() => now.value?.view ?? null), running: work.running, outdated, drawn, run, stop: work.stop };
}
