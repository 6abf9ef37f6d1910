/** Motion: what the figure really does when values change. */

import { button, fold } from "../../ui/controls";
import { download, h } from "../../ui/dom";
import type { Curves } from "./curves";
import type { Player } from "./player";
import type { Rehearsal } from "./rehearsal";
import type { FileView } from "../../engine/protocol";
import type { Session } from "../../work/session";
import { complain } from "../../ui/toasts";
import type { View } from "../../view/view";
import { caution } from "../calibration/calibration";
import { cueList } from "./cues";
import { fillDock } from "./dock";
import { limitSliders } from "./limits";
import { readingsTables } from "./readings";
import { showPicker } from "./shows";
import { strikeSearch } from "./strikes";
import { suggestion } from "./suggestion";

export function motionPanel(session: Session, rehearsal: Rehearsal, player: Player, curves: Curves, view: View): HTMLElement {
  const chart = fillDock(session, rehearsal, player, curves, view);
  const cues = fold("Cues", false, cueList(session, rehearsal, player));
  const open = h(
    "div",
    { class: "stack" },
    cues,
    fold("Speed and acceleration", true, limitSliders(session, rehearsal)),
    fold("Readings", false, readingsTables(rehearsal)),
    chart.sheet,
    fold("Gentler limits", false, suggestion(session, rehearsal)),
    fold("Strikes on the way", false, strikeSearch(session, rehearsal, player)),
    fold("Take it out", false, files()),
  );
  rehearsal.show.watch((show) => (open.hidden = show === null));

  function files(): HTMLElement {
    const save = (asked: Promise<FileView>): void => void asked.then(({ name, data, type }) => download(name, data, type), complain);
    return h(
      "div",
      { class: "stack" },
      h("p", { class: "quiet" }, "Of the real motion, not of the commanded one. The film is made with the button below the figure."),
      h(
        "div",
        { class: "row" },
        button({ drawn: "save", words: "Animated GLB" }, () => save(session.engine.ask("motion_glb", {}))),
        button({ drawn: "save", words: "Curves of all drives (CSV)" }, () => save(session.engine.ask("motion_csv", {}))),
        button({ drawn: "picture", words: "Curves as drawn (SVG)" }, () => download(`${rehearsal.show.get()?.name ?? "curves"}.svg`, chart.file(), "image/svg+xml")),
      ),
    );
  }

  return h(
    "div",
    { class: "stack" },
    h("h2", {}, "Motion"),
    h("p", { class: "quiet" }, "Values jump; servos do not. Open a show and see what the figure really does within its speeds and accelerations."),
    caution(),
    showPicker(session, rehearsal, () => (cues.open = true)),
    open,
  );
}
