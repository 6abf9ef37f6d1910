/** The bar over the figure: what a press on a part does, and what is laid over the picture. */

import { type Signal, untracked, useSignal, useSignalEffect } from "@preact/signals";
import { useEffect } from "preact/hooks";
import type { Bench } from "../bench";
import { Button, Toggle } from "../ui/button";
import type { IconName } from "../ui/icon";
import { complainAtHand, say } from "../ui/toasts";
import { type Hand, listenToHands } from "../view/hands";

const HANDS: readonly (readonly [Hand, IconName, name: string, short: string])[] = [
  ["look", "look", "Look around", "look"],
  ["turn", "hand", "Turn a joint", "turn"],
  ["reach", "target", "Pull a part", "pull"],
];

export function ViewTools({ bench }: { bench: Bench }) {
  const { session, view } = bench;
  const hand = useSignal<Hand>("look");
  const axes = useSignal(false);
  const names = useSignal(false);
  const sweep = useSignal(false);

  useHands(bench, hand);
  useSignalEffect(() => {
    view.shown.value; // another figure has none yet
    view.axes(axes.value ? (session.prop.peek()?.joints ?? []) : null);
  });
  useSignalEffect(() => view.names(names.value));
  useSweep(bench, sweep);

  return (
    <>
      <div class="choice" role="group" aria-label="Hand">
        {HANDS.map(([which, icon, name, short]) => (
          <Button key={which} icon={icon} name={name} short={short} aria-pressed={hand.value === which} onClick={() => (hand.value = which)} />
        ))}
      </div>
      <div class="choice" role="group" aria-label="Show">
        <Toggle icon="axes" name="Joint axes" short="axes" on={axes} />
        <Toggle icon="names" name="Part names" short="names" on={names} />
        <Toggle icon="linkage" name="Linkages: horns, rods, wheels" short="linkages" on={session.linkages} />
        <Toggle icon="sweep" name="Sweep the chosen joint between its end points" short="sweep" on={sweep} />
      </div>
      <Button icon="home" name="Show all" short="all" onClick={view.home} />
    </>
  );
}

/** Parts are chosen and pulled in the picture as the hand says. */
function useHands({ session, view, reach }: Bench, hand: Signal<Hand>): void {
  const { canvas } = view.stage;
  useSignalEffect(() => {
    canvas.dataset["hand"] = hand.value;
  });
  useEffect(() => {
    canvas.addEventListener("keydown", (event) => event.key === "Escape" && (hand.value = "look"));
    listenToHands(view.stage, view.figure, () => hand.value, {
      chosen: (link) => void (session.part.value = link),
      pulled(pull) {
        const how = hand.value;
        if (how !== "look") reach.pull(pull, how).catch(complainAtHand);
      },
      released: reach.release,
    }, () => view.taker);
  }, []);
  useSignalEffect(() => view.choose(session.part.value));
}

/** The sweep of the chosen joint follows what is chosen and how the prop stands. */
function useSweep({ session, view }: Bench, on: Signal<boolean>): void {
  async function show(): Promise<void> {
    const prop = session.prop.peek();
    const drive = session.drive.peek();
    if (!prop || !drive || session.chosen.peek() === null) {
      on.value = false;
      say("Choose a part or a channel first.");
      return;
    }
    try {
      const swept = await session.engine.ask("sweep", { drive: drive.name, values: session.values() });
      if (on.peek()) view.sweep(swept, prop.links);
    } catch (problem) {
      complainAtHand(problem);
    }
  }

  useSignalEffect(() => {
    if (!on.value) {
      view.sweep(null, []);
      return;
    }
    session.chosen.value;
    session.pose.value;
    untracked(() => void show());
  });
  useSignalEffect(() => {
    session.picture.value;
    on.value = false;
  });
}
