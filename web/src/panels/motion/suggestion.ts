/** The gentlest limits that still arrive in time. */

import { button, field, findingLine } from "../../ui/controls";
import { h } from "../../ui/dom";
import { ACCELERATION, limitText, short, SPEED } from "../../ui/numbers";
import type { Rehearsal } from "./rehearsal";
import type { SuggestedView } from "../../engine/protocol";
import type { Session } from "../../work/session";
import { showing } from "../../ui/refusals";
import { table } from "../../ui/table";

export function suggestion(session: Session, rehearsal: Rehearsal): HTMLElement {
  const lag = h("input", { type: "number", class: "input input--number", min: 0.05, step: 0.05, value: 0.5 });
  const told = h("div", { class: "stack", role: "status" });

  async function find(event: Event): Promise<void> {
    event.preventDefault();
    await showing(told, async () => {
      const found = await session.engine.ask("suggest", { lag_s: lag.valueAsNumber });
      told.replaceChildren(...found.findings.map((finding) => findingLine(finding)), sheet(found), h("div", { class: "row" }, button({ words: "Take these limits" }, () => void take(found))));
    });
  }

  async function take(found: SuggestedView): Promise<void> {
    await showing(told, async () => {
      const limits = Object.fromEntries(Object.entries(found.limits).map(([drive, { speed, acceleration }]) => [drive, [speed, acceleration] as const]));
      session.history.settle();
      await session.take("Take suggested limits", await session.engine.ask("limit", { limits }));
      told.replaceChildren(h("p", { class: "quiet" }, "Taken. Undo brings the old limits back."));
    });
  }

  function sheet(found: SuggestedView): HTMLElement {
    const now = rehearsal.show.get()?.limits ?? {};
    return table("Gentlest limits", ["drive", `${SPEED} now`, "suggested", `${ACCELERATION} now`, "suggested", "late s then"], Object.entries(found.limits).map(([drive, limit]) => [
      drive,
      limitText(now[drive]?.speed ?? null, ""),
      limitText(limit.speed, ""),
      limitText(now[drive]?.acceleration ?? null, ""),
      limitText(limit.acceleration, ""),
      short(found.lag_s[drive] ?? 0),
    ]));
  }

  rehearsal.show.watch((show) => show ?? told.replaceChildren());
  return h(
    "form",
    { class: "stack", onsubmit: find },
    h("p", { class: "quiet" }, "Gentle limits spare gears and nerves. Python looks for the smallest with which every stop is still reached in time."),
    h("div", { class: "row row--end" }, field("Late by at most, s", lag), h("button", { type: "submit", class: "button" }, "Find the gentlest limits")),
    told,
  );
}
