/** Open: a file from this machine, or a prop that this site serves. */

import type { Served } from "../work/catalogue";
import { button } from "../ui/controls";
import { h } from "../ui/dom";
import { ACCEPTED } from "../work/files";
import { dialog } from "../ui/dialog";

export function openDialog(served: readonly Served[], openFile: (file: File) => void, openServed: (prop: Served) => void): HTMLDialogElement {
  const chooser = h("input", { type: "file", accept: ACCEPTED, hidden: true, "aria-label": "File to open" });
  chooser.addEventListener("change", () => {
    const file = chooser.files?.[0];
    chooser.value = "";
    if (!file) return;
    made.close();
    openFile(file);
  });
  const cards = served.map((prop) =>
    h(
      "button",
      {
        type: "button",
        class: "choice-card",
        onclick: () => {
          made.close();
          openServed(prop);
        },
      },
      h("strong", {}, prop.title),
      h("span", { class: "quiet" }, prop.name),
    ),
  );
  const made = dialog("Open", [
    h("p", { class: "quiet" }, "A prop.toml, a zip of a prop folder, a GLB that posekit wrote, or a snapshot (CSV, JSON, 512 bytes). Dropping it anywhere on the page does the same. Nothing is sent anywhere."),
    h("div", { class: "row" }, button({ drawn: "open", words: "Choose a file", kind: "main" }, () => chooser.click()), chooser),
    h("h3", {}, "Props of this site"),
    h("div", { class: "choices" }, ...cards),
  ]);
  return made;
}
