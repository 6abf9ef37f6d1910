/** Motion: what the figure really does when values change. */

import { h } from "../dom";
import type { Session } from "../session";
import { caution } from "./calibration";

const SHOWS = "shows/";

export function motionPanel(session: Session): HTMLElement {
  const shows = h("ul", { class: "stack" });
  session.history.record.watch(({ work }) => {
    const names = Object.keys(work.files).filter((path) => path.startsWith(SHOWS));
    shows.replaceChildren(...names.map((path) => h("li", {}, path.slice(SHOWS.length))));
  });
  return h("div", { class: "stack" }, h("h2", {}, "Motion"), caution(), h("h3", {}, "Shows of this prop"), shows);
}
