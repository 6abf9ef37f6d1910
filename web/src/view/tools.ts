/** The bar over the figure: what a press on a part does, and what is laid over the picture. */

import { cell } from "../ui/cell";
import { button, isPressed, press, toggle } from "../ui/controls";
import { byId, h } from "../ui/dom";
import { Stale } from "../engine/engine";
import type { IconName } from "../ui/icons";
import { jointOf, type Reach } from "../panels/looks/reach";
import type { Session } from "../work/session";
import { complain, say } from "../ui/toasts";
import { type Hand, listenToHands } from "./hands";
import type { View } from "./view";

const HANDS: readonly (readonly [Hand, IconName, string])[] = [
  ["look", "look", "Look around"],
  ["turn", "hand", "Turn a joint"],
  ["reach", "target", "Pull a part"],
];

export function fillViewTools(session: Session, view: View, reach: Reach): void {
  const hand = cell<Hand>("look");
  const hands = HANDS.map(([which, drawn, name]) => button({ drawn, name }, () => hand.set(which)));
  hand.watch((now) => {
    HANDS.forEach(([which], index) => hands[index] && press(hands[index], which === now));
    view.stage.canvas.dataset["hand"] = now;
  });
  view.stage.canvas.addEventListener("keydown", (event) => event.key === "Escape" && hand.set("look"));

  listenToHands(view.stage, view.figure, hand.get, {
    chosen(link) {
      const prop = session.prop.get();
      session.chosen.set(prop ? jointOf(prop, link) : null);
      view.choose(link);
    },
    pulled(pull) {
      const how = hand.get();
      if (how !== "look") reach.pull(pull, how).catch(complain);
    },
    released: reach.release,
  });
  session.chosen.watch((joint) => {
    const child = session.prop.get()?.joints.find(({ name }) => name === joint)?.child;
    if (child) view.choose(child);
  });

  const axes = toggle("axes", "Joint axes", showAxes);
  const names = toggle("names", "Link names", (on) => view.names(on));
  const sweep = toggle("sweep", "Sweep of the chosen joint between its end points", (on) => void showSweep(on));

  function showAxes(on: boolean): void {
    view.axes(on ? (session.prop.get()?.joints ?? []) : null);
  }
  view.shown.watch(() => showAxes(isPressed(axes)));

  async function showSweep(on: boolean): Promise<void> {
    const prop = session.prop.get();
    const joint = prop?.joints.find(({ name }) => name === session.chosen.get());
    const drive = prop?.drives.find(({ name }) => joint?.drives.includes(name));
    if (!on || !prop || !drive) {
      view.sweep(null, []);
      if (on) {
        press(sweep, false);
        say("Choose a part or a channel first: the sweep is that of its joint.");
      }
      return;
    }
    try {
      view.sweep(await session.engine.ask("sweep", { drive: drive.name, values: session.values() }), prop.links);
    } catch (problem) {
      if (!(problem instanceof Stale)) complain(problem);
    }
  }
  const swept = (): boolean => isPressed(sweep);
  session.chosen.watch(() => swept() && void showSweep(true));
  session.pose.watch(() => swept() && void showSweep(true));
  session.picture.watch(() => press(sweep, false));

  byId("status").prepend(reach.told);
  byId("view-tools").replaceChildren(
    h("div", { class: "choice", role: "group", "aria-label": "Hand" }, ...hands),
    h("div", { class: "choice", role: "group", "aria-label": "Show" }, axes, names, sweep),
    button({ drawn: "home", name: "Show all" }, view.home),
  );
}
