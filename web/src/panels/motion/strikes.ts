/** The first strike over the whole show: Python goes through the real motion part by part, and none between is missed. */

import { button, findingLine } from "../../ui/controls";
import { h } from "../../ui/dom";
import { clock } from "../../ui/numbers";
import type { Player } from "./player";
import type { Rehearsal } from "./rehearsal";
import type { StrikeView } from "../../engine/protocol";
import type { Session } from "../../work/session";
import { showing } from "../../ui/refusals";

const PART = 5; // s of the show looked at in one go, so that play and hands come between

export function strikeSearch(session: Session, rehearsal: Rehearsal, player: Player): HTMLElement {
  const told = h("div", { class: "stack", role: "status" });
  const look = button({ words: "Look for the first strike" }, () => void showing(told, search));
  let looking = 0; // counts searches; a newer one, or another motion, ends the older

  rehearsal.show.watch(() => {
    looking += 1;
    told.replaceChildren();
  });

  async function search(): Promise<void> {
    const show = rehearsal.show.get();
    if (!show) return;
    looking += 1;
    const mine = looking;
    const near: StrikeView[] = []; // of each pair the first time: it must not hide a strike that comes later
    for (let begin = show.begin; begin < show.end; begin += PART) {
      told.replaceChildren(h("p", { class: "quiet" }, `Looked at as far as ${clock(begin)}…`));
      const found = await session.engine.ask("strikes", { begin, end: Math.min(begin + PART, show.end) });
      if (mine !== looking) return;
      near.push(...found.filter(({ verdict, pair }) => verdict === "near" && !near.some((each) => String(each.pair) === String(pair))));
      const graver = found.filter(({ verdict }) => verdict !== "near");
      if (graver.length > 0) {
        told.replaceChildren(...[...graver, ...near].map(tell));
        return;
      }
    }
    if (near.length > 0) {
      told.replaceChildren(h("p", {}, "Nothing strikes in this show, but the margin is not kept:"), ...near.map(tell));
      return;
    }
    told.replaceChildren(h("p", {}, "Nothing strikes in this show: every watched pair of parts stays apart, proved for every instant of the motion as it is computed."));
  }

  function tell(strike: StrikeView): HTMLElement {
    const level = strike.verdict === "near" ? "warning" : "error";
    const words = { strikes: "touch or overlap", near: "do not keep the margin: nearest", open: "come too near to tell" }[strike.verdict];
    return h(
      "div",
      { class: "row" },
      findingLine({ level, text: `${strike.pair.join(" - ")}: ${words} at ${clock(strike.at)}`, alone: words }),
      button({ words: `Go to ${clock(strike.at)}` }, () => player.seek(strike.at)),
    );
  }

  return h("div", { class: "stack" }, h("p", { class: "quiet" }, "The real motion, with its lags, takes other ways than the commanded one: parts that pass each other by may strike when one is late."), h("div", { class: "row" }, look), told);
}
