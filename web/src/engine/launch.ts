// The worker that Python runs in. The first is started before anything else of the page is there: Python takes longest.

import type { FromWorker } from "./messages";

/** Who listens to a worker. */
export interface Hearer {
  hear(message: FromWorker): void;
  failed(reason: string): void;
}

interface Started {
  readonly worker: Worker;
  /** What it said before anyone listened: a worker that is heard late has said already that it lives, or does not. */
  readonly said: (MessageEvent<FromWorker> | ErrorEvent)[];
}

function started(): Started {
  const worker = new Worker(new URL("./engine.worker.ts", import.meta.url), { type: "module", name: "posekit" });
  const said: Started["said"] = [];
  worker.onmessage = worker.onerror = (event: MessageEvent<FromWorker> | ErrorEvent) => void said.push(event);
  return { worker, said };
}

let early: Started | null = null;

/** Start a worker for the first that asks. */
export function startEarly(): void {
  early = started();
}

/** The worker that was started early, or a new one. All that it says is heard, from the first word on. */
export function newWorker({ hear, failed }: Hearer): Worker {
  const { worker, said } = early ?? started();
  early = null;
  const listen = (event: MessageEvent<FromWorker> | ErrorEvent): void =>
    event instanceof MessageEvent ? hear(event.data) : failed(event.message || "the worker could not be loaded");
  worker.onmessage = worker.onerror = listen;
  for (const event of said) queueMicrotask(() => listen(event));
  return worker;
}
