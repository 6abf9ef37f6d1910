/** What each servo holds in the pose that stands: asked for while its panel is open, and marked in the picture. */

import { computed, effect, type ReadonlySignal, type Signal, signal, untracked } from "@preact/signals";
import type { HeldView, PropView, StrengthView } from "../../engine/protocol";
import type { Session } from "../../work/session";
import { shownColour } from "../../view/stage";
import { markStrained, type Strained } from "../../view/strained";
import type { View } from "../../view/view";
import type { Nearness } from "../clearance/nearness";
import { createBehind } from "./behind";
import { percent } from "./words";

export interface Strength {
  /** What is the same for all poses of the prop; null while it is not known. */
  readonly whole: ReadonlySignal<StrengthView | null>;
  /** What the servos hold in the pose; null while it is not known. */
  readonly held: ReadonlySignal<HeldView | null>;
  /** Whether the picture marks the servo that is worst. */
  readonly drawn: Signal<boolean>;
}

/** An answer, and which prop on the bench it is of. */
interface Of<Answer> {
  readonly opened: string;
  readonly answer: Answer;
}

export function createStrength(session: Session, view: View, nearness: Nearness, open: ReadonlySignal<boolean>, failed: (problem: unknown) => void): Strength {
  const foundWhole = signal<Of<StrengthView> | null>(null);
  const foundHeld = signal<Of<HeldView> | null>(null);
  // What was found of the prop before would be untrue of this one.
  const whole = computed(() => (foundWhole.value?.opened === session.opened.value ? foundWhole.value.answer : null));
  const held = computed(() => (foundHeld.value?.opened === session.opened.value ? foundHeld.value.answer : null));
  const drawn = signal(true);
  let of: PropView | null = null; // what `whole` is asked of
  let mark: Strained | null = null;
  let said = ""; // beside it

  async function askWhole(prop: PropView): Promise<void> {
    of = prop;
    const opened = session.opened.peek();
    const answer = await session.engine.ask("strength", {});
    if (of === prop) foundWhole.value = { opened, answer };
  }

  async function askHeld(): Promise<void> {
    if (!open.peek()) return;
    const opened = session.opened.peek();
    foundHeld.value = { opened, answer: await session.engine.ask("held", { values: session.values() }) };
  }

  const behind = createBehind(session.engine, () => void askHeld().catch(failed));

  effect(() => {
    const prop = session.prop.value;
    if (open.value && prop && prop !== of) void askWhole(prop).catch((problem: unknown) => {
        if (of === prop) [of, foundWhole.value] = [null, null];
        failed(problem);
      });
  });
  effect(() => {
    if (open.value && session.pose.value) behind.changed();
  });
  effect(() => {
    if (open.value && nearness.near.value) untracked(behind.turn); // the near pairs are the last that is asked of a pose
  });

  function draw(): void {
    const figure = view.figure();
    const worst = held.value?.worst ?? null;
    const drives = session.prop.value?.drives ?? [];
    const drive = drives.find(({ name }) => name === worst);
    const joint = session.prop.value?.joints.find(({ name }) => name === drive?.joint);
    const load = drive && held.value?.loads[drives.indexOf(drive)];
    // While the figure stands otherwise than the channels say, the mark would be of another pose.
    const wanted = open.value && drawn.value && !view.apart.value && figure && joint && load;
    const words = wanted ? `◎ ${drive.name} ${percent(load)}` : "";
    const stays = wanted ? mark?.joint === joint && mark.figure === figure : !mark;
    if (!stays) {
      mark?.remove();
      mark = wanted ? markStrained(figure, joint, view.stage.labels, shownColour("--brass")) : null;
      view.stage.draw(); // other words alone are no other picture: they stand in a layer over it
    }
    if (!stays || said !== words) mark?.say(words);
    said = words;
  }

  effect(() => {
    void view.shown.value;
    draw();
  });

  return { whole, held, drawn };
}
