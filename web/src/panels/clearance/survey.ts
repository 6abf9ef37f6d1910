/** The envelope: a verdict on every pair over all values, with witnesses to look at and end points that would help. */

import type { Surveyor } from "./surveyor";
import { button, field, findingLine, fold, select } from "../../ui/controls";
import { h } from "../../ui/dom";
import { icon, type IconName } from "../../ui/icons";
import type { PairVerdict, Suggestion, SurveyView } from "../../engine/protocol";
import type { Session } from "../../work/session";
import { showing } from "../../ui/refusals";

const RESOLUTIONS = [["4", "4° or mm: a first look"], ["2", "2° or mm"], ["1", "1° or mm"], ["0.5", "0.5° or mm: thorough"]] as const;
const PHASES: Record<SurveyView["phase"], string> = {
  judging: "Judging pairs",
  suggesting: "Looking for end points that would help",
  done: "Done",
};
const MOST_SUGGESTIONS = 12;

export type Choose = (pair: readonly [string, string]) => void;

export function surveyForm(session: Session, surveyor: Surveyor, map: Choose): HTMLElement {
  const resolution = select(RESOLUTIONS, {});
  resolution.value = "2";
  const told = h("div", { class: "stack" });
  const start = button({ words: "Judge every pair", kind: "main" }, () => {
    void showing(told, () => surveyor.run(Number(resolution.value)));
  });
  const stop = button({ words: "Stop with what is known" }, surveyor.stop);
  const bar = h("progress", { class: "progress progress--wide", max: 1, "aria-label": "Pairs judged" });
  const progress = h("p", { class: "quiet number", role: "status" });
  const outdated = h("p", { class: "caution", hidden: true }, "The prop has changed since: judge again.");
  const found = h("div", { class: "stack" });

  surveyor.running.watch((running) => {
    start.hidden = running;
    stop.hidden = bar.hidden = !running;
  });
  surveyor.outdated.watch((old) => (outdated.hidden = !old));
  surveyor.survey.watch((view) => {
    if (!view) return;
    bar.value = view.pairs > 0 ? view.settled.length / view.pairs : 0;
    progress.textContent = `${PHASES[view.phase]}: ${view.settled.length} of ${view.pairs} pairs, ${view.cells} cells, ${view.seconds.toFixed(1)} s`;
    found.replaceChildren(...results(session, view, map));
  });

  return h(
    "div",
    { class: "stack" },
    h("p", { class: "quiet" }, "Every combination of channel values, and the way between them. “Clear” is proved by the margin; “near” never touches, which is proved, but does not keep the margin; “strikes” comes with values that do."),
    field("Resolution", resolution),
    h("div", { class: "row" }, start, stop),
    bar,
    progress,
    told,
    outdated,
    found,
  );
}

function results(session: Session, view: SurveyView, map: Choose): HTMLElement[] {
  const of = (verdict: PairVerdict["verdict"]): PairVerdict[] => view.settled.filter((each) => each.verdict === verdict);
  const [strikes, open, near, clear] = [of("strikes"), of("open"), of("near"), of("clear")];
  const aside = view.left_out.map(({ pair, why }) => h("li", { class: "verdict" }, h("span", {}, h("strong", {}, `${pair[0]} – ${pair[1]}`), ` ${why}`)));
  return [
    ...view.findings.map((finding) => findingLine(finding)),
    ...(view.summary ? [h("p", { class: "number" }, `${view.summary}.`)] : []),
    ...group("error", `${strikes.length} can strike`, strikes.map((each) => verdictRow(session, each, map)), true),
    ...group("warning", `${open.length} open`, open.map((each) => verdictRow(session, each, map)), true),
    ...group("warning", `${near.length} near: nearer than the margin of ${view.margin_mm} mm`, near.map((each) => verdictRow(session, each, map)), true),
    ...group("note", `${aside.length} left out: not judged, or only in part`, aside, false),
    ...group("note", `${clear.length} clear, proved`, clear.map((each) => verdictRow(session, each, map)), false),
    ...group("hand", "End points that would help", suggestions(session, view), true),
  ];
}

function group(drawn: IconName, title: string, rows: HTMLElement[], open: boolean): HTMLElement[] {
  if (rows.length === 0) return [];
  return [fold(h("span", { class: "row" }, icon(drawn), title), open, h("ul", { class: "verdicts" }, ...rows))];
}

function verdictRow(session: Session, { pair, verdict, witness, clear_by_mm, open_fraction, finished }: PairVerdict, map: Choose): HTMLElement {
  const words = {
    strikes: "strikes",
    open: `${finished ? "too near to tell at this resolution" : "not judged to the end"}: ${(open_fraction * 100).toPrecision(2)} % of the range is left`,
    near: `stay apart by ${clear_by_mm?.toFixed(2)} mm or more, proved`,
    clear: `by ${clear_by_mm?.toFixed(1)} mm or more`,
  }[verdict];
  return h(
    "li",
    { class: "verdict" },
    h("span", {}, h("strong", {}, `${pair[0]} – ${pair[1]}`), ` ${words}`),
    h(
      "span",
      { class: "row" },
      witness && button({ words: "Show", "aria-label": `Show ${pair[0]} and ${pair[1]} ${verdict === "near" ? "nearest" : "striking"}` }, () => {
        session.history.settle();
        session.setValues(`${verdict === "near" ? "Nearest place" : "Strike"} of ${pair[0]} and ${pair[1]}`, witness);
      }),
      verdict !== "clear" && button({ words: "Map", "aria-label": `Map of ${pair[0]} and ${pair[1]}` }, () => map(pair)),
    ),
  );
}

function suggestions(session: Session, view: SurveyView): HTMLElement[] {
  const rows = view.suggestions.slice(0, MOST_SUGGESTIONS).map((each) => suggestionRow(session, each, view.margin_mm));
  const more = view.suggestions.length - rows.length;
  return more > 0 ? [...rows, h("li", { class: "quiet" }, `and ${more} more, which clear fewer pairs or cost more`)] : rows;
}

function suggestionRow(session: Session, { drive, end, pulse_us, clears }: Suggestion, margin: number): HTMLElement {
  const told = h("div");
  const pairs = clears.map(([a, b]) => `${a} – ${b}`).join(", ");
  return h(
    "li",
    { class: "verdict" },
    h("span", {}, h("strong", { class: "number" }, `${drive} ${end} ${pulse_us} µs`), ` clears ${pairs} by ${margin} mm`),
    button({ words: "Set", "aria-label": `Set ${drive} ${end} to ${pulse_us} µs` }, () => {
      const path = session.prop.get()?.drives.find(({ name }) => name === drive)?.path;
      if (path) void showing(told, () => session.edit(`${path}.pulse.${end}`, pulse_us));
    }),
    told,
  );
}
