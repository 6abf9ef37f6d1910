// The worker that Python runs in. The first is started before anything else of the page is there: Python takes longest.

function started(): Worker {
  return new Worker(new URL("./engine.worker.ts", import.meta.url), { type: "module", name: "posekit" });
}

let early: Worker | null = null;

/** Start a worker for the first that asks. */
export function startEarly(): void {
  early = started();
}

/** The worker that was started early, or a new one. */
export function newWorker(): Worker {
  const worker = early ?? started();
  early = null;
  return worker;
}
