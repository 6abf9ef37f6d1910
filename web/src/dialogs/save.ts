/** Save: prop file, prop folder, GLB and picture, each one press. */

import { button } from "../ui/controls";
import { download, h } from "../ui/dom";
import { pack } from "../work/files";
import type { Session } from "../work/session";
import type { View } from "../view/view";
import { dialog } from "../ui/dialog";
import { captioned } from "./picture";

export function saveDialog(session: Session, view: View): HTMLDialogElement {
  const caption = h("input", { type: "text", class: "input", id: "caption" });
  const folder = (): string => session.history.work().folder || "prop";
  const made = dialog("Save", [
    h(
      "div",
      { class: "choices" },
      choice("Prop file", "prop.toml as text, your comments kept", () => {
        download("prop.toml", session.history.work().files["prop.toml"] ?? "", "application/toml");
      }),
      choice("Prop folder", "zip with meshes and looks", () => {
        download(`${folder()}.zip`, pack(folder(), session.history.work().files), "application/zip");
      }),
      choice("GLB of this pose", "for any 3D viewer; posekit can open it again", () => void saveGlb()),
    ),
    h("div", { class: "field" }, h("label", { for: "caption" }, "Caption of the picture"), caption),
    h("div", { class: "row" }, button({ drawn: "picture", words: "Save picture (PNG)", kind: "main" }, () => void savePicture())),
  ]);

  async function saveGlb(): Promise<void> {
    const file = await session.engine.ask("glb", { values: session.values() });
    download(file.name, file.data, file.type);
  }

  async function savePicture(): Promise<void> {
    const png = await captioned(view.stage.picture(), caption.value);
    download(`${folder()}.png`, png, "image/png");
  }

  made.addEventListener("toggle", () => {
    caption.value ||= session.prop.get()?.name ?? "";
  });
  return made;

  function choice(name: string, hint: string, press: () => void): HTMLElement {
    return h("button", { type: "button", class: "choice-card", onclick: press }, h("strong", {}, name), h("span", { class: "quiet" }, hint));
  }
}

