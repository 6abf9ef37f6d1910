/** Files of the builder on their way to the bench: kept first, judged after, and let go of when the work has them. */

import { type Signal, signal } from "@preact/signals";
import { Overtaken, Stopped } from "../engine/engine";
import type { Progress } from "../engine/messages";
import type { Autosave } from "./autosave";
import { keysOf, type Place } from "./benches";
import { Elsewhere } from "./changes";
import { readable } from "./files";
import { freshName } from "./journal";
import type { Storage } from "./storage";

interface Arrived {
  readonly name: string;
  readonly data: Uint8Array<ArrayBuffer>;
}

export interface Incoming {
  /** How many wait for Python. */
  readonly waiting: Signal<number>;
  /** Take a file. Rejects with what is wrong with it. */
  take(file: File): Promise<void>;
  /** Take what came just before the page was left, or another tab let go of. `failed` hears what is wrong with which. */
  resume(failed: (problem: unknown, name: string) => void): Promise<void>;
}

export function createIncoming(
  place: Place,
  storage: Storage,
  autosave: Autosave,
  progress: Signal<Progress>,
  take: (name: string, data: Uint8Array<ArrayBuffer>) => Promise<void>,
): Incoming {
  const waiting = signal(0);
  const { files } = keysOf(place.id);
  // What came to this page itself is on its way already when it takes up what was left.
  const own = new Set<string>();

  async function judge(key: string | null, { name, data }: Arrived): Promise<void> {
    waiting.value = waiting.value + 1;
    try {
      for (;;) {
        try {
          await take(name, data);
          break;
        } catch (problem) {
          // Refused beside another prop than it was brought to: ask again. Each round is behind one more change, so it ends.
          if (problem instanceof Overtaken) continue;
          if (!(problem instanceof Stopped)) throw problem;
          await back(progress);
        }
      }
    } finally {
      waiting.value = waiting.value - 1;
      if (key !== null && place.mine.value) autosave.dropWith(key);
    }
  }

  return {
    waiting,

    async take(file) {
      if (!place.mine.value) throw new Elsewhere();
      const arrived = { name: file.name, data: await readable(file) };
      const key = `${files}${freshName()}`;
      own.add(key);
      const kept = await storage.write([[key, arrived]]).then(() => true, () => false);
      await judge(kept ? key : null, arrived);
    },

    async resume(failed) {
      const keys = await storage.keys(files).catch(() => []);
      for (const key of keys.filter((each) => !own.has(each))) {
        const arrived = await storage.read<Arrived>(key).catch(() => null);
        if (arrived) await judge(key, arrived).catch((problem: unknown) => failed(problem, arrived.name));
      }
    },
  };
}

/** Resolves when the engine is on its way again. */
function back(progress: Signal<Progress>): Promise<void> {
  return new Promise((resolve) => {
    const stop = progress.subscribe(({ stage }) => {
      if (stage === "stopped") return;
      queueMicrotask(() => stop());
      resolve();
    });
  });
}
