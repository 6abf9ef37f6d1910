/** A table of readings, with a caption and heads that a screen reader can follow. */

import { type Child, h } from "./dom";

/** Rows of cells, the first of each its head. */
export function table(caption: string, heads: readonly string[], rows: readonly (readonly Child[])[]): HTMLElement {
  return h(
    "div",
    { class: "sheet", tabindex: "0", role: "region", "aria-label": caption },
    h(
      "table",
      {},
      h("caption", {}, caption),
      h("thead", {}, h("tr", {}, ...heads.map((head) => h("th", { scope: "col" }, head)))),
      h("tbody", {}, ...rows.map(([first, ...rest]) => h("tr", {}, h("th", { scope: "row" }, first), ...rest.map((cell) => h("td", {}, cell))))),
    ),
  );
}
