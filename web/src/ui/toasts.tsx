/** Short messages in the corner. A problem stays until it is put away, all else goes by itself. */

import { signal, useSignalEffect } from "@preact/signals";
import { isMoot, Overtaken, Refused, Stale, Stopped } from "../engine/engine";
import type { FindingView } from "../engine/protocol";
import { byId } from "./browser";
import { Button } from "./button";
import { Icon } from "./icon";

const STAY_MS = 5000;
const STANDS_STILL = "Not done: Python stands still. Start it again, then try once more.";
const MOST_FINDINGS = 6;

interface Toast {
  readonly id: number;
  readonly title: string;
  readonly words: string;
  readonly problem: boolean;
}

const toasts = signal<readonly Toast[]>([]);

let last = 0;

function put(said: Omit<Toast, "id">): Toast {
  const toast = { id: (last += 1), ...said };
  toasts.value = [...toasts.value, toast];
  return toast;
}

function away(toast: Toast): void {
  toasts.value = toasts.value.filter((each) => each !== toast);
}

/** Put all of them away. */
export function quiet(): void {
  toasts.value = [];
}

export function say(words: string): void {
  toasts.value = toasts.value.filter((other) => other.problem || other.words !== words); // said once more it is not said twice
  const toast = put({ title: "", words, problem: false });
  setTimeout(() => away(toast), STAY_MS);
}

/** Tell a problem with what somebody asked for, in words a builder understands. */
export function complain(problem: unknown, title = ""): void {
  if (problem instanceof Overtaken) return say(problem.message);
  if (problem instanceof Stopped) return say(STANDS_STILL);
  if (problem instanceof Stale) return;
  const words = wordsOf(problem);
  // Once is enough: a hand on a slider may meet the same problem at every step.
  if (!toasts.value.some((other) => other.problem && other.title === title && other.words === words)) put({ title, words, problem: true });
}

/** The same of what the page asked by itself: it asks anew where another prop came in between, or Python went. */
export function complainUnasked(problem: unknown): void {
  if (!isMoot(problem)) complain(problem);
}

/** The same of what a hand asks for at every step, as a pull: an older step is no matter, but that Python stands still is told, once. */
export function complainAtHand(problem: unknown): void {
  if (!isMoot(problem)) complain(problem);
  else if (problem instanceof Stopped && !toasts.value.some(({ words }) => words === STANDS_STILL)) say(STANDS_STILL);
}

/** What changed by itself, as values that no drive of the prop can be sent; that is told where it can be read in peace. */
export function tellChanged(findings: readonly FindingView[], title = "Some values do not fit this prop"): void {
  if (findings.length > 0) complain(new Refused(findings), title);
}

/** What nobody caught is told as well, rather than kept in a console that no builder opens. */
export function complainOfAll(): void {
  addEventListener("unhandledrejection", (event) => {
    event.preventDefault();
    complainUnasked(event.reason);
  });
  addEventListener("error", (event) => complain(event.error ?? event.message));
}

function wordsOf(problem: unknown): string {
  if (problem instanceof Refused) {
    const findings = problem.findings.map(({ text }) => text);
    const more = findings.length - MOST_FINDINGS;
    return (more > 0 ? [...findings.slice(0, MOST_FINDINGS), `and ${more} more`] : findings).join("\n");
  }
  return problem instanceof Error ? problem.message : String(problem);
}

/** The newest first: it is the lowest of the column, and the one that is seen where there is no room for all. */
export function Toasts() {
  // Where there is no room for all they are scrolled, by keyboard as well.
  useSignalEffect(() => void (byId("toasts").tabIndex = toasts.value.length > 0 ? 0 : -1));
  return (
    <>
      {[...toasts.value].reverse().map((toast) =>
        toast.problem ? (
          <div key={toast.id} class="toast toast--error" role="alert">
            <Icon name="error" />
            <span>
              {toast.title && <strong>{toast.title}</strong>}
              {toast.title && <br />}
              {toast.words}
            </span>
            <Button words="Close" kind="plain" onClick={() => away(toast)} />
          </div>
        ) : (
          <div key={toast.id} class="toast">
            <span>{toast.words}</span>
          </div>
        ),
      )}
    </>
  );
}
