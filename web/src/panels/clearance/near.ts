/** The pairs below the margin in this pose, as text; a click takes the camera there. */

import type { Nearness } from "./nearness";
import { h } from "../../ui/dom";
import { icon } from "../../ui/icons";
import type { NearPair } from "../../engine/protocol";
import type { Session } from "../../work/session";
import { nearText } from "../../view/strikes";

export function nearList(session: Session, nearness: Nearness): HTMLElement {
  const list = h("ul", { class: "stack stack--tight" });
  const drawn = h("input", { type: "checkbox", checked: true });
  drawn.addEventListener("change", () => nearness.drawn.set(drawn.checked));

  nearness.near.watch((near) => {
    const margin = session.prop.get()?.margin_mm ?? 0;
    const none = h("li", { class: "quiet" }, near ? `No two parts are nearer than the margin of ${margin} mm.` : "Not known yet.");
    const rows = (near?.pairs ?? []).map((pair, index) => h("li", {}, row(pair, () => nearness.visit(index))));
    list.replaceChildren(...(rows.length > 0 ? rows : [none]));
  });

  return h(
    "section",
    { class: "stack stack--tight" },
    h("div", { class: "row row--between" }, h("h3", {}, "In this pose"), h("label", { class: "check" }, drawn, "in the picture")),
    list,
  );
}

function row(near: NearPair, visit: () => void): HTMLElement {
  const level = near.mm > 0 ? "warning" : "error";
  const [a, b] = near.pair;
  return h(
    "button",
    { type: "button", class: `near finding finding--${level}`, onclick: visit, title: "Look there" },
    icon(level),
    h("strong", {}, near.mm > 0 ? "Near" : "Strike"),
    h("span", { class: "near__pair" }, `${a} – ${b}`),
    h("span", { class: "number" }, nearText(near)),
  );
}
