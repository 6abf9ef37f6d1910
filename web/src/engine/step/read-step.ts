/** A STEP file as a GLB, read in a worker of its own, which ends with it. */

export interface Reading {
  /** Rejects with what went wrong; never settles once it is stopped. */
  readonly glb: Promise<Uint8Array<ArrayBuffer>>;
  stop(): void;
}

export function readStep(content: Uint8Array): Reading {
  const worker = new Worker(new URL("./step.worker.ts", import.meta.url), { type: "module", name: "step" });
  const glb = new Promise<Uint8Array<ArrayBuffer>>((resolve, reject) => {
    const failed = (reason: string): void => reject(new Error(`The STEP reader could not read it (${reason}). Export it again, as AP214 or AP242.`));
    worker.onmessage = ({ data }: MessageEvent<Uint8Array<ArrayBuffer> | string>) => {
      worker.terminate();
      if (typeof data === "string") failed(data);
      else resolve(data);
    };
    worker.onerror = (event) => {
      worker.terminate();
      failed(event.message || "its file could not be loaded");
    };
  });
  worker.postMessage(content);
  return { glb, stop: () => worker.terminate() };
}
