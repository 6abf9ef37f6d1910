/** Clearance: what stands too near now, and what could ever strike. */

import type { Nearness } from "./nearness";
import type { Surveyor } from "./surveyor";
import { fold } from "../../ui/controls";
import { h } from "../../ui/dom";
import type { Session } from "../../work/session";
import { caution } from "../calibration/calibration";
import { nearList } from "./near";
import { strikeMap } from "./map";
import { surveyForm } from "./survey";

export function clearancePanel(session: Session, nearness: Nearness, surveyor: Surveyor): HTMLElement {
  const map = strikeMap(session, surveyor);
  return h(
    "div",
    { class: "stack" },
    h("h2", {}, "Clearance"),
    nearList(session, nearness),
    fold("All that the end points allow", true, surveyForm(session, surveyor, map.choose)),
    fold("Map of a pair", true, map.element),
    caution(),
  );
}
