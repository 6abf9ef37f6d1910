/** What each servo holds in the pose that stands: asked for while its panel is open, and marked in the picture. */

import { effect, type ReadonlySignal, type Signal, signal } from "@preact/signals";
import { Stale, Stopped } from "../../engine/engine";
import type { HeldView, PropView, StrengthView } from "../../engine/protocol";
import type { Session } from "../../work/session";
import { shownColour } from "../../view/stage";
import { markStrained, type Strained } from "../../view/strained";
import type { View } from "../../view/view";
import { percent } from "./words";

export interface Strength {
  /** What is the same for all poses of the prop; null while it is not known. */
  readonly whole: ReadonlySignal<StrengthView | null>;
  /** What the servos hold in the pose; null while it is not known. */
  readonly held: ReadonlySignal<HeldView | null>;
  /** Whether the picture marks the servo that is worst. */
  readonly drawn: Signal<boolean>;
}

export function createStrength(session: Session, view: View, open: ReadonlySignal<boolean>, failed: (problem: unknown) => void): Strength {
  const whole = signal<StrengthView | null>(null);
  const held = signal<HeldView | null>(null);
  const drawn = signal(true);
  let of: PropView | null = null; // what `whole` is asked of
  let mark: Strained | null = null;

  function tell(problem: unknown): void {
    if (!(problem instanceof Stale || problem instanceof Stopped)) failed(problem);
  }

  async function askWhole(prop: PropView): Promise<void> {
    of = prop;
    const found = await session.engine.ask("strength", {});
    if (of === prop) whole.value = found;
  }

  async function ask(): Promise<void> {
    held.value = await session.engine.ask("held", { values: session.values() });
  }

  effect(() => {
    const prop = session.prop.value;
    if (open.value && prop && prop !== of) void askWhole(prop).catch((problem: unknown) => {
        if (of === prop) [of, whole.value] = [null, null]; // of the prop before it would be untrue
        tell(problem);
      });
  });
  effect(() => {
    if (open.value && session.pose.value) void ask().catch(tell);
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
    if (!wanted || mark?.joint !== joint || mark.figure !== figure) {
      mark?.remove();
      mark = wanted ? markStrained(figure, joint, view.stage.labels, shownColour("--brass")) : null;
    }
    if (drive && load) mark?.say(`◎ ${drive.name} ${percent(load)}`);
    view.stage.draw();
  }

  effect(() => {
    void view.shown.value;
    draw();
  });

  return { whole, held, drawn };
}
