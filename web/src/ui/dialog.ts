/** A modal box with a heading and a way out. */

import { button } from "./controls";
import { freshId, h, type Child } from "./dom";

export function dialog(title: string, body: Child[]): HTMLDialogElement {
  const id = freshId("dialog");
  const made: HTMLDialogElement = h(
    "dialog",
    { class: "dialog", "aria-labelledby": id },
    h(
      "div",
      { class: "stack" },
      h("div", { class: "row row--between" }, h("h2", { id }, title), button({ words: "Close", kind: "plain" }, () => made.close())),
      ...body,
    ),
  );
  made.addEventListener("click", (event) => event.target === made && made.close());
  document.body.append(made);
  return made;
}
