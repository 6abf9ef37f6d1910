/** Changes that Python makes, one at a time and in order. Those it could not come to wait until it is back. */

import { type Signal, signal } from "@preact/signals";
import { Stale, Stopped } from "../engine/engine";

const PAUSE_MS = 150; // so that a number that is being typed is not judged at every digit

export interface Task {
  readonly label: string;
  /** Of those in a row with the same key only the newest is done. */
  readonly key?: string | undefined;
  /** Wait a moment, for more is being typed. */
  readonly soon?: boolean;
  /** `still` tells whether it is wanted yet. It is asked right before the change is made: from a yes on it cannot be taken back. */
  run(still: () => boolean): Promise<void>;
  /** It came to nothing: it was overtaken, taken back or refused. */
  dropped(): void;
}

export interface Queue {
  /** How many wait or run. */
  readonly length: Signal<number>;
  /** Resolves when it is done; rejects with Refused, or with Stale where it was taken back. */
  add(task: Task): Promise<void>;
  /** Take back the newest that is not made yet, even if Python is at it; answers its label. */
  takeBack(): string | null;
  /** Go on, after Python is back. */
  resume(): void;
  /** Let go of all of them here: another tab goes on with what the journal has. */
  clear(): void;
}

interface Waiting {
  task: Task;
  readonly done: { resolve(): void; reject(problem: unknown): void }[];
  timer: number;
  taken: boolean;
  made: boolean;
}

export function createQueue(): Queue {
  const length = signal(0);
  let waiting: Waiting[] = [];
  let running: Waiting | null = null;

  function counted(): void {
    length.value = waiting.length + (running ? 1 : 0);
  }

  async function go(): Promise<void> {
    while (!running && waiting[0] && !waiting[0].timer) {
      const now = waiting.shift() as Waiting;
      running = now;
      try {
        await now.task.run(() => (now.made = !now.taken));
        running = null;
        for (const { resolve } of now.done) resolve();
      } catch (problem) {
        running = null;
        if (problem instanceof Stopped && !now.taken) {
          waiting.unshift(now);
          break;
        }
        if (!now.taken) drop(now, problem);
      }
      counted();
    }
  }

  function drop({ task, done, timer }: Waiting, why: unknown): void {
    clearTimeout(timer);
    task.dropped();
    for (const { reject } of done) reject(why);
  }

  function delay(entry: Waiting): void {
    clearTimeout(entry.timer);
    entry.timer = !entry.task.soon
      ? 0
      : window.setTimeout(() => {
          entry.timer = 0;
          void go();
        }, PAUSE_MS);
  }

  return {
    length,

    add(task) {
      return new Promise((resolve, reject) => {
        const last = waiting.at(-1);
        const entry: Waiting = last && task.key !== undefined && last.task.key === task.key ? last : { task, done: [], timer: 0, taken: false, made: false };
        if (entry === last) {
          last.task.dropped();
          last.task = task;
        } else waiting.push(entry);
        entry.done.push({ resolve, reject });
        delay(entry);
        counted();
        void go();
      });
    },

    takeBack() {
      const last = waiting.pop() ?? (running && !running.taken && !running.made ? running : null);
      if (!last) return null;
      last.taken = true;
      drop(last, new Stale(last.task.label));
      counted();
      return last.task.label;
    },

    resume: () => void go(),

    clear() {
      const all = running ? [running, ...waiting] : waiting;
      waiting = [];
      for (const each of all) {
        clearTimeout(each.timer);
        each.taken = true;
        for (const { reject } of each.done) reject(new Stale(each.task.label)); // not dropped: the journal has them
      }
      counted();
    },
  };
}
