/** The map of a pair over its two most telling channels; it follows the values that stand. */

import type { Surveyor } from "./surveyor";
import { button, field } from "../../ui/controls";
import { download, h } from "../../ui/dom";
import type { FileView } from "../../engine/protocol";
import type { Session } from "../../work/session";
import { showing } from "../../ui/refusals";
import type { Choose } from "./survey";

const PAUSE_MS = 400; // values that still move would only make the worker late

export function strikeMap(session: Session, surveyor: Surveyor): { element: HTMLElement; choose: Choose } {
  const which = h("select", { class: "input" });
  const paper = h("div", { class: "map", tabindex: "0", role: "region", "aria-label": "Map" });
  const told = h("div", { class: "quiet", role: "status" });
  const save = button({ drawn: "save", words: "Save as SVG", hidden: true }, () => {
    if (drawn) download(drawn.name, drawn.data, drawn.type);
  });
  let drawn: FileView | null = null;
  let timer = 0;

  session.prop.watch((prop) => {
    const before = which.value;
    which.replaceChildren(
      h("option", { value: "" }, "Choose a pair"),
      ...(prop?.pairs ?? []).map((pair) => h("option", { value: JSON.stringify(pair) }, pair.join(" – "))),
    );
    which.value = before;
  });
  session.history.record.watch(() => {
    clearTimeout(timer);
    if (drawn) timer = window.setTimeout(draw, PAUSE_MS);
  });
  which.addEventListener("change", () => {
    drawn = null;
    paper.replaceChildren();
    draw();
  });

  function draw(): void {
    void showing(told, async () => {
      if (!which.value) return;
      told.textContent = "Drawing the map…";
      const made = await surveyor.map(JSON.parse(which.value) as [string, string], session.values());
      if (!made) return;
      told.textContent = "";
      drawn = made;
      const text = new TextDecoder().decode(made.data);
      paper.replaceChildren(document.adoptNode(new DOMParser().parseFromString(text, made.type as "image/svg+xml").documentElement));
      save.hidden = false;
    });
  }

  return {
    element: h("div", { class: "stack" }, field("Pair", which), told, paper, h("div", { class: "row" }, save)),
    choose(pair) {
      which.value = JSON.stringify(pair);
      which.dispatchEvent(new Event("change"));
      which.scrollIntoView({ block: "start" });
    },
  };
}
