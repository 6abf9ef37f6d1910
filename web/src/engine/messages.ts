// What the page and the worker send each other.

import type { FindingView, Methods } from "./protocol";

export type Method = keyof Methods;

/** Where the worker is on its way to ready; `done` of `total` bytes are here. */
export interface Progress {
  readonly stage: "starting" | "loading" | "preparing" | "ready" | "stopped";
  readonly done: number;
  readonly total: number;
  /** Why it stopped. */
  readonly reason?: string;
}

export type FromWorker =
  | { readonly kind: "progress"; readonly progress: Progress }
  | { readonly kind: "result"; readonly id: number; readonly result: unknown }
  | { readonly kind: "refused"; readonly id: number; readonly findings: readonly FindingView[] }
  | { readonly kind: "crashed"; readonly reason: string }
  /** It holds this lock for as long as it lives. */
  | { readonly kind: "alive"; readonly lock: string };

export interface ToWorker {
  readonly id: number;
  readonly method: Method;
  readonly params: unknown;
}
