// The worker that reads STEP files: it fetches the library when it is started, which is when a STEP file comes.

import libraryAddress from "occt-import-js/dist/occt-import-js.js?url";
import codeAddress from "occt-import-js/dist/occt-import-js.wasm?url";
import { withoutText } from "./closures";
import { glbOf, type Read } from "./glb";

interface Library {
  ReadStepFile(content: Uint8Array, settings: object): Read;
}

declare const self: DedicatedWorkerGlobalScope & { define?: unknown };

// As posekit/exchange/step.py has them: how far triangles may lie off, in mm, and turn from one to the next, in radians.
const SETTINGS = { linearUnit: "millimeter", linearDeflectionType: "absolute_value", linearDeflection: 0.05, angularDeflection: 0.35 };

async function library(): Promise<Library> {
  withoutText();
  let make: ((settings: object) => Promise<Library>) | undefined;
  // The file is a script that hands itself over to whoever collects modules in the AMD way; it stays a file of its own.
  self.define = Object.assign((_: unknown, give: () => typeof make) => void (make = give()), { amd: {} });
  await import(/* @vite-ignore */ new URL(libraryAddress, import.meta.url).href);
  if (!make) throw new Error("the STEP reader did not load");
  return make({ locateFile: () => new URL(codeAddress, import.meta.url).href, print: () => undefined, printErr: () => undefined });
}

self.onmessage = async ({ data }: MessageEvent<Uint8Array>) => {
  try {
    const glb = glbOf((await library()).ReadStepFile(data, SETTINGS));
    self.postMessage(glb, { transfer: [glb.buffer] });
  } catch (problem) {
    self.postMessage(problem instanceof Error ? problem.message : String(problem));
  }
};
