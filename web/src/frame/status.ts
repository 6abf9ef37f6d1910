/** Where things stand: how far Python has come, whether the work is saved, what there is to tell. */

import { button } from "../ui/controls";
import { byId, h } from "../ui/dom";
import type { Progress } from "../engine/engine";
import { icon } from "../ui/icons";
import type { FindingView } from "../engine/protocol";

const WORDS: Record<Progress["stage"], string> = {
  starting: "Starting Python",
  loading: "Loading Python",
  preparing: "Preparing the prop",
  ready: "",
  stopped: "The engine has stopped. Your work is safe here.",
};

export interface Status {
  progress(now: Progress): void;
  saved(state: "saved" | "saving" | "failed"): void;
  findings(found: readonly FindingView[]): void;
  /** How many pairs of parts are below the margin. */
  near(pairs: number): void;
}

export function createStatus(restart: () => void, open: (panel: string) => void): Status {
  const bar = h("progress", { class: "progress", max: 1, "aria-label": "Loading Python" });
  const words = h("span", {});
  const again = button({ words: "Start it again", kind: "main" }, restart);
  const engine = h("div", { class: "status__engine", role: "status" }, words, bar, again);
  const saving = h("span", { class: "quiet status__saved" });
  const count = button({ words: "", kind: "plain", class: "button status__count" }, () => open("findings"));
  const below = button({ words: "", kind: "plain", class: "button status__count" }, () => open("clearance"));
  byId("status").append(engine, below, count, saving);

  return {
    progress({ stage, done, total, reason }) {
      const part = total > 0 ? done / total : 0;
      engine.hidden = stage === "ready";
      again.hidden = stage !== "stopped";
      bar.hidden = stage === "stopped";
      if (part > 0) bar.value = part;
      else bar.removeAttribute("value");
      words.textContent = stage === "loading" && total > 0 ? `${WORDS.loading}: ${megabytes(done)} of ${megabytes(total)} MB` : WORDS[stage];
      if (reason) words.textContent += ` (${reason})`;
      document.documentElement.dataset["engine"] = stage;
    },
    saved(state) {
      saving.textContent = { saved: "Saved in this browser", saving: "Saving…", failed: "Not saved: this browser keeps no data. Save a file." }[state];
    },
    near(pairs) {
      below.hidden = pairs === 0;
      below.replaceChildren(icon("warning"), `${pairs} ${pairs === 1 ? "pair" : "pairs"} below the margin`);
    },
    findings(found) {
      const level = (["error", "warning", "note"] as const).find((each) => found.some((finding) => finding.level === each));
      count.hidden = !level;
      if (level) count.replaceChildren(icon(level), `${found.length} ${found.length === 1 ? "finding" : "findings"}`);
    },
  };
}

function megabytes(bytes: number): string {
  return (bytes / 1e6).toFixed(1);
}
