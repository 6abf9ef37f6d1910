/** From picture to values: a part pulled in the picture, a part or a joint brought to what is typed. Python finds the pose. */

import { type Signal, signal } from "@preact/signals";
import { Overtaken, Stale } from "../../engine/engine";
import type { Found, PropView } from "../../engine/protocol";
import { positionText } from "../../ui/units";
import type { Pull } from "../../view/hands";
import { jointOf } from "../../work/choice";
import type { Session } from "../../work/session";

type Point = readonly [number, number, number];

const ORIGIN: Point = [0, 0, 0]; // of the part, which is what a typed target is for, wherever it was pulled before

/** What a search came to: how far off it stayed, by what, and what moved. */
export type Reached =
  | { readonly kind: "found"; readonly found: Found; readonly off: string; readonly by: string; readonly moved: readonly string[] }
  | { readonly kind: "still"; readonly link: string };

export interface Reach {
  /** What the last search came to, until the work goes on. */
  readonly reached: Signal<Reached | null>;
  /** The part, pulled or picked, and where its origin is to go, in mm of the prop. */
  readonly link: Signal<string>;
  readonly target: Signal<Point>;
  /** A part is pulled in the picture: turn its own joint alone, or all on the way to it. */
  pull(pull: Pull, how: "turn" | "reach"): Promise<void>;
  /** The part is let go. */
  release(): void;
  /** Bring the part to the target. */
  go(): Promise<void>;
  /** Turn one joint to a position. */
  turn(joint: string, position: number): Promise<void>;
}

export function createReach(session: Session): Reach {
  const reached = signal<Reached | null>(null);
  const link = signal("");
  const target = signal<Point>([0, 0, 0]);
  let newest: Promise<void> = Promise.resolve();
  let mine: unknown = null; // the work as a search left it; any other ends what was told

  session.prop.subscribe((prop) => {
    if (prop && !prop.links.includes(link.value)) link.value = prop.links[0] ?? "";
  });
  session.history.record.subscribe(({ work }) => work === mine || (reached.value = null));

  /** Take the values that Python found for `what`. */
  function take(prop: PropView, found: Found, what: string, unit: string, by: string, merge: string): void {
    const moved = prop.drives.filter(({ name }) => found.values[name] !== session.values()[name]).map(({ name }) => name);
    session.setValues(`Move ${what}`, found.values, merge);
    mine = session.history.work();
    reached.value = { kind: "found", found, off: positionText(found.off, unit), by, moved };
  }

  async function find(part: string, joints: readonly string[], merge: string, ask: () => Promise<Found>): Promise<void> {
    const prop = session.prop.value;
    if (!prop) return;
    try {
      const found = await ask();
      take(prop, found, part, "mm", joints.length === 1 ? `${joints[0]}` : "all joints on the way", merge);
      session.chosen.value = joints[0] ?? jointOf(prop, part);
    } catch (problem) {
      if (!(problem instanceof Stale) || (problem instanceof Overtaken && merge === "")) throw problem; // a pull goes on
    }
  }

  return {
    reached,
    link,
    target,

    async turn(name, position) {
      const prop = session.prop.value;
      const turned = prop?.joints.find((joint) => joint.name === name);
      if (!prop || !turned) return;
      const found = await session.engine.ask("turn", { joint: name, position, values: session.values() });
      take(prop, found, name, turned.unit, turned.drives.join(" and "), "");
      session.chosen.value = name;
      session.history.settle();
    },

    async go() {
      const wanted = { link: link.value, grip: ORIGIN, target_mm: target.value, values: session.values() };
      await find(link.value, [], "", () => session.engine.ask("bring", wanted));
      session.history.settle();
    },

    async pull(pull, how) {
      link.value = pull.link;
      const prop = session.prop.value;
      const joint = prop && jointOf(prop, pull.link);
      if (how === "turn" && !joint) reached.value = { kind: "still", link: pull.link };
      else {
        const joints = how === "turn" && joint ? [joint] : [];
        const ask = (): Promise<Found> => session.engine.ask("reach", { ...pull, values: session.values(), joints });
        await (newest = find(pull.link, joints, `pull ${pull.link}`, ask));
      }
    },

    // What was asked last may still be on its way, and belongs to the same step of undo.
    release: () => void newest.finally(() => session.history.settle()),
  };
}
