/** Short messages in the corner. A problem stays until it is put away, all else goes by itself. */

import { button } from "./controls";
import { byId, h } from "./dom";
import { Refused, Stale, Stopped } from "../engine/engine";
import { icon } from "./icons";

const STAY_MS = 5000;

export function say(words: string): void {
  const toast = h("div", { class: "toast" }, h("span", {}, words));
  byId("toasts").append(toast);
  setTimeout(() => toast.remove(), STAY_MS);
}

/** Tell a problem in words a builder understands. */
export function complain(problem: unknown, what = ""): void {
  if (problem instanceof Stale || problem instanceof Stopped) return;
  const toast: HTMLElement = h(
    "div",
    { class: "toast toast--error", role: "alert" },
    icon("error"),
    h("span", {}, what && h("strong", {}, what), what && h("br"), wordsOf(problem)),
    button({ words: "Close", kind: "plain" }, () => toast.remove()),
  );
  byId("toasts").append(toast);
}

/** What nobody caught is told as well, rather than kept in a console that no builder opens. */
export function complainOfAll(): void {
  addEventListener("unhandledrejection", (event) => {
    event.preventDefault();
    complain(event.reason);
  });
  addEventListener("error", (event) => complain(event.error ?? event.message));
}

function wordsOf(problem: unknown): string {
  if (problem instanceof Refused) {
    const findings = problem.findings.map((finding) => finding.text);
    return findings.length > 6 ? [...findings.slice(0, 6), `and ${findings.length - 6} more`].join("\n") : findings.join("\n");
  }
  return problem instanceof Error ? problem.message : String(problem);
}
